import type { Gathered } from './gathered.ts'

/** Circumstances that a list of parts tells by itself, by their ids. */
const SEVERAL = 'context/several-devices'
const ONE = 'context/one-device'

/** A circumstance that a list of devices tells, and the condition of a device that it was counted by. */
export interface Counted {
  context: number
  effect: number
}

/**
 * Whether one device or several show the same item, as far as the list tells: two under one condition are several, however
 * much is left to be read; one is the only one when everything was read and no other is under any condition.
 */
export function countedDevices({ index, instance, present, isScreenComplete }: Gathered): Counted | undefined {
  const { release } = instance
  const ofDevices = present.filter(
    ({ condition }) => release.effects[release.conditions[condition]!.effect]!.isPerDevice,
  )
  const [first] = ofDevices
  if (first === undefined) return undefined
  const several = ofDevices.find(
    (one) =>
      one.device !== undefined &&
      ofDevices.some(
        ({ condition, device }) => condition === one.condition && device !== undefined && device < one.device!,
      ),
  )
  const isOne = isScreenComplete && ofDevices.every(({ device }) => device !== undefined && device === first.device)
  const context = several ? index.context.get(SEVERAL) : isOne ? index.context.get(ONE) : undefined
  return context === undefined ? undefined : { context, effect: (several ?? first).effect }
}
