import type { Hook } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { dangerOf } from '../../../domain/advice/danger-sign.ts'
import type { Finding } from '../../../domain/findings/finding.ts'
import type { Release } from '../../../ontology/release.ts'
import { type DiagnosisAnswer, diagnose } from '../../../services/diagnose.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { Wording } from '../../../services/texts.ts'
import type { AppEnv } from '../../env.ts'
import { validationHook } from '../../middleware/validation-hook.ts'
import { isRefusal, problemBody } from '../../problem.ts'

/** The caller with nothing at hand: who is in danger is offered nothing else. */
const NO_LIMITS = { who: 'caller', tools: [], isOwnerVerified: false } as const

const textOf = (body: unknown, field: string): string | undefined => {
  const value = (body as Record<string, unknown> | null | undefined)?.[field]
  return typeof value === 'string' ? value : undefined
}

/** What a finding of any form says, as far as it may be a sign of danger. */
function possibleSign(finding: unknown): Finding {
  const [check, result] = [textOf(finding, 'check'), textOf(finding, 'result')]
  if (check !== undefined && result !== undefined) return { kind: 'answer', check, result }
  const context = textOf(finding, 'context')
  if (context !== undefined && textOf(finding, 'state') === 'holds') return { kind: 'context', context, state: 'holds' }
  const condition = textOf(finding, 'condition')
  if (condition !== undefined && textOf(finding, 'state') === 'present')
    return { kind: 'condition', condition, state: 'present' }
  return { kind: 'unmapped' }
}

/** The findings of a body of any form, signs of danger kept in their places and everything else set aside. */
function signsIn({ compiled }: Release, body: unknown): Finding[] {
  const sent: unknown = (body as { findings?: unknown } | null | undefined)?.findings
  return (Array.isArray(sent) ? sent : []).map((finding: unknown) => {
    const sign = possibleSign(finding)
    return dangerOf(compiled, sign) === undefined ? { kind: 'unmapped' } : sign
  })
}

/** Words of the release and language that a body asks for as far as there are such, else of the current one in English. */
async function wordingAnyway(shelf: ReleaseShelf, body: unknown): Promise<Wording> {
  const wish = textOf(body, 'language')
  try {
    const release = (await shelf.named(textOf(body, 'release') ?? 'latest')) ?? shelf.current()
    return new Wording(release, await shelf.served(release, wish))
  } catch {
    // The files of an edition or a language cannot be read: the current edition in English is always at hand.
    return new Wording(shelf.current(), await shelf.served(shelf.current(), 'en-US'))
  }
}

/** The answer to the signs of danger alone in a body of any form; undefined where there is none. */
export async function answerToSigns(shelf: ReleaseShelf, body: unknown): Promise<DiagnosisAnswer | undefined> {
  const wording = await wordingAnyway(shelf, body)
  const findings = signsIn(wording.release, body)
  if (findings.every(({ kind }) => kind === 'unmapped')) return undefined
  return diagnose({ wording, findings, limits: NO_LIMITS })
}

/**
 * The stop for a sign of danger in a request that cannot be answered otherwise, with the problem beside it; undefined where
 * there is no sign. A fault on our side is logged as one all the same.
 */
export async function dangerAnyway(
  c: Context,
  shelf: ReleaseShelf,
  { body, error }: { body: unknown; error: unknown },
) {
  const answer = await answerToSigns(shelf, body)
  if (answer === undefined) return undefined
  if (!isRefusal(error)) c.set('fault', error)
  c.header('Content-Language', answer.language)
  return { ...answer, problem: problemBody(error, c.get('requestId') as string | undefined) }
}

/** A sign of danger is answered even in a request of the wrong form; anything else of that kind is refused. */
export const refuseUnlessDanger =
  (shelf: ReleaseShelf): Hook<unknown, AppEnv, string, unknown> =>
  async (result, c) => {
    try {
      return validationHook(result, c)
    } catch (error) {
      const danger = await dangerAnyway(c, shelf, { body: (result as { data?: unknown }).data, error })
      if (!danger) throw error
      return c.json(danger, 200)
    }
  }
