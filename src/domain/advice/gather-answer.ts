import { DomainError } from '../errors.ts'
import { type AnswerFinding, DONT_KNOW } from '../findings/finding.ts'
import type { EvidenceLedger } from './evidence-ledger.ts'
import { gatherContext } from './gather-context.ts'
import { gatherBand } from './gather-reading.ts'
import { gatherScreen } from './gather-screen.ts'
import { oneHot } from './weights.ts'

/** The result of a check, as what the check is about takes it. */
export function gatherAnswer(ledger: EvidenceLedger, finding: AnswerFinding, at: number): void {
  const check = ledger.find(ledger.result.index.check, finding.check, at, 'check')
  const { model, results, id } = ledger.release.checks[check]!
  if (finding.result !== DONT_KNOW && !results.includes(finding.result))
    throw new DomainError(
      'UNKNOWN_ID',
      `result must be one of ${results.join(', ')} or ${DONT_KNOW}, got ${finding.result}`,
      {
        path: `/findings/${at}/result`,
        limit: results.join(', '),
        value: finding.result,
      },
    )
  if (model.kind !== 'danger' && ledger.isPast(finding, at)) return
  if (isBeyondSenses(ledger, check, finding)) {
    ledger.setAside(at)
    return
  }
  // Which band counts as the answer is settled with what was measured.
  const isBand = model.kind === 'reading' && finding.result !== DONT_KNOW
  ledger.answered(check, finding.device, isBand ? undefined : finding.result)
  if (finding.result === DONT_KNOW) return
  if (model.kind === 'observation') {
    const effect = ledger.result.instance.effectOf(model.effect, finding.device)
    const level = model.levels.indexOf(finding.result)
    const weights = oneHot(model.levels.length, level, finding.reliability ?? 1)
    ledger.add({ effect, weights, level }, at, id)
  } else if (model.kind === 'reading') gatherBand(ledger, { reading: model.reading, check }, finding, at)
  else if (model.kind === 'applicability') {
    const isSet = model.sets.some(({ result }) => result === finding.result)
    // An answer that names none of the circumstances denies them all; one that names some leaves the others open.
    for (const set of model.sets)
      if (!isSet || set.result === finding.result)
        gatherContext(ledger, set.context, isSet, { at, reliability: finding.reliability, device: finding.device })
  } else if (model.kind === 'reveals') gatherScreen(ledger, finding.result === model.complete, finding)
}

/** Who cannot hear has not heard that it is silent; a danger sign that was noticed all the same counts. */
function isBeyondSenses(ledger: EvidenceLedger, check: number, { result }: AnswerFinding): boolean {
  const { senses = [], model } = ledger.release.checks[check]!
  const isSign = model.kind === 'danger' && result === model.sign
  return !isSign && senses.some((sense) => ledger.limits.lackingSenses?.includes(sense))
}
