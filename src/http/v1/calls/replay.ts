import { type OpenAPIHono, z } from '@hono/zod-openapi'
import { compareAnswers } from '../../../domain/calls/compare.ts'
import type { Release } from '../../../ontology/release.ts'
import type { Basis } from '../../../services/basis.ts'
import { replaySentence } from '../../../services/calls/texts.ts'
import { type DiagnosisAnswer, diagnose } from '../../../services/diagnose.ts'
import { chosenRates } from '../../../services/learning/chosen-rates.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { Wording } from '../../../services/texts.ts'
import { releaseInQuery } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import type { ShopEnv } from '../../middleware/key.ts'
import { toLimits } from '../diagnose/index.ts'
import { noAdvice, SEQ, type WireLimits } from './advice.ts'
import { ReplaySchema } from './answers.ts'
import { findingsOf } from './checked.ts'
import { readRoute } from './routes.ts'
import { callsOf, ofCall, releaseOf } from './shared.ts'

const replayRoute = readRoute('/replay', 'replayCall', {
  summary: "What today's engine says to the findings that an answer was given on, against that answer",
  schema: ReplaySchema,
  query: z.object({
    advice: SEQ.optional(),
    release: z.string().max(32).optional().openapi({ description: 'The pinned release when left out' }),
  }),
})
/** The part of an answer that two of them are compared by. */
const compared = ({
  stop,
  causes,
  nextChecks,
  plan,
}: Pick<DiagnosisAnswer, 'stop' | 'causes' | 'nextChecks' | 'plan'>) => ({
  stop: stop?.kind ?? null,
  causes,
  checks: nextChecks.map(({ check, device }) => (device === undefined ? check : `${check} ${device}`)),
  remedies: plan.map(({ remedy }) => remedy),
})

/** The set of rates that a stored answer names; undefined for the published ones, and for a set that is gone. */
async function ratesOf({ shop, shops }: ShopEnv['Variables'], { basis, release }: { basis: Basis; release: Release }) {
  const { id } = basis.rates
  return id === 'published' ? undefined : chosenRates(await shops.learning.kept(shop, id), release)
}

export function registerReplay(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(replayRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    const { call } = c.req.valid('param')
    const query = c.req.valid('query')
    return ofCall(c, call, async () => {
      const whole = await calls.read(shop, call)
      const given =
        whole.advice.find(({ seq }) => String(seq) === query.advice) ?? (query.advice ? undefined : whole.advice.at(-1))
      if (!given) throw noAdvice(call)
      const release =
        query.release === undefined
          ? await releaseOf(shelf, whole)
          : await releaseInQuery(shelf, query.release, '?release')
      const stored = (await calls.answer(shop, call, given.seq)) as DiagnosisAnswer
      const limits = toLimits({ limits: given.limits as WireLimits })
      const wording = new Wording(release, await shelf.served(release, given.language))
      const findings = findingsOf(release, await calls.read(shop, call, given.seq))
      const learned = await ratesOf(c.var, { basis: stored.basis, release })
      const now = diagnose({ wording, findings, limits, ...(learned && { learned }) })
      const difference = compareAnswers(compared(stored), compared(now))
      return c.json(
        {
          call,
          seq: given.seq,
          stored: stored.basis,
          now: now.basis,
          isOtherEngine: stored.basis.engine !== now.basis.engine,
          isOtherRelease: stored.basis.sha256 !== now.basis.sha256,
          isOtherRates: stored.basis.rates.id !== now.basis.rates.id,
          sentence: replaySentence(stored.basis, now.basis, difference.isSame),
          ...difference,
        } as z.infer<typeof ReplaySchema>,
        200,
      )
    })
  })
}
