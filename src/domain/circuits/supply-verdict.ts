import type { SupplyCheck, SupplyInput } from './supply-types.ts'

/** Expected readings as shares of the nameplate: small plug-in units lose 10 to 25 % from open to loaded (common practice). */
const EXPECTED = {
  ac: { open: [1, 1.3], loaded: [0.9, 1.15] },
  dc: { open: [0.95, 1.35], loaded: [0.95, 1.05] },
} as const

/** Readings that a sound supply of this nameplate gives. */
export function expectedOf({ kind, ratedV }: SupplyInput): SupplyCheck['expected'] {
  const range = ([low, high]: readonly [number, number]) => ({ low: low * ratedV, high: high * ratedV })
  return { openV: range(EXPECTED[kind].open), loadedV: range(EXPECTED[kind].loaded) }
}

/** A wrong range reads almost nothing, or about double. */
function isWrongRange({ kind, meterRange }: SupplyInput): boolean {
  return meterRange !== undefined && meterRange !== kind
}

const DEAD_BELOW_FRACTION = 0.1

export function verdictOf(
  input: SupplyInput,
  expected: SupplyCheck['expected'],
): Pick<SupplyCheck, 'verdict' | 'because'> {
  const { openV, loadedV, ratedV, kind } = input
  if (isWrongRange(input))
    return {
      verdict: 'wrong-range',
      because: `The meter must be on ${kind.toUpperCase()} volts: the other range reads nonsense.`,
    }
  const isDead = openV !== undefined && openV < DEAD_BELOW_FRACTION * ratedV
  if (isDead) return { verdict: 'dead', because: 'Nothing comes out with the wires lifted: dead, or nothing goes in.' }
  if (loadedV === undefined)
    return {
      verdict: 'cannot-tell',
      because: 'An open reading alone proves little: read again joined to the running system.',
    }
  if (loadedV >= expected.loadedV.low && loadedV <= expected.loadedV.high)
    return { verdict: 'sound', because: 'It holds its nameplate voltage under the load.' }
  if (loadedV > expected.loadedV.high)
    return {
      verdict: 'cannot-tell',
      because: 'Higher than its nameplate under load: is it joined to the system, and is it the right supply?',
    }
  if (openV !== undefined && openV >= expected.openV.low && loadedV < 0.5 * ratedV)
    return {
      verdict: 'overloaded-or-shorted',
      because: 'Right when open, collapsed when joined: an overload or a short behind it, or its thermal limit.',
    }
  return {
    verdict: 'weak',
    because: 'Under its nameplate when joined: a worn supply, a low mains, a long thin wire or too much load.',
  }
}
