import { execFile } from 'node:child_process'
import { createHash } from 'node:crypto'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { listen } from '../src/node.ts'
import { type Database, openDatabase } from '../src/store/open.ts'

const run = promisify(execFile)
const folder = mkdtempSync(join(tmpdir(), 'readme-'))
let database: Database
let server: Awaited<ReturnType<typeof listen>>

beforeAll(async () => {
  database = await openDatabase(':memory:')
  server = await listen(database, 0, '127.0.0.1')
})
afterAll(async () => {
  await server.close()
  database.client.close()
  rmSync(folder, { recursive: true, force: true })
})

/** Fenced blocks of a page in order. */
function blocks(page: string, language: string): string[] {
  const text = readFileSync(page, 'utf8')
  return [...text.matchAll(/```(\w*)\n([\s\S]*?)```/g)]
    .filter(([, name]) => name === language)
    .map(([, , body]) => body!)
}

/** What the page shows must be in the answer; numbers to as many digits as the page prints. */
function shows(shown: unknown, real: unknown, path = ''): void {
  if (typeof shown === 'number') {
    const digits = String(shown).split('.')[1]?.length ?? 0
    expect(Number((real as number).toFixed(digits)), path).toBe(shown)
  } else if (Array.isArray(shown))
    shown.forEach((item, index) => shows(item, (real as unknown[])[index], `${path}/${index}`))
  else if (shown !== null && typeof shown === 'object')
    for (const [key, value] of Object.entries(shown))
      shows(value, (real as Record<string, unknown>)[key], `${path}/${key}`)
  else expect(real, path).toBe(shown)
}

test('the curl call of the README gives the answer that the README prints', async () => {
  const call = blocks('README.md', '').find((block) => block.startsWith('curl'))!
  const body = /-d '([\s\S]*)'/.exec(call)![1]!
  const response = await fetch(`${server.url}/v1/diagnose`, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body,
  })
  expect(response.status).toBe(200)
  shows(JSON.parse(blocks('README.md', 'json')[0]!), await response.json())
})

const ENTRIES: [name: string, source: string][] = [
  ["'@trouble-atlas/sdk/offline'", resolve('sdk/src/offline.ts')],
  ["'@trouble-atlas/sdk/testing'", resolve('sdk/src/testing.ts')],
  ["'@trouble-atlas/sdk'", resolve('sdk/src/index.ts')],
]
const snippets = ['README.md', 'sdk/README.md'].flatMap((page) =>
  blocks(page, 'ts').map((code, index) => [`${page}, snippet ${index + 1}`, code] as const),
)

test.each(snippets)('%s runs and prints what it says', async (_, code) => {
  const local = ENTRIES.reduce((text, [name, source]) => text.replaceAll(name, `'${source}'`), code)
  const file = join(folder, 'snippet.ts')
  writeFileSync(file, local.replace('http://127.0.0.1:8787', server.url))
  const { stdout, stderr } = await run(process.execPath, [file], { encoding: 'utf8' })
  expect(stderr).toBe('')
  expect(stdout.trim().length).toBeGreaterThanOrEqual(5)
  expect(stdout).not.toMatch(/undefined/)
})

test('the README gives exactly two commands to set up and run', () => {
  const commands = blocks('README.md', '').filter((block) => block.startsWith('npm ci'))
  expect(commands).toEqual(['npm ci && npm run demo\n', 'npm ci && npm test\n'])
})

/** A curl command of a page as a request to the running server. */
function requestOf(command: string): { url: string; init: RequestInit; pattern: RegExp } {
  const header = /-H '([^:]+): ([^']+)'/.exec(command)
  const data = /-d '([\s\S]*?)'/.exec(command)?.[1]
  const [, path] = /http:\/\/127\.0\.0\.1:8787([^\s']*)/.exec(command)!
  return {
    url: `${server.url}${path}`,
    init: {
      method: command.includes('-sI') ? 'HEAD' : data === undefined ? 'GET' : 'POST',
      headers: header ? { [header[1]!]: header[2]! } : {},
      ...(data === undefined ? {} : { body: data }),
    },
    pattern: new RegExp(/grep (?:-i )?(\S+)/.exec(command)?.[1] ?? '', 'i'),
  }
}
const curls = blocks('ontology/README.md', 'sh').flatMap((block) => block.match(/^curl(?:[^\n']|'[^']*')*/gm) ?? [])

test.each(curls)('of the ontology page: %s', async (command) => {
  const { url, init, pattern } = requestOf(command)
  const response = await fetch(url, init)
  const printed = [await response.text()]
  response.headers.forEach((value, name) => {
    printed.push(`${name}: ${value}`)
  })
  expect(response.status).toBe(200)
  expect(printed.join('\n')).toMatch(pattern)
})

test('the edition that the ontology page pins can be verified by the hash that the service states', async () => {
  const bytesAt = curls.find((command) => command.includes('/files/ontology.json'))!
  const bytes = new Uint8Array(await (await fetch(requestOf(bytesAt).url)).arrayBuffer())
  const hashAt = curls.find((command) => command.includes('grep sha256'))!
  const stated = await (await fetch(requestOf(hashAt).url)).text()
  expect(stated).toContain(createHash('sha256').update(bytes).digest('hex'))
})
