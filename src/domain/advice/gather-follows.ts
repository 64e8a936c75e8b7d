import { DONT_KNOW } from '../findings/finding.ts'
import { type Claim, closure, keyOf, said, shown } from './claims.ts'
import { dropContradictions } from './drop-contradictions.ts'
import type { EvidenceLedger } from './evidence-ledger.ts'
import { type Gathered, SURELY } from './gathered.ts'

/** Whether two claims cannot both be right. */
function isAtOdds({ index }: Gathered, one: Claim, other: Claim): boolean {
  if (one.finding === other.finding || one.device !== other.device) return false
  if (one.context === other.context) return one.holds !== other.holds
  return one.holds && other.holds && index.dimensionOf[one.context] === index.dimensionOf[other.context]
}

/** Whether what is shown stands against what was said. */
const outweighs = (one: Claim, other: Claim) =>
  one.isShown && !other.isShown && (one.degree >= SURELY || one.degree >= other.degree)

type Pair = readonly [Claim, Claim]
function pairsAtOdds(known: Gathered, claims: readonly Claim[]): Pair[] {
  const pairs: Pair[] = []
  claims.forEach((one, at) => {
    for (let next = at + 1; next < claims.length; next++)
      if (isAtOdds(known, one, claims[next]!)) pairs.push([one, claims[next]!])
  })
  return pairs
}

/** Pairs by what settles them, in order, each with those that lose. */
const SETTLING: readonly [isDue: (pair: Pair) => boolean, losers: (pair: Pair) => readonly Claim[]][] = [
  [
    ([one, other]) => outweighs(one, other) || outweighs(other, one),
    ([one, other]) => [outweighs(one, other) ? other : one],
  ],
  [([one, other]) => one.isShown && other.isShown, (pair) => pair],
  [() => true, (pair) => pair],
]

/**
 * The claims that count. What the display shows outweighs what was said, and then nothing of that finding counts; of two
 * things shown, or two said, neither counts where they disagree. Every pair is named as a contradiction.
 */
function settled(ledger: EvidenceLedger, start: readonly Claim[]): { claims: Claim[]; refuted: ReadonlySet<number> } {
  const { result, release } = ledger
  const refuted = new Set<number>()
  const doubtful = new Set<string>()
  let claims = closure(ledger, start, doubtful)
  if (pairsAtOdds(result, claims).length === 0) return { claims, refuted }
  for (const [isDue, losers] of SETTLING) {
    for (const pair of pairsAtOdds(result, claims).filter(isDue)) {
      ledger.contradict(pair[0].finding, pair[1].finding, release.contexts[pair[0].context]!.id)
      for (const claim of losers(pair))
        if (claim.isShown) doubtful.add(keyOf(claim))
        else refuted.add(claim.finding)
    }
    const left = start.filter(({ finding, isShown }) => isShown || !refuted.has(finding))
    claims = closure(ledger, left, doubtful)
  }
  return { claims, refuted }
}

/** What follows is entered with what was stated; the surer of two that say the same decides how surely. */
function enter(ledger: EvidenceLedger, { context, device, holds, degree, finding }: Claim): void {
  for (const stated of ledger.statedFor(context, device)) {
    const where = holds ? stated.contexts : stated.excludedContexts
    const degrees = holds ? stated.degrees : stated.exclusionDegrees
    degrees.set(context, where.has(context) ? Math.max(degree, degrees.get(context) ?? 1) : degree)
    if (!where.has(context)) where.set(context, finding)
  }
}

/** Nothing of a refuted finding counts; an answer was given all the same, and what it gave is not known. */
function dropRefuted(ledger: EvidenceLedger, refuted: ReadonlySet<number>): void {
  const { result, findings, disputed } = ledger
  for (const at of refuted) {
    disputed.add(at)
    const finding = findings[at]!
    if (finding.kind !== 'answer') continue
    const answers = result.answers.get(ledger.keyOf(result.index.check.get(finding.check)!, finding.device))
    answers?.delete(finding.result)
    answers?.add(DONT_KNOW)
  }
  if (refuted.size > 0) dropContradictions(ledger)
}

/**
 * Circumstances that follow from what stands, what holds and what was answered, entered beside those that were stated.
 *
 * @param order - positions of the findings by what they say
 */
export function gatherFollows(ledger: EvidenceLedger, order: readonly number[]): void {
  const { brings, hasFollows } = ledger.result.index
  const witnessed = shown(ledger)
  if (witnessed.length === 0 && !hasFollows) return
  const start = [...witnessed, ...said(ledger, order)]
  if (start.every(({ isStated, context }) => isStated && brings[context]!.size === 1)) return
  const { claims, refuted } = settled(ledger, start)
  dropRefuted(ledger, refuted)
  for (const claim of claims) if (!claim.isStated) enter(ledger, claim)
}
