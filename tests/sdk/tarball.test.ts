import { execFileSync, spawn, spawnSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { listen } from '../../src/node.ts'
import { openDatabase } from '../../src/store/open.ts'

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

const OFFLINE = `
  verifyBundled()
    .then(() => offlineAtlas().diagnose({ findings: [{ kind: 'condition', condition: 'condition/battery-low', state: 'present' }] }))
    .then(({ value }) => console.log(value.causes[0].cause))`

test('its offline entry is hash-checked and diagnoses, as ES module and as CommonJS', () => {
  const names = '{ offlineAtlas, verifyBundled }'
  const esm = run('off.mjs', `import ${names} from '@trouble-atlas/sdk/offline'\n${OFFLINE}`)
  const cjs = run('off.cjs', `const ${names} = require('@trouble-atlas/sdk/offline')\n${OFFLINE}`)
  expect([esm, cjs]).toEqual(['cause/battery-worn-out', 'cause/battery-worn-out'])
})

test('errors of the offline entry are those of the main entry', () => {
  const code = `
    import { NotFoundError } from '@trouble-atlas/sdk'
    import { offlineAtlas } from '@trouble-atlas/sdk/offline'
    offlineAtlas().getConcept('latest', 'cause/nothing').catch((error) => console.log(error instanceof NotFoundError))`
  expect(run('same.mjs', code)).toBe('true')
})

test('its testing entry makes a request fail as told', () => {
  const code = `
    import { faultyFetch } from '@trouble-atlas/sdk/testing'
    faultyFetch(async () => new Response('ok'), { faults: [{ status: 503 }] })('http://x').then(({ status }) => console.log(status))`
  expect(run('faults.mjs', code)).toBe('503')
})

const example = (name: string) => readFileSync(join('sdk/examples', name), 'utf8')

test('the call sheet asks on the command line and ends with a summary', () => {
  writeFileSync(join(folder, 'call-sheet.mjs'), example('call-sheet.mjs'))
  const input = 'nonsense\n'.concat('\n'.repeat(60))
  const sheet = (...conditions: string[]) =>
    spawnSync(process.execPath, ['call-sheet.mjs', ...conditions], { cwd: folder, encoding: 'utf8', input })
  const { stdout, status } = sheet('condition/battery-low')
  expect(stdout).toContain('Please answer one of')
  expect(stdout).toMatch(/Standby battery worn out: \d+ %/)
  expect(status).toBe(0)
  expect([sheet().status, sheet('condition/nothing').status]).toEqual([1, 1])
})

test('the server route answers with a question, and a bad complaint with 400', async () => {
  writeFileSync(join(folder, 'server-route.mjs'), example('server-route.mjs'))
  const database = await openDatabase(':memory:')
  const atlas = await listen(database, 0, '127.0.0.1')
  const route = spawn(process.execPath, ['server-route.mjs'], {
    cwd: folder,
    env: { ...process.env, PORT: '0', ATLAS: atlas.url },
  })
  try {
    const url = await new Promise<string>((resolve) =>
      route.stdout.once('data', (data) => resolve(String(data).trim())),
    )
    const post = (body: string) => fetch(url, { method: 'POST', body })
    const good = await post(JSON.stringify({ conditions: ['condition/battery-low'] }))
    expect(((await good.json()) as { ask: string }).ask).toMatch(/\?/)
    expect((await post(JSON.stringify({ conditions: ['condition/nothing'] }))).status).toBe(400)
    expect((await post('{')).status).toBe(400)
  } finally {
    route.kill()
    await atlas.close()
    database.client.close()
  }
})

/** What of a browser the page uses, with the last text that it showed. */
const BROWSER = `
  const shown = { textContent: '' }
  let submit
  globalThis.location = { search: '?atlas=' + process.env.ATLAS }
  globalThis.FormData = class { get() { return 'condition/battery-low' } }
  globalThis.document = {
    forms: [{ addEventListener: (_, listener) => { submit = listener } }],
    querySelector: () => shown,
  }
  globalThis.submitted = async () => {
    submit({ preventDefault() {} })
    while (shown.textContent === '' || shown.textContent === 'Asking…') await new Promise((done) => setTimeout(done, 10))
    console.log(shown.textContent)
  }`

test('the page without a build step asks the first question', async () => {
  const [, script] = /<script type="module">([\s\S]*?)<\/script>/.exec(example('page.html'))!
  const imported = script!.replace("'./dist/index.js'", "'./node_modules/@trouble-atlas/sdk/dist/index.js'")
  writeFileSync(join(folder, 'browser.mjs'), BROWSER)
  writeFileSync(join(folder, 'page.mjs'), `import './browser.mjs'\n${imported}\nawait submitted()`)
  const database = await openDatabase(':memory:')
  const atlas = await listen(database, 0, '127.0.0.1')
  try {
    const page = spawn(process.execPath, ['page.mjs'], { cwd: folder, env: { ...process.env, ATLAS: atlas.url } })
    const printed: string[] = []
    page.stdout.on('data', (data) => printed.push(String(data)))
    const code = await new Promise((resolve) => page.once('close', resolve))
    expect([code, printed.join('').trim()]).toEqual([0, expect.stringMatching(/\?$/)])
  } finally {
    await atlas.close()
    database.client.close()
  }
})
