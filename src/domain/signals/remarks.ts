import type { Decoded, SignalProblem, SignalProblemCode } from './signal-event.ts'

/** Ends a reading; caught in `decode` alone and never seen outside the core. */
class Refusal extends Error {
  readonly problem: SignalProblem

  constructor(problem: SignalProblem) {
    super(problem.message)
    this.problem = problem
  }
}

/** Longest piece of a signal that a problem repeats [characters]. */
const MAX_SHOWN = 40

/** `what` must be `limit`, got `value`; a long value is cut. */
export function problemOf(
  code: SignalProblemCode,
  what: string,
  limit: string | number,
  value: string | number,
): SignalProblem {
  const shown = typeof value === 'string' ? value.slice(0, MAX_SHOWN) : value
  return { code, message: `${what} must be ${limit}, got ${shown === '' ? 'nothing' : shown}`, limit, value: shown }
}

/** Stops the reading of this signal. */
export function refuse(problem: SignalProblem): never {
  throw new Refusal(problem)
}

/** What a reading of one signal found to say beside its result. */
export class Remarks {
  readonly isStrict: boolean
  readonly problems: SignalProblem[] = []

  constructor(isStrict: boolean) {
    this.isStrict = isStrict
  }

  /** Refused by a strict reading, noted by a lenient one. */
  tolerate(problem: SignalProblem): void {
    if (this.isStrict) refuse(problem)
    this.problems.push(problem)
  }

  /** Noted in either. */
  note(problem: SignalProblem): void {
    this.problems.push(problem)
  }
}

/** Runs a reading and gives its refusal as a value: a bad signal is an expected outcome. */
export function decode<T>(isStrict: boolean, read: (remarks: Remarks) => T): Decoded<T> {
  const remarks = new Remarks(isStrict)
  try {
    return { ok: true, value: read(remarks), problems: remarks.problems }
  } catch (error) {
    if (!(error instanceof Refusal)) throw error
    return { ok: false, problem: error.problem, problems: remarks.problems }
  }
}
