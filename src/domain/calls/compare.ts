/** What two answers to the same call are compared by. */
export interface ComparedAnswer {
  stop: string | null
  causes: readonly { cause: string; device?: string | undefined; probability: number }[]
  checks: readonly string[]
  remedies: readonly string[]
}
export interface CauseDifference {
  cause: string
  device?: string
  /** Absent where the answer does not list it. */
  before?: number
  after?: number
}
export interface AnswerDifference {
  isSame: boolean
  stop?: { before: string | null; after: string | null }
  causes: CauseDifference[]
  checks?: { before: readonly string[]; after: readonly string[] }
  remedies?: { before: readonly string[]; after: readonly string[] }
}

/** Probabilities as near as this are the same number, written and read again. */
const SAME = 1e-9

const keyOf = ({ cause, device = '' }: { cause: string; device?: string | undefined }) => `${cause} ${device}`
const isSameList = (a: readonly string[], b: readonly string[]) =>
  a.length === b.length && a.every((id, index) => id === b[index])

function causeDifferences(before: ComparedAnswer, after: ComparedAnswer): CauseDifference[] {
  const old = new Map(before.causes.map((one) => [keyOf(one), one]))
  const now = new Map(after.causes.map((one) => [keyOf(one), one]))
  return [...new Set([...old.keys(), ...now.keys()])].flatMap((key) => {
    const [was, is] = [old.get(key), now.get(key)]
    if (was && is && Math.abs(was.probability - is.probability) <= SAME) return []
    const { cause, device } = (was ?? is)!
    return [
      {
        cause,
        ...(device === undefined ? {} : { device }),
        ...(was ? { before: was.probability } : {}),
        ...(is ? { after: is.probability } : {}),
      },
    ]
  })
}

/**
 * What differs between two answers to the same findings.
 *
 * @param before - the answer that was given
 * @param after - the answer that is given now
 * @returns each difference; `isSame` when there is none
 * @source judgement
 */
export function compareAnswers(before: ComparedAnswer, after: ComparedAnswer): AnswerDifference {
  const causes = causeDifferences(before, after)
  const stop = before.stop === after.stop ? {} : { stop: { before: before.stop, after: after.stop } }
  const lists = (['checks', 'remedies'] as const).filter((name) => !isSameList(before[name], after[name]))
  const listed = Object.fromEntries(lists.map((name) => [name, { before: before[name], after: after[name] }]))
  const isSame = causes.length === 0 && lists.length === 0 && before.stop === after.stop
  return { isSame, ...stop, causes, ...listed }
}
