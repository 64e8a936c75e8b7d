import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'

const folder = mkdtempSync(join(tmpdir(), 'ontology-package-'))
const home = join(folder, 'node_modules/@trouble-atlas/ontology')
const read = (name: string) => readFileSync(join(home, name))

beforeAll(() => {
  execFileSync(process.execPath, ['src/tools/pack-ontology.ts'], { stdio: 'ignore' })
  execFileSync('npm', ['pack', '--silent', './build/ontology-package', '--pack-destination', folder], {
    stdio: 'ignore',
  })
  mkdirSync(home, { recursive: true })
  const tarball = readdirSync(folder).find((name) => name.endsWith('.tgz'))!
  execFileSync('tar', ['-xzf', join(folder, tarball), '-C', home, '--strip-components=1'])
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('every published file in the package has the hash of its manifest', () => {
  const { files } = JSON.parse(read('manifest.json').toString()) as { files: { name: string; sha256: string }[] }
  const packed = files.filter(({ name }) => readdirSync(home).includes(name))
  expect(packed.length).toBeGreaterThanOrEqual(5)
  for (const { name, sha256 } of packed)
    expect(createHash('sha256').update(read(name)).digest('hex'), name).toBe(sha256)
})

test('it is imported whole, and its files are read one by one', () => {
  writeFileSync(
    join(folder, 'use.mjs'),
    `import ontology from '@trouble-atlas/ontology'
     import schema from '@trouble-atlas/ontology/ontology.schema.json' with { type: 'json' }
     console.log(ontology.condition.length > 80, schema.$schema)`,
  )
  const printed = execFileSync(process.execPath, ['use.mjs'], { cwd: folder, encoding: 'utf8' }).trim()
  expect(printed).toBe('true https://json-schema.org/draft/2020-12/schema')
})

test('its types know every id and accept those of overlays', () => {
  const code = (id: string) => `
    import ontology, { type ConditionId, type PartClassId } from '@trouble-atlas/ontology'
    export const id: ConditionId = ${id}
    export const ids: readonly PartClassId[] = ontology['part-class'].map(({ id }) => id)`
  const check = (id: string) => {
    writeFileSync(join(folder, 'use.ts'), code(id))
    const options = [
      '--noEmit',
      '--strict',
      '--module',
      'esnext',
      '--moduleResolution',
      'bundler',
      '--target',
      'es2022',
    ]
    execFileSync(process.execPath, [resolve('node_modules/typescript/bin/tsc'), ...options, 'use.ts'], { cwd: folder })
  }
  expect(() => check("'condition/sunfield~panel-dark'")).not.toThrow()
  expect(() => check('7')).toThrow()
  expect(read('index.d.ts').toString()).toContain("| 'condition/battery-low'")
})
