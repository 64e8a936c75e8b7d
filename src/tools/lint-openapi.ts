import { spawnSync } from 'node:child_process'

/** npm run lint:openapi: holds the document against two general rule sets; says each finding and fails on any. */

const FILE = 'openapi/openapi.json'
const RULE_SETS: Record<string, string[]> = {
  spectral: ['lint', FILE, '--ruleset', 'openapi/spectral.yaml', '--fail-severity', 'hint'],
  redocly: ['lint', FILE, '--config', 'openapi/redocly.yaml', '--format', 'stylish'],
}
const env = { ...process.env, REDOCLY_TELEMETRY: 'off', REDOCLY_SUPPRESS_UPDATE_NOTICE: 'true', CI: '1' }

for (const [name, flags] of Object.entries(RULE_SETS)) {
  const { status, error } = spawnSync(`node_modules/.bin/${name}`, flags, { env, stdio: 'inherit' })
  if (error) throw error
  if (status !== 0) process.exitCode = 1
  console.log(`${name}: ${status === 0 ? 'no findings' : 'findings, see above'}`)
}
