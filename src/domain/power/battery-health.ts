import { DomainError } from '../errors.ts'
import { type Step, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { normalUpperTail } from '../readings/normal.ts'
import { combineEstimates, type HealthEstimate } from './discharge-health.ts'
import {
  type AgeEvidence,
  ageFinding,
  type CapacityTestEvidence,
  CLEAR,
  capacityTestFinding,
  END_OF_LIFE_FRACTION,
  type Finding,
  type LoadTestEvidence,
  loadTestFinding,
  type OutageEvidence,
  outageFinding,
  type RestVoltageEvidence,
  restVoltageFinding,
  SOUND_FROM_V,
  verdictOf,
  WORN_BELOW_V,
} from './health-evidence.ts'

export interface BatteryHealthInput {
  ratedCapacityAh: number
  ratedDurationHours?: number
  nominalVoltageV?: 6 | 12 | 24
  temperatureC?: number
  outages?: readonly OutageEvidence[]
  restVoltage?: RestVoltageEvidence
  loadTest?: LoadTestEvidence
  capacityTest?: CapacityTestEvidence
  age?: AgeEvidence
}
export interface BatteryHealth {
  verdict: 'sound' | 'worn' | 'cannot-tell'
  because: string
  /** Capacity left as a share of the rated one, where outages or a capacity test allow an estimate: two standard uncertainties either way. */
  capacity?: { lowFraction: number; fraction: number; highFraction: number; probabilityBelowEndOfLife: number }
  atLeastFraction?: number
  endOfLife: { fraction: number; source: string }
  findings: Finding[]
  wouldChange: string[]
  steps: Step[]
  validity: string
  hazards: string[]
}

/** A measured verdict outranks one by bands; age alone decides nothing. */
function overall(
  findings: readonly Finding[],
  combined: HealthEstimate | undefined,
): Pick<BatteryHealth, 'verdict' | 'because'> {
  const under = findings.find(({ evidence }) => evidence === 'load-test')
  const dead = findings.find(({ evidence, verdict }) => evidence === 'rest-voltage' && verdict === 'worn')
  const measured = combined && verdictOf(combined)
  const bound = findings.find(({ atLeastFraction }) => (atLeastFraction ?? 0) >= END_OF_LIFE_FRACTION)
  const opinions = [measured, under?.verdict, bound?.verdict].filter(
    (verdict) => verdict === 'sound' || verdict === 'worn',
  )
  if (new Set(opinions).size > 1)
    return {
      verdict: 'cannot-tell',
      because: 'The evidence disagrees: recharge for 24 hours and make a load test again.',
    }
  if (dead) return { verdict: 'worn', because: dead.text }
  if (opinions.length > 0) {
    const verdict = opinions[0] as 'sound' | 'worn'
    if (measured === verdict) return { verdict, because: 'By the charge it gave.' }
    return { verdict, because: (under?.verdict === verdict ? under : bound!).text }
  }
  return {
    verdict: 'cannot-tell',
    because:
      'What is known does not decide it. A load test tells most: mains off, the system running, voltage after 5 minutes.',
  }
}

function capacityOf({ fraction, uncertainty }: HealthEstimate): NonNullable<BatteryHealth['capacity']> {
  return {
    lowFraction: Math.max(0, fraction - 2 * uncertainty),
    fraction,
    highFraction: fraction + 2 * uncertainty,
    probabilityBelowEndOfLife: 1 - normalUpperTail((END_OF_LIFE_FRACTION - fraction) / uncertainty),
  }
}

function stepsOf(combined: HealthEstimate | undefined): Step[] {
  if (!combined) return []
  return [
    {
      formula:
        'share left = charge drawn, referred to the rated time / (share used at the signal x rated capacity); estimates weighted by 1 / uncertainty^2',
      substituted: `${written(combined.fraction)} with a standard uncertainty of ${written(combined.uncertainty)}`,
      value: combined.fraction,
      unit: '1',
      source: 'charge balance; Peukert (1897); JCGM 100:2008 5.1.2 (from memory)',
    },
  ]
}

function wouldChange({ loadTest, nominalVoltageV = 12 }: BatteryHealthInput, combined?: HealthEstimate): string[] {
  const volts = (sixCells: number) => written((sixCells * nominalVoltageV) / 12)
  const percent = (fraction: number) => written(Math.round(1000 * fraction) / 10)
  return [
    ...(combined
      ? [
          `The capacity lies ${percent(Math.abs(combined.fraction - END_OF_LIFE_FRACTION))} points from the criterion of ${percent(END_OF_LIFE_FRACTION)} %: it decides while its standard uncertainty is under ${percent(Math.abs(combined.fraction - END_OF_LIFE_FRACTION) / CLEAR)} points.`,
        ]
      : []),
    ...(loadTest
      ? []
      : [
          `A load test: under ${volts(WORN_BELOW_V)} V after 5 minutes says worn, ${volts(SOUND_FROM_V)} V or more says sound.`,
        ]),
    ...(combined || !loadTest
      ? []
      : ['A whole outage down to the low-battery signal, or a discharge test, would give the capacity itself.']),
  ]
}

/**
 * Whether a standby battery still has the capacity that counts as sound, from whatever is known of it.
 *
 * outages and capacity tests give estimates, combined by their uncertainties; a load test decides by bands; rest voltage and age seldom decide
 *
 * @throws DomainError QUANTITY_OUT_OF_RANGE, all mistakes together; NO_EVIDENCE when nothing is known
 * @validity lead-acid; one battery; "cannot tell" is an answer
 * @source each finding names its own
 */
export function batteryHealth(input: BatteryHealthInput): BatteryHealth {
  const { ratedCapacityAh, ratedDurationHours = 20, nominalVoltageV = 12, temperatureC = 25 } = input
  refuseTogether([
    () => within(ratedCapacityAh, '/ratedCapacity', 0.01, 10_000, 'Ah'),
    () => within(ratedDurationHours, '/ratedDuration', 0.1, 240, 'h'),
  ])
  const rated = { capacityAh: ratedCapacityAh, durationHours: ratedDurationHours, nominalVoltageV }
  const { outages = [], restVoltage, loadTest, capacityTest, age } = input
  const findings: Finding[] = []
  refuseTogether([
    ...outages.map(
      (outage, index) => () => findings.push(outageFinding(outage, rated, temperatureC, `/outages/${index}`)),
    ),
    () => restVoltage && findings.push(restVoltageFinding(restVoltage, rated)),
    () => loadTest && findings.push(loadTestFinding(loadTest, rated)),
    () => capacityTest && findings.push(capacityTestFinding(capacityTest)),
    () => age && findings.push(ageFinding(age)),
  ])
  if (findings.length === 0)
    throw new DomainError('NO_EVIDENCE', 'give at least one of outages, restVoltage, loadTest, capacityTest and age', {
      path: '',
    })
  const estimates = findings.flatMap(({ estimate }) => (estimate ? [estimate] : []))
  const combined = estimates.length > 0 ? combineEstimates(estimates) : undefined
  const bounds = findings.flatMap(({ atLeastFraction }) => (atLeastFraction === undefined ? [] : [atLeastFraction]))
  return {
    ...overall(findings, combined),
    ...(combined && { capacity: capacityOf(combined) }),
    ...(bounds.length > 0 ? { atLeastFraction: Math.max(...bounds) } : {}),
    endOfLife: { fraction: END_OF_LIFE_FRACTION, source: 'IEEE 1188 (from memory); a storage-battery text (read)' },
    findings,
    wouldChange: wouldChange(input, combined),
    steps: stepsOf(combined),
    validity:
      'Lead-acid, one battery, full at the start of each outage. Shares and bands are judgement where they say so.',
    hazards: ['hazard/vrla-short-circuit', 'hazard/vrla-acid-and-gas'],
  }
}
