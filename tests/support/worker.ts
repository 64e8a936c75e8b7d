import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { createServer } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

const UP_WITHIN_MS = 60_000

function freePort(): Promise<number> {
  return new Promise((resolve) => {
    const probe = createServer().listen(0, '127.0.0.1', () => {
      const address = probe.address()
      probe.close(() => resolve(typeof address === 'object' && address ? address.port : 0))
    })
  })
}

async function untilUp(url: string, output: () => string): Promise<void> {
  const start = performance.now()
  while (performance.now() - start < UP_WITHIN_MS) {
    const isUp = await fetch(`${url}/healthz`).then(
      (response) => response.ok,
      () => false,
    )
    if (isUp) return
    await new Promise((resolve) => setTimeout(resolve, 200))
  }
  throw new Error(`the Worker did not come up:\n${output()}`)
}

/** The Worker in local workerd on a free port; `stop` ends its whole process group. */
export async function startWorker(variables: Record<string, string>): Promise<{ url: string; stop: () => void }> {
  const port = await freePort()
  const state = mkdtempSync(join(tmpdir(), 'worker-'))
  const flags = [
    '--local',
    '--ip',
    '127.0.0.1',
    '--port',
    `${port}`,
    '--persist-to',
    state,
    '--show-interactive-dev-session=false',
  ]
  const bound = Object.entries(variables).flatMap(([name, value]) => ['--var', `${name}:${value}`])
  const child = spawn(
    process.execPath,
    ['node_modules/wrangler/bin/wrangler.js', 'dev', ...flags, '--inspector-port', '0', ...bound],
    {
      detached: true,
      env: {
        ...process.env,
        CI: '1',
        WRANGLER_SEND_METRICS: 'false',
        WRANGLER_SEND_ERROR_REPORTS: 'false',
        CLOUDFLARE_CF_FETCH_ENABLED: 'false',
      },
    },
  )
  let output = ''
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (chunk: Buffer) => (output += chunk.toString()))
  const stop = () => {
    if (child.pid !== undefined && child.exitCode === null) process.kill(-child.pid, 'SIGKILL')
    rmSync(state, { recursive: true, force: true })
  }
  const url = `http://127.0.0.1:${port}`
  try {
    await untilUp(url, () => output)
  } catch (error) {
    stop()
    throw error
  }
  return { url, stop }
}
