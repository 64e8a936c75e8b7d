import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'
import type { CompiledRelease } from '../../domain/advice/compiled.ts'
import { indexRelease } from '../../domain/advice/release-index.ts'
import { DONT_KNOW } from '../../domain/findings/finding.ts'

/** A written call: what is true, what the caller says at the start, and what comes out only when asked. */
const OnDevice = { device: z.string().optional() }
export const CaseSchema = z.strictObject({
  id: z.string(),
  call: z.string(),
  kind: z.enum(['typical', 'several-faults', 'cascade', 'trap', 'danger', 'unmodelled']),
  conditions: z.array(z.strictObject({ condition: z.string(), ...OnDevice })),
  contexts: z.array(z.string()),
  displayComplete: z.boolean(),
  /** Every cause that is really there; empty where it is no cause of the ontology. */
  truth: z.array(z.strictObject({ cause: z.string(), ...OnDevice })),
  /** Result of each check that has another answer than the ordinary one. */
  knows: z.record(z.string(), z.string()),
  /** What a meter would show, in the unit of the reading. */
  readings: z.record(z.string(), z.number()),
  who: z.enum(['caller', 'handy', 'technician']),
  tools: z.array(z.string()),
  mustAsk: z.array(z.string()),
  mustNotAdvise: z.array(z.string()),
  remedies: z.array(z.string()),
  /** Ends that are right. */
  stops: z.array(z.enum(['danger', 'confident', 'does-not-fit', 'needs-technician', 'no-useful-check'])),
})
export type Case = z.infer<typeof CaseSchema>

/**
 * Written calls in two folders: those that the ontology and the thresholds were tuned to, and those that were written later,
 * apart from both, and are only counted. A call is never changed to suit the engine: each folder has one hash over its files.
 */
export const CASE_SETS = {
  tuned: { folder: 'tests/cases/tuned', sha256: '2704da25a102a0b1b4fe67c161e9e49f7f8fb9b9cf0ba2981150704211fa9fcb' },
  heldOut: {
    folder: 'tests/cases/held-out',
    sha256: '63784ff20fca5a57652d9db32f9c2271c15234029ed04fadabb4e22e106e08be',
  },
} as const
export type CaseSet = keyof typeof CASE_SETS

/** Calls of a set, in the order of their files; refuses files that are not those that were set down. */
export function readCases(set: CaseSet): Case[] {
  const { folder, sha256 } = CASE_SETS[set]
  const names = readdirSync(folder)
    .filter((name) => name.endsWith('.json'))
    .sort()
  const texts = names.map((name) => readFileSync(join(folder, name), 'utf8'))
  const found = createHash('sha256').update(texts.join('')).digest('hex')
  if (found !== sha256) throw new Error(`${folder}: the calls are not those that were set down first: ${found}`)
  return texts.flatMap((text) => z.array(CaseSchema).parse(JSON.parse(text)))
}

/** Ids and results that a release does not know, one line each. */
export function caseFaults(release: CompiledRelease, list: readonly Case[]): string[] {
  const index = indexRelease(release)
  const remedies = new Set(release.remedies.map(({ id }) => id))
  const unknown = (one: Case, ids: readonly string[], known: (id: string) => boolean) =>
    ids.filter((id) => !known(id)).map((id) => `${one.id}: ${id} is not in release ${release.version}`)
  const results = (one: Case) =>
    Object.entries(one.knows).flatMap(([check, result]) => {
      const at = index.check.get(check)
      const isKnown = at !== undefined && (result === DONT_KNOW || release.checks[at]!.results.includes(result))
      return isKnown ? [] : [`${one.id}: ${check} has no result ${result}`]
    })
  const ids = list.map(({ id }) => id)
  return [
    ...ids.filter((id, at) => ids.indexOf(id) !== at).map((id) => `${id}: two cases have this name`),
    ...list.flatMap((one) => [
      ...unknown(
        one,
        one.conditions.map(({ condition }) => condition),
        (id) => index.condition.has(id),
      ),
      ...unknown(one, one.contexts, (id) => index.context.has(id)),
      ...unknown(
        one,
        one.truth.map(({ cause }) => cause),
        (id) => index.cause.has(id),
      ),
      ...unknown(one, Object.keys(one.readings), (id) => index.reading.has(id)),
      ...unknown(one, one.mustAsk, (id) => index.check.has(id)),
      ...unknown(one, one.remedies, (id) => remedies.has(id)),
      ...unknown(one, one.mustNotAdvise, (id) => remedies.has(id) || index.check.has(id)),
      ...results(one),
    ]),
  ]
}
