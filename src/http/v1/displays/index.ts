import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import { decodeDisplay } from '../../../services/decode-display.ts'
import { faultsOfProfile, profileHash } from '../../../services/display-profiles.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { LIMITS } from '../../limits.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { BODY_PROBLEMS, json, jsonBody, KEY_PROBLEMS } from '../../schema.ts'
import { profileFaultFields, profileHook, soundProfile } from './profile-in-body.ts'
import {
  DecodeAnswerSchema,
  type DecodeRequest,
  DecodeRequestSchema,
  ProfileBodySchema,
  VerdictSchema,
} from './schema.ts'

const decodeRoute = createRoute({
  method: 'post',
  path: '/v1/displays/decode',
  operationId: 'decodeDisplay',
  tags: ['displays'],
  security: [{}, { shopKey: ['profiles'] }],
  summary: 'What a partial look at a display tells, what it still hides, and the next act that tells most',
  middleware: requireAccept('application/json'),
  request: jsonBody(DecodeRequestSchema),
  responses: {
    200: json(DecodeAnswerSchema, 'Facts, hidden screens, next act, findings'),
    ...KEY_PROBLEMS,
    ...BODY_PROBLEMS,
  },
})

const validateRoute = createRoute({
  method: 'post',
  path: '/v1/profiles/validate',
  operationId: 'validateProfile',
  tags: ['displays'],
  summary: 'Whether a display profile can be read: nothing unknown, ambiguous, unreachable or without a way back',
  middleware: requireAccept('application/json'),
  request: jsonBody(ProfileBodySchema),
  responses: { 200: json(VerdictSchema, 'The verdict'), ...BODY_PROBLEMS },
})

function refuse(what: string, code: string, limit: number, value: number): never {
  const detail = `observed must hold at most ${limit} ${what}, got ${value}`
  throw new ProblemError('INPUT_INVALID', detail, [{ pointer: '/observed', code, detail, limit, value }])
}

function checkMarks({ observed }: DecodeRequest): void {
  const count = observed.reduce((sum, { on }) => sum + on.length, 0)
  if (count > LIMITS.litMarks) refuse('marks that are on', 'TOO_BIG', LIMITS.litMarks, count)
}

/** A diagnosis takes no more devices, so no more are put into findings. */
function checkDevices({ findings }: Awaited<ReturnType<typeof decodeDisplay>>): void {
  const devices = new Set(findings.flatMap((finding) => ('device' in finding ? [finding.device] : []))).size
  if (devices > LIMITS.devices) refuse('devices', 'TOO_MANY_DEVICES', LIMITS.devices, devices)
}

export function registerDisplays(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(
    decodeRoute,
    async (c) => {
      const body = c.req.valid('json')
      checkMarks(body)
      const wording = await wordingFor(c, shelf, body)
      const profile = await soundProfile(c, wording.release, body.profile)
      const answer = await decodeDisplay({ wording, profile, observed: body.observed, mostFindings: LIMITS.findings })
      checkDevices(answer)
      return c.json(answer, 200)
    },
    profileHook as never,
  )
  app.openapi(validateRoute, async (c) => {
    const profile = c.req.valid('json')
    const { release } = await wordingFor(c, shelf, { release: profile.release })
    const faults = profileFaultFields(faultsOfProfile(release, profile), (path) => path)
    const sha256 = await profileHash(profile)
    const verdict = { release: release.version, profile: profile.profile, sha256, isValid: faults.length === 0, faults }
    return c.json(verdict, 200)
  })
}
