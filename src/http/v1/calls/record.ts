import type { OpenAPIHono } from '@hono/zod-openapi'
import type { CallEventBody, SentFinding } from '../../../domain/calls/event.ts'
import type { CallState } from '../../../domain/calls/state.ts'
import { given } from '../../../domain/given.ts'
import { redact } from '../../../domain/words/redact.ts'
import type { Release } from '../../../ontology/release.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv } from '../../env.ts'
import {
  AddFindingsSchema,
  AddNoteSchema,
  ArrangeContactSchema,
  FollowUpSchema,
  RecordAttemptSchema,
  RecordStepSchema,
  ReopenCallSchema,
} from './bodies.ts'
import { requireFindings, requireId, requireResult } from './checked.ts'
import { writeRoute } from './routes.ts'
import { addTo, written } from './shared.ts'

const findings = writeRoute('findings', 'addFindings', {
  summary: 'Adds findings to a call in order, with who said them',
  schema: AddFindingsSchema,
})
const steps = writeRoute('steps', 'recordStep', {
  summary: 'Records what was asked, answered, checked, skipped, done or withdrawn',
  schema: RecordStepSchema,
})
const notes = writeRoute('notes', 'addNote', { summary: 'Adds a short note in free text', schema: AddNoteSchema })
const contact = writeRoute('contact', 'arrangeContact', {
  summary: 'Whom to call back, when and how, by references of the shop',
  schema: ArrangeContactSchema,
})
const attempts = writeRoute('attempts', 'recordAttempt', {
  summary: 'An attempt to reach the caller, and what came of it',
  schema: RecordAttemptSchema,
})
const followUp = writeRoute('follow-up', 'followUpCall', {
  summary: 'The answer to the closing question, a day or two after the close',
  schema: FollowUpSchema,
})
const reopen = writeRoute('reopen', 'reopenCall', {
  summary: 'Opens a closed call again; its outcome counts no more',
  schema: ReopenCallSchema,
})

type Step = ReturnType<typeof RecordStepSchema.parse>

/** @throws 422 when the step names what the release does not have */
function requireStep(release: Release, step: Step): void {
  if (step.kind === 'answered' || step.kind === 'checked') requireResult(release, step.check, step.result)
  if (step.kind === 'asked' || step.kind === 'skipped') requireId(release, 'check', step.check, '/check')
  if (step.kind === 'tried') requireId(release, 'remedy', step.remedy, '/remedy')
}

/** A step as it is logged; a remedy that was tried is a finding as well, and keeps its place. */
const stepEvent = ({ findings }: CallState, step: Step) =>
  given(step.kind === 'tried' ? { ...step, finding: findings.length } : step) as CallEventBody

const momentOf = (time: string | null | undefined) => (typeof time === 'string' ? Date.parse(time) : time)

function registerSaid(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(findings, async (c) => {
    const body = c.req.valid('json')
    const at = { call: c.req.valid('param').call, body }
    const made = await addTo(c, shelf, at, ({ release }) => {
      requireFindings(release, body.findings)
      return { kind: 'found', by: body.by, findings: body.findings as unknown as SentFinding[] }
    })
    return c.json(written(c, made), 200)
  })
  app.openapi(steps, async (c) => {
    const body = c.req.valid('json')
    const made = await addTo(c, shelf, { call: c.req.valid('param').call, body }, ({ release, state }) => {
      requireStep(release, body)
      return stepEvent(state, body)
    })
    return c.json(written(c, made), 200)
  })
  app.openapi(notes, async (c) => {
    const body = c.req.valid('json')
    const text = redact(body.text)
    const note = { kind: 'noted' as const, by: body.by, text, isRedacted: text !== body.text }
    return c.json(written(c, await addTo(c, shelf, { call: c.req.valid('param').call, body }, () => note)), 200)
  })
}

function registerContact(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(contact, async (c) => {
    const body = c.req.valid('json')
    const fields = given({ ...body, callbackDue: momentOf(body.callbackDue) })
    const event = { kind: 'arranged', ...fields } as CallEventBody
    return c.json(written(c, await addTo(c, shelf, { call: c.req.valid('param').call, body }, () => event)), 200)
  })
  app.openapi(attempts, async (c) => {
    const body = c.req.valid('json')
    const event = { kind: 'attempted' as const, ...body }
    return c.json(written(c, await addTo(c, shelf, { call: c.req.valid('param').call, body }, () => event)), 200)
  })
  app.openapi(followUp, async (c) => {
    const body = c.req.valid('json')
    const event = { kind: 'followed-up' as const, ...body }
    return c.json(written(c, await addTo(c, shelf, { call: c.req.valid('param').call, body }, () => event)), 200)
  })
  app.openapi(reopen, async (c) => {
    const body = c.req.valid('json')
    const event = { kind: 'reopened' as const, ...body }
    return c.json(written(c, await addTo(c, shelf, { call: c.req.valid('param').call, body }, () => event)), 200)
  })
}

export function registerRecords(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerSaid(app, shelf)
  registerContact(app, shelf)
}
