/**
 * Starting values from shares: base rates and link probabilities with which a two-layer noisy-OR network gives, for
 * each condition shown alone, about the shares that people stated for its causes, at the stated prevalence.
 * Pure: what is read and written is the business of derive-starting-values.ts.
 */

/** One condition as people state it: how often it is met, and which causes lie behind it. */
export interface ShareRow {
  condition: string
  /** Probability per support call that the condition is shown. */
  prevalence: number
  shares: { cause: string; share: number }[]
  /** The cause that stands for "something else", and its share. */
  other: { cause: string; share: number }
}
export interface FitLink {
  cause: number
  q: number
  /** Target share; undefined for a link that the table does not name, which is kept as it is. */
  share?: number
}
export interface FitCause {
  id: string
  baseRate: number
  /** Members of a group exclude each other. */
  group?: string
  isOther: boolean
}
export interface FitCondition {
  id: string
  leak: number
  /** Undefined when the table has no row for it. */
  prevalence?: number
  links: FitLink[]
}
export interface FitNetwork {
  causes: FitCause[]
  conditions: FitCondition[]
}
export interface RowReport {
  condition: string
  wantedPrevalence: number
  prevalence: number
  worstShareError: number
  worstCause: string
  rmsShareError: number
  /** Part of the prevalence that the background alone would fill; a large one pushes every share down. */
  leakFraction: number
  /** Pairs that no q inside the limits can match, in words. */
  unmatched: string[]
}

/** Links stay below certainty: a display can miss what stands. Judgement. */
export const LINK_CEILING = 0.95
/** Judgement: "something else" is never as sure a sign as a named cause. */
export const OTHER_LINK_CEILING = 0.5
/** A stated pair never becomes impossible. Judgement: the level "background". */
export const LINK_FLOOR = 0.001
/** How far a row's shares may be scaled to meet its prevalence. */
const SCALE_LIMIT = 4
const ROUNDS = 5000
const STILL = 1e-12
/** Share error from which an unmatched pair is worth a line. */
const NOTICEABLE = 0.005

const clamp = (value: number, low: number, high: number) => Math.min(high, Math.max(low, value))

/** P(no cause brings the condition about, background excluded), with those left out that `cause` rules out. */
function silence(network: FitNetwork, condition: FitCondition, cause?: number): number {
  const group = cause === undefined ? undefined : network.causes[cause]!.group
  const groupSums = new Map<string, number>()
  let product = 1
  for (const link of condition.links) {
    const parent = network.causes[link.cause]!
    if (link.cause === cause || (group !== undefined && parent.group === group)) continue
    const fires = parent.baseRate * link.q
    if (parent.group === undefined) product *= 1 - fires
    else groupSums.set(parent.group, (groupSums.get(parent.group) ?? 0) + fires)
  }
  for (const sum of groupSums.values()) product *= 1 - sum
  return product
}

/** P(condition shown), per support call: 1 - (1-leak) * product over causes of (1 - baseRate q). */
export function prevalenceOf(network: FitNetwork, condition: FitCondition): number {
  return 1 - (1 - condition.leak) * silence(network, condition)
}

/**
 * P(cause | only this condition shown, all else unknown).
 *
 * baseRate_i (1 - (1-leak)(1-q_ij) product over k != i of (1 - baseRate_k q_kj)) / P_j; a group counts as one factor
 * 1 - sum of baseRate_k q_kj, and drops out of the product for its own members.
 */
export function posteriorOf(network: FitNetwork, condition: FitCondition, cause: number): number {
  const q = condition.links.find((link) => link.cause === cause)?.q ?? 0
  const quiet = (1 - condition.leak) * (1 - q) * silence(network, condition, cause)
  return (network.causes[cause]!.baseRate * (1 - quiet)) / prevalenceOf(network, condition)
}

/** P(second shown | first shown): how often the two are met together. */
export function alsoShown(network: FitNetwork, first: FitCondition, second: FitCondition): number {
  const qFirst = new Map(first.links.map(({ cause, q }) => [cause, q]))
  const qSecond = new Map(second.links.map(({ cause, q }) => [cause, q]))
  const links = [...new Set([...qFirst.keys(), ...qSecond.keys()])].map((cause) => ({
    cause,
    q: 1 - (1 - (qFirst.get(cause) ?? 0)) * (1 - (qSecond.get(cause) ?? 0)),
  }))
  const leak = 1 - (1 - first.leak) * (1 - second.leak)
  const either = prevalenceOf(network, { id: '', leak, links })
  const one = prevalenceOf(network, first)
  return (one + prevalenceOf(network, second) - either) / one
}

interface Pair {
  condition: FitCondition
  link: FitLink
  row: number
}

const hasRow = (condition: FitCondition) => condition.prevalence !== undefined

/** P(cause and condition) that the table asks for. */
function joint({ condition, link, row }: Pair, scales: readonly number[]): number {
  return scales[row]! * link.share! * condition.prevalence!
}

function pairsByCause(network: FitNetwork): Map<number, Pair[]> {
  const pairs = new Map<number, Pair[]>()
  network.conditions.forEach((condition, row) => {
    if (!hasRow(condition)) return
    for (const link of condition.links)
      if (link.share !== undefined) pairs.set(link.cause, [...(pairs.get(link.cause) ?? []), { condition, link, row }])
  })
  return pairs
}

