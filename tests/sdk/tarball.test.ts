import { execFileSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'

const folder = mkdtempSync(join(tmpdir(), 'sdk-tarball-'))
const home = join(folder, 'node_modules/@trouble-atlas/sdk')
const run = (file: string, code: string) => {
  writeFileSync(join(folder, file), code)
  return execFileSync(process.execPath, [file], { cwd: folder, encoding: 'utf8' }).trim()
}
const USE = `
  const fetch = async () => Response.json({ engine: 'x' }, { headers: { 'x-request-id': 'r1' } })
  new TroubleAtlas({ baseUrl: 'http://x', fetch }).getCapabilities().then(({ value, requestId }) => console.log(value.engine, requestId))`

beforeAll(() => {
  execFileSync('npm', ['run', '--silent', 'build', '-w', 'sdk'], { stdio: 'ignore' })
  execFileSync('npm', ['pack', '--silent', '-w', 'sdk', '--pack-destination', folder], { stdio: 'ignore' })
  mkdirSync(home, { recursive: true })
  const tarball = readdirSync(folder).find((name) => name.endsWith('.tgz'))!
  execFileSync('tar', ['-xzf', join(folder, tarball), '-C', home, '--strip-components=1'])
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('the packed SDK is imported as an ES module', () => {
  expect(run('use.mjs', `import { TroubleAtlas } from '@trouble-atlas/sdk'\n${USE}`)).toBe('x r1')
})

test('the packed SDK is required as CommonJS', () => {
  expect(run('use.cjs', `const { TroubleAtlas } = require('@trouble-atlas/sdk')\n${USE}`)).toBe('x r1')
})

test('the packed SDK carries its types, its licence and its page, and no source', () => {
  const files = readdirSync(home, { recursive: true }).map(String)
  expect(files).toEqual(expect.arrayContaining(['dist/index.d.ts', 'dist/index.d.cts', 'LICENSE', 'README.md']))
  expect(files.filter((file) => file.startsWith('src'))).toEqual([])
})
