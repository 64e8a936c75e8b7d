import { type BatterySize, type SizingInput, sizeBattery } from '../domain/power/size-battery.ts'
import { basisOf } from './basis.ts'
import type { Wording } from './texts.ts'
import { wireSteps } from './wire-steps.ts'
import { wordHazard } from './word-cautions.ts'

/** Hazards of handling a standby battery, shown with every size. */
const HAZARDS = ['hazard/vrla-short-circuit', 'hazard/vrla-acid-and-gas']

const amount = (value: number, unit: string) => ({ value, unit })

function wordLoad({ load }: BatterySize) {
  return {
    standbyCurrent: amount(load.standbyCurrentA, 'A'),
    alarmCurrent: amount(load.alarmCurrentA, 'A'),
    standbyDuration: amount(load.standbyDurationHours, 'h'),
    alarmDuration: amount(load.alarmDurationHours, 'h'),
  }
}

function wordChoice({ recommended, noneBecause, largestAllowedAh, decisionChangesAt }: BatterySize) {
  return {
    ...(recommended && {
      recommended: {
        capacity: amount(recommended.capacityAh, 'A.h'),
        blockVoltage: amount(recommended.blockVoltageV, 'V'),
        inSeries: recommended.inSeries,
        inParallel: recommended.inParallel,
      },
    }),
    ...(noneBecause === undefined ? {} : { noneBecause }),
    ...(largestAllowedAh === undefined ? {} : { largestAllowed: amount(largestAllowedAh, 'A.h') }),
    ...(decisionChangesAt && {
      decisionChangesAt: {
        standbyCurrent: amount(decisionChangesAt.standbyCurrentA, 'A'),
        standbyDuration: amount(decisionChangesAt.standbyHours, 'h'),
      },
    }),
  }
}

/** Sizes a battery and puts units and cautions to the answer. */
export function wordBatterySize(wording: Wording, input: SizingInput) {
  const size = sizeBattery(input)
  return {
    basis: basisOf(wording.release),
    ...wording.stated(),
    load: wordLoad(size),
    loadCharge: amount(size.loadChargeAh, 'A.h'),
    requiredCapacity: amount(size.requiredCapacityAh, 'A.h'),
    factors: size.factors,
    steps: wireSteps(size.steps),
    ...wordChoice(size),
    whatIf: size.whatIf.map(({ standbyHours, requiredCapacityAh, recommendedCapacityAh }) => ({
      standbyDuration: amount(standbyHours, 'h'),
      requiredCapacity: amount(requiredCapacityAh, 'A.h'),
      ...(recommendedCapacityAh === undefined ? {} : { recommendedCapacity: amount(recommendedCapacityAh, 'A.h') }),
    })),
    warnings: size.warnings,
    validity: size.validity,
    wouldChange: size.wouldChange,
    cautions: HAZARDS.map((id) => wordHazard(wording, id)),
  }
}
