import { type Calibration, calibrate, type Forecast } from '../../domain/learning/calibration.ts'
import { type CauseAt, judgeOutcome } from '../../domain/learning/outcome.ts'
import type { newestPredictions } from '../../store/learning-outcomes.ts'
import { toOutcome } from './current-set.ts'
import type { ReleaseFacts } from './facts.ts'

/** Calls that a look at the calibration goes back at most. */
export const CALIBRATION_CALLS = 200

export interface CalibrationOf extends Calibration {
  /** The rates that the engine held then. */
  rates: 'published' | 'learned'
}

type Predictions = Awaited<ReturnType<typeof newestPredictions>>
const keyOf = ({ cause, device }: CauseAt) => `${cause} ${device ?? ''}`

/** What was held of each cause of a call whose causes are known. Left out: merely claimed causes, and those ruled out (0). */
function forecastsOf(row: Predictions[number], { facts }: ReleaseFacts): Forecast[] {
  const outcome = toOutcome({ ...row, conclusion: 'confirmed', devices: '[]', hasUnnamedDevice: false })
  const { isCounted, counted, claimed } = judgeOutcome(outcome, facts)
  if (!isCounted) return []
  const was = new Set(counted.map(keyOf))
  const open = new Set(claimed.map(keyOf))
  const predicted = JSON.parse(row.predicted) as (CauseAt & { probability: number })[]
  return predicted
    .filter((one) => one.probability > 0 && !open.has(keyOf(one)))
    .map((one) => ({ probability: Math.min(one.probability, 1), happened: was.has(keyOf(one)) }))
}

/** Calibration of what was held on published and on learned rates, apart. */
export function calibrationOf(rows: Predictions, facts: ReleaseFacts): CalibrationOf[] {
  return (['published', 'learned'] as const).flatMap((rates) => {
    const calls = rows
      .filter(({ ratesId }) => (ratesId === 'published') === (rates === 'published'))
      .map((row) => forecastsOf(row, facts))
      .filter(({ length }) => length > 0)
    return calls.length === 0 ? [] : [{ rates, ...calibrate(calls) }]
  })
}
