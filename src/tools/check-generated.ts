import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'

/** Regenerates what is generated and fails, naming the files, when their committed form was out of date. */

const FILES = [
  'src/ontology/generated/current-release.ts',
  'src/ontology/generated/profiles.ts',
  'src/ontology/generated/words.ts',
  'ontology/profiles/profile.schema.json',
  'openapi/openapi.json',
  'sdk/src/types.ts',
]

const before = FILES.map((file) => readFileSync(file, 'utf8'))
for (const script of ['ontology', 'openapi'])
  execFileSync('npm', ['run', '--silent', script], { stdio: ['ignore', 'ignore', 'inherit'] })
const stale = FILES.filter((file, index) => readFileSync(file, 'utf8') !== before[index])
if (stale.length > 0) {
  console.error(`out of date, now regenerated: ${stale.join(', ')}. Commit them with their cause.`)
  process.exitCode = 1
} else console.log('generated files are up to date')
