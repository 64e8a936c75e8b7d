import { advise } from '../domain/advice/advise.ts'
import { currentRelease } from '../ontology/release.ts'
import { answerOf, opening } from './cases/caller.ts'
import { readCases } from './cases/case.ts'

/** Rounds before the measured ones: a warm service; the first answer of a fresh process is measured elsewhere. */
const WARM_UP = 3
const ROUNDS = 6
const at = (sorted: readonly number[], share: number) => sorted[Math.floor(share * (sorted.length - 1))]!

/** Whole answers of the core over the written calls, as they open and three answers later; the same round twice for noise. */
export function benchCases(): void {
  const release = currentRelease().compiled
  const states = [...readCases('tuned'), ...readCases('heldOut')].flatMap((one) => {
    const limits = { who: one.who, tools: one.tools }
    const first = opening(one)
    const { searched } = advise({ release, findings: first, limits })
    const answers = searched.checks.slice(0, 3).map((next) => answerOf(release, one, next))
    return [first, [...first, ...answers]].map((findings) => ({ release, findings, limits }))
  })
  const round = () =>
    states.map((state) => {
      const start = process.hrtime.bigint()
      advise(state)
      return Number(process.hrtime.bigint() - start) / 1e6
    })
  for (let at = 0; at < WARM_UP; at++) round()
  const rounds = Array.from({ length: ROUNDS }, round)
  const times = rounds.flat().sort((a, b) => a - b)
  const [first, second] = rounds.map((one) =>
    at(
      [...one].sort((a, b) => a - b),
      0.5,
    ),
  ) as [number, number]
  console.log(
    `whole answer of the core over ${states.length} states of the written calls: p50 ${at(times, 0.5).toFixed(2)} ms, p90 ${at(times, 0.9).toFixed(1)} ms, p99 ${at(times, 0.99).toFixed(1)} ms, most ${times.at(-1)!.toFixed(1)} ms; noise ${(second / first).toFixed(2)}`,
  )
}
