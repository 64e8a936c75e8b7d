import { execFile } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { gzipSync } from 'node:zlib'
import { afterAll, expect, test } from 'vitest'

const MAX_GZIP_BYTES = 1_000_000
const folder = mkdtempSync(join(tmpdir(), 'bundle-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('the Worker bundles for deployment and stays under 1 MB compressed', async () => {
  const wrangler = ['node_modules/wrangler/bin/wrangler.js', 'deploy', '--dry-run', '--minify', '--outdir', folder]
  await promisify(execFile)(process.execPath, wrangler, {
    env: { ...process.env, CI: '1', WRANGLER_SEND_METRICS: 'false' },
  })
  const bytes = gzipSync(readFileSync(join(folder, 'edge.js'))).length
  console.info(`Worker bundle: ${Math.round(bytes / 1024)} KiB gzip`)
  expect(bytes).toBeLessThan(MAX_GZIP_BYTES)
})
