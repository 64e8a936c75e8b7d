import { DefaultReporter, type TestModule } from 'vitest/node'

/** Vitest's own report, closed by one plain line: N passed, N failed. */
export default class ClosingLineReporter extends DefaultReporter {
  override onTestRunEnd(...args: Parameters<DefaultReporter['onTestRunEnd']>) {
    super.onTestRunEnd(...args)
    const [modules, errors] = args
    const count = (state: 'passed' | 'failed') =>
      modules.reduce((sum: number, module: TestModule) => sum + [...module.children.allTests(state)].length, 0)
    const broken = modules.filter((module) => module.errors().length > 0).length
    console.log(`${count('passed')} passed, ${count('failed') + broken + errors.length} failed`)
  }
}
