import { z } from 'zod'
import { baseRateOf, linkOf } from '../ontology/numbers.ts'
import { type Cause, FAMILIES, type Levels, type Ontology, type Probability } from '../ontology/shape.ts'
import type { FitLink, FitNetwork, ShareRow } from './starting-values.ts'

/** The table of shares that people keep in ontology/material, and how it meets the ontology's source. */

/** Prevalence per call for a class of frequency. Judgement: inside the class limits 8, 3, 1 and 0.2 %. */
const CLASS_PREVALENCE = { a: 0.12, b: 0.05, c: 0.02, d: 0.005, e: 0.001 } as const
/** Judgement, used where the source has no number yet. */
const DEFAULT_LEAK = 0.001
const OTHER_BASE_RATE = 0.02

const Share = z.number().gt(0).lt(1)
const based = { basis: z.literal('judgement'), source: z.string().optional(), note: z.string().optional() }
const RowSchema = z
  .strictObject({
    condition: z.string().startsWith('condition/'),
    family: z.enum(FAMILIES),
    /** The row holds only in this context; it is compared, not fitted. */
    when: z.string().startsWith('context/').optional(),
    prevalence: z.union([
      z.strictObject({ value: Share, ...based }),
      z.strictObject({ class: z.enum(['a', 'b', 'c', 'd', 'e']), ...based }),
    ]),
    ...based,
    shares: z.array(z.strictObject({ cause: z.string().startsWith('cause/'), share: Share })).min(1),
    unmodelled: Share,
    /** Share of calls with this condition that show the other one too; compared, not fitted. */
    alsoShown: z.array(z.strictObject({ condition: z.string().startsWith('condition/'), share: Share })).default([]),
  })
  .refine(
    ({ shares, unmodelled }) => Math.abs(shares.reduce((sum, { share }) => sum + share, unmodelled) - 1) < 1e-9,
    'the shares and the unmodelled one must sum to 1',
  )
  .refine(({ shares }) => new Set(shares.map(({ cause }) => cause)).size === shares.length, 'a cause stands twice')
export const ShareTableSchema = z.array(RowSchema)
export type ShareTableRow = z.infer<typeof RowSchema>

/** A row of the table as the fit takes it. */
export function shareRow(row: ShareTableRow): ShareRow {
  const { condition, prevalence, shares, family, unmodelled } = row
  return {
    condition,
    prevalence: 'value' in prevalence ? prevalence.value : CLASS_PREVALENCE[prevalence.class],
    shares,
    other: { cause: `cause/other-fault-${family}`, share: unmodelled },
  }
}

type Source = Pick<Ontology, 'cause' | 'condition' | 'levels'>

function numberOf(read: typeof linkOf, levels: Levels, number: Probability): number {
  const value = read(levels, number)
  if (value === undefined) throw new Error(`unknown level ${number.level}`)
  return value
}

const pairsOf = (row: ShareRow) => [...row.shares, row.other]

/** Causes of source and table; those that only the table has count too, so that adding them later moves nothing. */
function fitCauses(source: Source, rows: readonly ShareRow[]): FitNetwork['causes'] {
  const known = new Map(source.cause.map((cause) => [cause.id, cause]))
  const others = new Set(rows.map((row) => row.other.cause))
  const ids = new Set([...known.keys(), ...rows.flatMap((row) => pairsOf(row).map(({ cause }) => cause))])
  return [...ids].sort().map((id) => {
    const cause = known.get(id)
    return {
      id,
      baseRate: cause ? numberOf(baseRateOf, source.levels, cause.baseRate) : OTHER_BASE_RATE,
      ...(cause?.group === undefined ? {} : { group: cause.group }),
      isOther: others.has(id),
    }
  })
}

/** The network to fit: links named by the table get their share, the source's further links keep their number. */
export function buildNetwork(source: Source, rows: readonly ShareRow[]): FitNetwork {
  const causes = fitCauses(source, rows)
  const indexOf = new Map(causes.map(({ id }, index) => [id, index]))
  const rowOf = new Map(rows.map((row) => [row.condition, row]))
  const leakOf = new Map(source.condition.map(({ id, leak }) => [id, numberOf(linkOf, source.levels, leak)]))
  const ids = [...new Set([...leakOf.keys(), ...rowOf.keys()])].sort()
  const conditions = ids.map((id) => {
    const row = rowOf.get(id)
    const links = new Map<number, FitLink>()
    for (const cause of source.cause)
      for (const { condition, q } of cause.shows) {
        const index = indexOf.get(cause.id)!
        if (condition === id) links.set(index, { cause: index, q: numberOf(linkOf, source.levels, q) })
      }
    for (const { cause, share } of row ? pairsOf(row) : []) {
      const index = indexOf.get(cause)!
      links.set(index, { cause: index, q: links.get(index)?.q ?? 0, share })
    }
    return {
      id,
      leak: leakOf.get(id) ?? DEFAULT_LEAK,
      ...(row ? { prevalence: row.prevalence } : {}),
      links: [...links.values()].sort((a, b) => a.cause - b.cause),
    }
  })
  return { causes, conditions }
}