/** The base rate at which the row that asks most of this cause is met with the highest allowed link. */
function fitCause(network: FitNetwork, cause: FitCause, pairs: Pair[], scales: readonly number[]): void {
  const wanted = pairs.map((pair) => {
    const others = (1 - pair.condition.leak) * silence(network, pair.condition, pair.link.cause)
    return { pair, others, joint: joint(pair, scales) }
  })
  cause.baseRate = Math.max(...wanted.map(({ joint, others }) => joint / (1 - others * (1 - LINK_CEILING))))
  for (const { pair, others, joint } of wanted)
    pair.link.q = clamp(1 - (1 - joint / cause.baseRate) / others, LINK_FLOOR, LINK_CEILING)
}

/**
 * "Something else" is the safety net, so its share is what it alone brings about, q = joint / baseRate. Its base rate
 * exceeds many shares: counting calls in which it is present by chance would leave it no link at all.
 */
function fitOther(cause: FitCause, pairs: Pair[], scales: readonly number[]): void {
  for (const pair of pairs) pair.link.q = clamp(joint(pair, scales) / cause.baseRate, LINK_FLOOR, OTHER_LINK_CEILING)
}

function fitOnce(network: FitNetwork, pairs: Map<number, Pair[]>, scales: readonly number[]): void {
  for (const [index, list] of pairs) {
    const cause = network.causes[index]!
    if (cause.isOther) fitOther(cause, list, scales)
    else fitCause(network, cause, list, scales)
  }
}

/** Shares of a row count some calls twice (two causes present); one factor a row makes up for it. */
function rescale(network: FitNetwork, scales: number[]): number {
  let moved = 0
  network.conditions.forEach((condition, row) => {
    if (!hasRow(condition)) return
    const before = scales[row]!
    const ratio = condition.prevalence! / prevalenceOf(network, condition)
    scales[row] = clamp(before * ratio, 1 / SCALE_LIMIT, SCALE_LIMIT)
    moved = Math.max(moved, Math.abs(scales[row] / before - 1))
  })
  return moved
}

/** Start independent of the numbers that the fit replaces, so that a second run gives the same. */
function start(network: FitNetwork, pairs: Map<number, Pair[]>, scales: readonly number[]): void {
  for (const [index, list] of pairs) {
    const cause = network.causes[index]!
    if (!cause.isOther) cause.baseRate = Math.max(...list.map((pair) => joint(pair, scales))) / LINK_CEILING
    for (const pair of list) pair.link.q = clamp(joint(pair, scales) / cause.baseRate, LINK_FLOOR, LINK_CEILING)
  }
}

export const roundTo3Digits = (value: number) => Number(value.toPrecision(3))

/**
 * Base rates and table links fitted and rounded to three digits; everything else as given.
 * Each row's prevalence is met first; its shares keep their proportions as far as the limits on q allow.
 */
export function fitStartingValues(given: FitNetwork): FitNetwork {
  const network = structuredClone(given)
  const pairs = pairsByCause(network)
  const scales = network.conditions.map(() => 1)
  start(network, pairs, scales)
  for (let round = 0; round < ROUNDS; round++) {
    fitOnce(network, pairs, scales)
    if (rescale(network, scales) < STILL) break
  }
  for (const [index, list] of pairs) {
    const cause = network.causes[index]!
    if (!cause.isOther) cause.baseRate = roundTo3Digits(cause.baseRate)
    for (const { link } of list) link.q = roundTo3Digits(link.q)
  }
  return network
}

/** No q inside the limits gives the share; a cause is present at least as often as by chance. */
function isOutOfReach({ q, share }: FitLink, cause: FitCause): boolean {
  return cause.isOther ? q >= OTHER_LINK_CEILING || share! < cause.baseRate : q <= LINK_FLOOR
}

/** How well a network reproduces the row of one condition. */
export function reportRow(network: FitNetwork, condition: FitCondition): RowReport {
  const errors = condition.links
    .filter((link) => link.share !== undefined)
    .map((link) => {
      const posterior = posteriorOf(network, condition, link.cause)
      return { link, posterior, cause: network.causes[link.cause]!, error: posterior - link.share! }
    })
  const worst = errors.reduce((a, b) => (Math.abs(b.error) > Math.abs(a.error) ? b : a))
  return {
    condition: condition.id,
    wantedPrevalence: condition.prevalence!,
    prevalence: prevalenceOf(network, condition),
    worstShareError: worst.error,
    worstCause: worst.cause.id,
    rmsShareError: Math.sqrt(errors.reduce((sum, { error }) => sum + error ** 2, 0) / errors.length),
    leakFraction: condition.leak / condition.prevalence!,
    unmatched: errors
      .filter(({ link, cause, error }) => Math.abs(error) > NOTICEABLE && isOutOfReach(link, cause))
      .map(
        ({ link, cause, posterior }) =>
          `${cause.id}: share ${link.share}, reached ${posterior.toFixed(3)} with q ${link.q}, base rate ${cause.baseRate}`,
      ),
  }
}
