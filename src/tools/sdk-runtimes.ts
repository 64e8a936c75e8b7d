import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'

/**
 * The packed SDK on runtimes, compilers and package linters that npm can bring: a line each, and a code of 1 when one fails.
 * Needs the network.
 */

const PROGRAM = `
import { GuidedCall, TroubleAtlas } from '@trouble-atlas/sdk'
import { offlineAtlas, verifyBundled } from '@trouble-atlas/sdk/offline'
await verifyBundled()
const call = new GuidedCall(offlineAtlas())
await call.add({ kind: 'condition', condition: 'condition/battery-low', state: 'present' })
console.log(typeof TroubleAtlas, call.view.diagnosis.causes[0].cause)
`
const PRINTED = 'function cause/battery-worn-out'
const COMMONJS = `
const { TroubleAtlas } = require('@trouble-atlas/sdk')
const { offlineAtlas } = require('@trouble-atlas/sdk/offline')
offlineAtlas().diagnose({ findings: [{ kind: 'condition', condition: 'condition/battery-low', state: 'present' }] })
  .then(({ value }) => console.log(typeof TroubleAtlas, value.causes[0].cause))
`
const TYPED = `
import { TroubleAtlas, type Answer } from '@trouble-atlas/sdk'
import { offlineAtlas } from '@trouble-atlas/sdk/offline'
export const ask = async (atlas: TroubleAtlas): Promise<string | undefined> => {
  const { value }: { value: Answer<'diagnose'> } = await atlas.diagnose({ findings: [] })
  return value.nextChecks[0]?.ask
}
export const here: TroubleAtlas = offlineAtlas()
`
const RUNTIMES: [name: string, runtime: string, ...command: string[]][] = [
  ['Node 20', 'node@20', 'use.mjs'],
  ['Node 22', 'node@22', 'use.mjs'],
  ['Node 24', 'node@24', 'use.mjs'],
  ['Node 20, CommonJS', 'node@20', 'use.cjs'],
  ['Bun 1.4', 'bun@1.4.5', 'use.mjs'],
  ['Deno 2.9', 'deno@2.9.6', 'run', '--allow-all', 'use.mjs'],
]
const COMPILERS = ['5.0.4', '5.9.3']
const RESOLUTIONS: [resolution: string, module: string][] = [
  ['node', 'commonjs'],
  ['node16', 'node16'],
  ['bundler', 'esnext'],
]

const folder = mkdtempSync(join(tmpdir(), 'sdk-runtimes-'))
const npx = (packageName: string, ...command: string[]) =>
  spawnSync('npx', ['--yes', '-p', packageName, ...command], { cwd: folder, encoding: 'utf8' })

let failures = 0
function report(name: string, isGood: boolean, detail = ''): void {
  if (!isGood) failures++
  console.log(`${isGood ? 'good' : 'BAD '}  ${name}${detail === '' ? '' : `: ${detail}`}`)
}

function install(): string {
  execFileSync('npm', ['run', '--silent', 'build:sdk'], { stdio: 'ignore' })
  execFileSync('npm', ['pack', '--silent', '-w', 'sdk', '--pack-destination', folder], { stdio: 'ignore' })
  const tarball = readdirSync(folder).find((name) => name.endsWith('.tgz'))!
  writeFileSync(join(folder, 'package.json'), '{"name":"user","private":true,"type":"module"}')
  execFileSync('npm', ['install', '--silent', `./${tarball}`], { cwd: folder, stdio: 'ignore' })
  writeFileSync(join(folder, 'use.mjs'), PROGRAM)
  writeFileSync(join(folder, 'use.cjs'), COMMONJS)
  writeFileSync(join(folder, 'use.ts'), TYPED)
  return tarball
}

function runRuntimes(): void {
  for (const [name, runtime, ...command] of RUNTIMES) {
    const { stdout, stderr } = npx(runtime, runtime.split('@')[0]!, ...command)
    const isGood = stdout.trim() === PRINTED
    report(name, isGood, isGood ? '' : `${stdout}${stderr}`.trim().slice(-300))
  }
}

function runCompilers(): void {
  for (const version of COMPILERS)
    for (const [resolution, module] of RESOLUTIONS) {
      const options = ['--noEmit', '--strict', '--target', 'es2022', '--skipLibCheck', 'false', '--lib', 'es2022,dom']
      const command = ['tsc', ...options, '--module', module, '--moduleResolution', resolution, 'use.ts']
      const { stdout, status } = npx(`typescript@${version}`, ...command)
      report(`TypeScript ${version}, ${resolution}`, status === 0, stdout.trim().slice(0, 300))
    }
}

function runLinters(tarball: string): void {
  const lint = npx('publint@0.3.25', 'publint', tarball, '--strict')
  report('publint', lint.status === 0, lint.stdout.includes('All good!') ? '' : lint.stdout.trim().slice(-300))
  const types = npx('@arethetypeswrong/cli@0.18.5', 'attw', tarball)
  report('are the types wrong', types.status === 0, types.status === 0 ? '' : types.stdout.trim().slice(-300))
}

function printSizes(): void {
  const dist = join(folder, 'node_modules/@trouble-atlas/sdk/dist')
  for (const name of readdirSync(dist).filter((file) => file.endsWith('.js'))) {
    const path = join(dist, name)
    const kilobytes = (bytes: number) => `${(bytes / 1000).toFixed(1)} kB`
    console.log(
      `size  ${name}: ${kilobytes(statSync(path).size)}, ${kilobytes(gzipSync(readFileSync(path)).length)} gzip`,
    )
  }
}

try {
  const tarball = install()
  runRuntimes()
  runCompilers()
  runLinters(tarball)
  printSizes()
} finally {
  rmSync(folder, { recursive: true, force: true })
}
process.exitCode = failures > 0 ? 1 : 0