/** Where table and source do not meet; each list is of ids or "cause -> condition". */
export function compareWithSource(source: Source, rows: readonly ShareRow[]) {
  const shows = new Map(source.cause.map(({ id, shows }) => [id, shows.map(({ condition }) => condition)]))
  const conditions = new Set(source.condition.map(({ id }) => id))
  const named = new Set(rows.flatMap((row) => pairsOf(row).map(({ cause }) => `${cause} -> ${row.condition}`)))
  const causes = new Set(rows.flatMap((row) => pairsOf(row).map(({ cause }) => cause)))
  const inTable = new Set(rows.map(({ condition }) => condition))
  const present = rows.flatMap((row) => pairsOf(row).map(({ cause }) => ({ cause, condition: row.condition })))
  return {
    'conditions of the table that the source lacks': [...inTable].filter((id) => !conditions.has(id)),
    'causes of the table that the source lacks': [...causes].filter((id) => !shows.has(id)).sort(),
    'links of the table that the source lacks (not written: add them by hand)': present
      .filter(({ cause, condition }) => shows.has(cause) && !shows.get(cause)!.includes(condition))
      .map(({ cause, condition }) => `${cause} -> ${condition}`),
    'causes of the source in no row (base rate kept)': [...shows.keys()].filter((id) => !causes.has(id)),
    'links of the source outside their row (q kept)': [...shows].flatMap(([cause, list]) =>
      list
        .filter((condition) => inTable.has(condition) && !named.has(`${cause} -> ${condition}`))
        .map((condition) => `${cause} -> ${condition}`),
    ),
  }
}

type RawNumber = Record<string, unknown>
/** A cause as its file has it, defaults left out. */
export type RawCause = Pick<Cause, 'id'> & { baseRate: RawNumber; shows: { condition: string; q: RawNumber }[] }

function derived({ note }: RawNumber, value: number): RawNumber {
  return { value, basis: 'derived', source: 'starting-values', ...(note === undefined ? {} : { note }) }
}

/** A file's causes with the fitted numbers put in; every other field, and every order, stays as it was. */
export function withFittedNumbers<T extends RawCause>(causes: readonly T[], fitted: FitNetwork): T[] {
  const qOf = new Map<string, number>()
  for (const condition of fitted.conditions)
    for (const { cause, q, share } of condition.links)
      if (share !== undefined) qOf.set(`${fitted.causes[cause]!.id} -> ${condition.id}`, q)
  const hasPair = new Set([...qOf.keys()].map((pair) => pair.split(' -> ')[0]))
  const rateOf = new Map(
    fitted.causes.filter(({ id, isOther }) => !isOther && hasPair.has(id)).map(({ id, baseRate }) => [id, baseRate]),
  )
  return causes.map((cause) => {
    const rate = rateOf.get(cause.id)
    const shows = cause.shows.map((link) => {
      const q = qOf.get(`${cause.id} -> ${link.condition}`)
      return q === undefined ? link : { ...link, q: derived(link.q, q) }
    })
    return { ...cause, ...(rate === undefined ? {} : { baseRate: derived(cause.baseRate, rate) }), shows }
  })
}

const LINE_WIDTH = 120

/** JSON as the source keeps it: two spaces, one field a line, a list of plain values on one line where it fits. */
export function sourceText(value: unknown): string {
  const text = JSON.stringify(value, null, 2)
  const listOfPlainValues = /^(.*)\[\n([^[\]{}]*?)\n *\](,?)$/gm
  return `${text.replace(listOfPlainValues, (whole, head: string, items: string, tail: string) => {
    const line = `${head}[${items.trim().replace(/\n\s*/g, ' ')}]${tail}`
    return line.length <= LINE_WIDTH ? line : whole
  })}\n`
}
