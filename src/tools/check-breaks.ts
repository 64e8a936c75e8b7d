import { readFileSync } from 'node:fs'
import { breaksBetween } from './openapi/breaking.ts'
import { acceptedBreaks, lastReleased } from './openapi/released.ts'

/** npm run openapi:breaks: what of openapi/openapi.json would break a client of the last released document. */

const { version, document } = lastReleased()
const breaks = breaksBetween(document, JSON.parse(readFileSync('openapi/openapi.json', 'utf8')))
const accepted = acceptedBreaks()
const open = breaks.filter(({ at, rule }) => !accepted.some((entry) => entry.at === at && entry.rule === rule))
for (const { at, rule } of open) console.error(`${at}: ${rule}`)
console.log(`since ${version}: ${breaks.length} breaks, ${breaks.length - open.length} of them accepted`)
if (open.length > 0) process.exitCode = 1
