import { execFileSync, spawn, spawnSync } from 'node:child_process'
import { once } from 'node:events'
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { setTimeout } from 'node:timers/promises'
import { gzipSync } from 'node:zlib'
import { build } from 'esbuild'

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
/** Clients of other services, for comparison: one call imported. */
const OTHERS: [packageName: string, code: string][] = [
  ['openapi-fetch', "import create from 'openapi-fetch'; create({ baseUrl: 'http://x' }).GET('/x')"],
  ['hono', "import { hc } from 'hono/client'; hc('http://x').index.$get()"],
  ['stripe', "import Stripe from 'stripe'; new Stripe('key').customers.list()"],
  ['openai', "import OpenAI from 'openai'; new OpenAI({ apiKey: 'key' }).models.list()"],
  ['octokit', "import { Octokit } from 'octokit'; new Octokit().request('GET /')"],
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

/** The program as one script, all imports bundled. */
async function bundled(code: string): Promise<string> {
  const { outputFiles } = await build({
    stdin: { contents: code, resolveDir: folder, loader: 'js' },
    bundle: true,
    platform: 'browser',
    conditions: ['worker', 'browser'],
    format: 'esm',
    minify: true,
    write: false,
  })
  return outputFiles[0]!.text
}

const WORKERD_CONFIG = (port: number) => `using Workerd = import "/workerd/workerd.capnp";
const config :Workerd.Config = (
  services = [(name = "main", worker = .main)],
  sockets = [(name = "http", address = "127.0.0.1:${port}", http = (), service = "main")]
);
const main :Workerd.Worker = (modules = [(name = "main", esModule = embed "worker.js")], compatibilityDate = "2025-09-01");`

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1')
  await once(server, 'listening')
  const { port } = server.address() as AddressInfo
  server.close()
  return port
}

async function answerOf(url: string): Promise<string> {
  for (let attempt = 0; attempt < 50; attempt++) {
    const text = await fetch(url).then(
      (response) => response.text(),
      () => undefined,
    )
    if (text !== undefined) return text
    await setTimeout(100)
  }
  return 'no answer'
}

async function runWorkerd(): Promise<void> {
  const imports = PROGRAM.match(/^import .*$/gm)!.join('\n')
  const body = PROGRAM.replace(/^import .*$/gm, '').replace('console.log(', 'return [')
  const code = `${imports}
    const run = async () => {${body.replace(/\)\n$/, "].join(' ')\n")}}
    export default { fetch: async () => new Response(await run()) }`
  writeFileSync(join(folder, 'worker.js'), await bundled(code))
  const port = await freePort()
  writeFileSync(join(folder, 'config.capnp'), WORKERD_CONFIG(port))
  const workerd = spawn(resolve('node_modules/workerd/bin/workerd'), ['serve', 'config.capnp'], {
    cwd: folder,
    stdio: 'ignore',
  })
  const text = await answerOf(`http://127.0.0.1:${port}/`)
  report('workerd', text === PRINTED, text === PRINTED ? '' : text.slice(0, 300))
  workerd.kill()
}

/** In a browser whose command CHROMIUM names; a page with the bundle writes what it printed into its title. */
async function runBrowser(): Promise<void> {
  const chromium = process.env.CHROMIUM
  if (chromium === undefined) return console.log('skip  browser: CHROMIUM names none')
  const program = await bundled(PROGRAM.replace('console.log(', 'document.title = [').replace(/\)\n$/, "].join(' ')\n"))
  writeFileSync(join(folder, 'page.js'), program)
  const server = createServer(({ url }, response) => {
    const isScript = url === '/page.js'
    response.setHeader('Content-Type', isScript ? 'text/javascript; charset=utf-8' : 'text/html; charset=utf-8')
    response.end(
      isScript ? program : '<!doctype html><title>loading</title><script type="module" src="/page.js"></script>',
    )
  }).listen(0, '127.0.0.1')
  await once(server, 'listening')
  const { port } = server.address() as AddressInfo
  const flags = ['--headless=new', '--no-sandbox', '--disable-gpu', '--virtual-time-budget=20000', '--dump-dom']
  const browser = spawn(chromium, [...flags, `http://127.0.0.1:${port}/`], { stdio: ['ignore', 'pipe', 'ignore'] })
  const page = await new Response(browser.stdout as never).text()
  const title = /<title>(.*?)<\/title>/.exec(page)?.[1] ?? page.slice(0, 200)
  report('Chromium, bundled', title === PRINTED, title === PRINTED ? '' : title)
  server.close()
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

const kilobytes = (bytes: number) => `${(bytes / 1000).toFixed(1)} kB`

async function printSize(name: string, code: string): Promise<void> {
  const one = await bundled(code)
  console.log(`size  ${name}: ${kilobytes(one.length)}, ${kilobytes(gzipSync(one).length)} gzip`)
}

/** One call imported, bundled and minified; and the files of the package as they are. */
async function printSizes(): Promise<void> {
  const own =
    "import { TroubleAtlas } from '@trouble-atlas/sdk'; new TroubleAtlas({ baseUrl: 'http://x' }).getCapabilities()"
  await printSize('@trouble-atlas/sdk, one call', own)
  execFileSync('npm', ['install', '--silent', ...OTHERS.map(([name]) => name)], { cwd: folder, stdio: 'ignore' })
  for (const [name, code] of OTHERS) await printSize(`${name}, one call`, code)
  const dist = join(folder, 'node_modules/@trouble-atlas/sdk/dist')
  for (const name of readdirSync(dist).filter((file) => file.endsWith('.js'))) {
    const path = join(dist, name)
    console.log(
      `size  ${name}: ${kilobytes(statSync(path).size)}, ${kilobytes(gzipSync(readFileSync(path)).length)} gzip`,
    )
  }
}

try {
  const tarball = install()
  runRuntimes()
  await runWorkerd()
  await runBrowser()
  runCompilers()
  runLinters(tarball)
  await printSizes()
} finally {
  rmSync(folder, { recursive: true, force: true })
}
process.exitCode = failures > 0 ? 1 : 0
