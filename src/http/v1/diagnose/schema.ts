import { z } from '@hono/zod-openapi'
import { TRIED_RESULTS } from '../../../domain/findings/finding.ts'
import { SENSES } from '../../../ontology/shape.ts'
import { RatesFieldSchema } from '../../chosen-rates.ts'
import { LIMITS } from '../../limits.ts'
import { MeterSchema } from '../../meter.ts'
import { OverlayBodySchema } from '../../overlay-in-body.ts'
import {
  AmountSchema,
  BASIS_STATED,
  ONTOLOGY_FIELDS,
  ProblemSchema,
  QuantitySchema,
  WouldChangeSchema,
} from '../../schema.ts'

import { ProtectedSchema, SilenceSchema } from './protected-schema.ts'

const Id = z.string().min(3).max(120)
const common = {
  id: z.string().max(64).optional().openapi({ description: "The app's own name of this finding; not used" }),
  device: z.string().min(1).max(64).optional().openapi({
    description:
      'Device, zone or module it belongs to; a circumstance of the whole system holds whatever is named here',
  }),
  reliability: z.number().min(0.5).max(1).optional().openapi({ description: 'Probability that it is as stated' }),
  observedAt: z.iso.datetime({ offset: true }).optional().openapi({
    description:
      'When it was seen: of two findings about one thing the newer counts; without it, one may be as new as the other',
  }),
  source: z.string().max(64).optional(),
  tense: z.enum(['now', 'earlier']).optional(),
  until: z.iso.datetime({ offset: true }).optional().openapi({
    description: 'When it ends to hold, such as the end of a test; without `limits.at` it counts as ended',
  }),
}

export const FindingSchema = z
  .discriminatedUnion('kind', [
    z.strictObject({ kind: z.literal('condition'), condition: Id, state: z.enum(['present', 'absent']), ...common }),
    z.strictObject({ kind: z.literal('answer'), check: Id, result: z.string().max(64), ...common }),
    z.strictObject({
      kind: z.literal('reading'),
      reading: Id,
      quantity: QuantitySchema,
      meter: MeterSchema.optional(),
      ...common,
    }),
    z
      .strictObject({
        kind: z.literal('signal'),
        scheme: z.string().min(1).max(40),
        code: z.string().min(1).max(20),
        state: z
          .enum(['present', 'absent'])
          .optional()
          .openapi({ description: 'absent: its restoral came; present when left out' }),
        ...common,
      })
      .openapi({ description: 'A code of a standard, taken through the crosswalk' }),
    z.strictObject({ kind: z.literal('context'), context: Id, state: z.enum(['holds', 'does-not-hold']), ...common }),
    z.strictObject({
      kind: z.literal('screen'),
      complete: z.boolean().openapi({ description: 'True: everything the display holds has been read' }),
      ...common,
    }),
    z.strictObject({ kind: z.literal('tried'), remedy: Id, result: z.enum(TRIED_RESULTS), ...common }).openapi({
      description:
        'A remedy that was carried out. no-change: it speaks against what it removes, and is not planned again there. cleared: the conditions it clears are over unless they were seen later. came-back: it says nothing of what is now',
    }),
  ])
  .openapi('Finding')

export const LimitsSchema = z
  .strictObject({
    who: z.enum(['caller', 'handy', 'technician']).default('caller'),
    tools: z
      .array(z.string().max(40))
      .max(40)
      .default([])
      .openapi({ example: ['multimeter'], description: 'Beyond what nearly everybody has: `tools` of the ontology' }),
    lackingTools: z
      .array(z.string().max(40))
      .max(40)
      .optional()
      .openapi({ example: ['tape'], description: 'What nearly everybody has and this person has not' }),
    duration: QuantitySchema.optional().openapi({ description: 'Longest check that may be offered' }),
    ownerVerified: z.boolean().optional().openapi({
      description: 'It is sure that the caller may decide over the system; else nothing that lowers security',
    }),
    at: z.iso.datetime({ offset: true }).optional().openapi({ description: 'Time of the call' }),
    lackingSenses: z
      .array(z.enum(SENSES))
      .max(SENSES.length)
      .optional()
      .openapi({ description: 'What the caller cannot do: not asked for, and an answer that needs it is not known' }),
    questionsAtOnce: z.number().int().min(1).max(6).optional().openapi({
      description: 'Names in `together` so many quick questions that can be put in one breath',
    }),
  })
  .openapi('Limits')

export const DiagnoseRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    findings: z.array(FindingSchema).max(LIMITS.findings),
    limits: LimitsSchema.optional(),
    rates: RatesFieldSchema.optional(),
    reserve: z.strictObject({ ratedCapacity: QuantitySchema, standbyCurrent: QuantitySchema }).optional().openapi({
      description: 'Main battery as labelled and its load, so that `protected.until` is computed; lead-acid',
    }),
    overlay: z
      .union([OverlayBodySchema, z.string().min(1).max(40)])
      .optional()
      .openapi({
        description:
          'Own concepts beside those of the release: the overlay itself, or, with a key, the name of one the shop keeps',
      }),
  })
  .openapi('DiagnoseRequest', {
    example: {
      findings: [
        { kind: 'condition', condition: 'condition/mains-missing', state: 'present' },
        { kind: 'condition', condition: 'condition/battery-low', state: 'present' },
        { kind: 'screen', complete: true },
      ],
      limits: { who: 'handy', tools: ['multimeter'] },
    },
  })
export type DiagnoseRequest = z.infer<typeof DiagnoseRequestSchema>

const CauseRef = { cause: z.string(), device: z.string().optional(), label: z.string() }
const ConditionRef = { condition: z.string(), device: z.string().optional(), label: z.string() }
const CautionSchema = z
  .object({
    hazard: z.string(),
    label: z.string(),
    text: z.string(),
    basis: z.string(),
    because: z.array(z.string()).openapi({ description: 'Checks and remedies of this answer that need it' }),
  })
  .openapi('Caution')

const RankedCauseSchema = z
  .object({
    ...CauseRef,
    probability: z.number(),
    shown: z.number().openapi({ description: 'The probability to show a person; at most 0.97 until calibrated' }),
    word: z.string(),
    definition: z.string(),
    priorDecibans: z.number(),
    evidence: z
      .array(
        z.object({
          from: z.enum(['finding', 'silence-of-the-display']),
          findings: z.array(z.number().int()).openapi({ description: 'Positions in the request' }),
          decibans: z.number(),
          sentence: z.string(),
          ifLeftOut: z.number().openapi({
            description: 'Decibans that would be lost if this item alone were not known; these do not add up',
          }),
        }),
      )
      .openapi({
        description:
          'Circumstances, remedies that were tried, silence of the display, conditions, answers, readings, whatever order they are sent in; the prior and all steps add up to the posterior',
      }),
    escalation: z.string().optional(),
  })
  .openapi('RankedCause')

const NextCheckSchema = z
  .object({
    check: z.string(),
    device: z.string().optional(),
    label: z.string(),
    ask: z.string(),
    how: z.string().optional(),
    place: z.string(),
    who: z.string(),
    duration: AmountSchema,
    wait: AmountSchema.optional().openapi({ description: 'Time that passes by itself' }),
    tools: z.array(z.string()),
    disturbs: z.array(z.string()),
    hazards: z.array(z.string()),
    gainBits: z.number(),
    bitsPerMinute: z.number(),
    why: z.string(),
    lift: z.array(z.string()).optional().openapi({
      description:
        'What the person at the site does first, as it can be read aloud, such as a call to the monitoring center; then this question is put once more, and its answer sent in place of the earlier one or with times on both. The same answer twice: it is offered no more, and what it would open stays in `refused`',
    }),
    opensCheck: z.string().optional().openapi({ description: 'The check that this one opens the way to' }),
    opensRemedy: z
      .string()
      .optional()
      .openapi({ description: 'The likely remedy of the plan that waits for this check; also after a stop' }),
    results: z.array(
      z.object({
        result: z.string(),
        label: z.string(),
        probability: z.number().optional(),
        leading: z.object({ ...CauseRef, probability: z.number() }).optional(),
      }),
    ),
  })
  .openapi('NextCheck')

const PlannedRemedySchema = z
  .object({
    remedy: z.string(),
    label: z.string(),
    who: z.string(),
    duration: AmountSchema,
    cost: z.string(),
    steps: z.array(z.string()),
    expect: z.string(),
    confirm: z.string(),
    hazards: z.array(z.string()),
    partClasses: z.array(z.string()),
    fixes: z.array(z.object({ ...CauseRef, probability: z.number() })),
    clearsProbability: z
      .number()
      .openapi({ description: 'Probability that this and the remedies before it clear everything that stands' }),
    permit: z.object({
      verdict: z.enum(['allowed', 'after', 'refused']),
      check: z.string().optional().openapi({ description: 'Check that must be answered first' }),
      reason: z.string().optional(),
      lift: z.array(z.string()).optional().openapi({
        description:
          'What the person at the site can do so that nothing stands in the way any more, such as a call to the monitoring center; left out where nobody there can',
      }),
    }),
    openRoots: z
      .array(z.object({ ...CauseRef, probability: z.number() }))
      .openapi({ description: 'Causes to be cured before a part is fitted, or it fails again' }),
  })
  .openapi('PlannedRemedy')

export const DiagnoseAnswerSchema = z
  .object({
    ...BASIS_STATED,
    prologue: z
      .array(
        z.object({
          step: z.string(),
          say: z.string(),
          checks: z.array(z.string()),
          state: z.enum(['open', 'done', 'say']),
          skipWhen: z.string(),
        }),
      )
      .openapi({ description: 'What is settled at the start of a call; "say" is not for the service to know' }),
    stop: z
      .object({
        kind: z.enum(['danger', 'confident', 'does-not-fit', 'needs-technician', 'no-useful-check']),
        reason: z.string(),
        acts: z.array(z.string()),
        lift: z.array(z.string()).openapi({
          description:
            'What holds the case up and the person at the site can lift, as it can be read aloud. Then send what is so now, with the time at which it was seen as `observedAt` on both, or in place of what was said before, and the plan goes on',
        }),
      })
      .nullable(),
    causes: z.array(RankedCauseSchema),
    hypotheses: z.object({
      sets: z.array(z.object({ causes: z.array(z.object(CauseRef)), probability: z.number() })),
      covered: z.number(),
    }),
    unexplained: z.array(z.object({ ...ConditionRef, probability: z.number() })),
    surprise: z.object({
      conflictBits: z.number(),
      refutedLeaders: z.number().int().openapi({ description: 'Causes that were in front and that findings refuted' }),
    }),
    wouldChange: WouldChangeSchema,
    contradictions: z.array(z.object({ about: z.string(), findings: z.array(z.number().int()) })).openapi({
      description: 'Findings that cannot both hold: neither counts, but of readings the one that is not in `unused`',
    }),
    unused: z.array(z.number().int()).openapi({
      description:
        'Findings that say nothing of the present state, that a remedy has cleared, or that a newer or better reading replaces',
    }),
    cleared: z
      .array(z.object({ ...ConditionRef, findings: z.array(z.number().int()), by: z.array(z.number().int()) }))
      .openapi({
        description:
          'Conditions that no longer stand: answers or remedies `by` say so, and no finding with a later time reports them anew. They ask for nothing any more. What reported one that an answer cleared (`findings`) still tells what was behind it, and an answer never clears a threat to life; what a remedy cleared is in `unused` as well',
      }),
    nextChecks: z.array(NextCheckSchema),
    together: z.array(z.object({ check: z.string(), device: z.string().optional() })),
    dangerQuestions: z
      .array(
        z.object({
          check: z.string(),
          ask: z.string(),
          sign: z.string().openapi({ description: 'The result that means danger' }),
          results: z.array(z.object({ result: z.string(), label: z.string() })),
        }),
      )
      .openapi({
        description:
          'Danger signs not made sure of, with those that only some condition that stands calls for: put them first; one answered only with "dont-know" stays, and need not be put again',
      }),
    refused: z.array(z.object({ check: z.string(), label: z.string(), reason: z.string(), detail: z.string() })),
    searched: z.object({ evaluated: z.number().int(), of: z.number().int(), stateUpdates: z.number().int() }),
    plan: z.array(PlannedRemedySchema),
    planCost: z
      .object({ duration: AmountSchema, visitProbability: z.number() })
      .openapi({ description: 'Expected over the plan: a step counts by the chance that those before it did not do' }),
    closing: z.array(z.string()).openapi({ description: 'What ends the call, in order' }),
    cautions: z.array(CautionSchema),
    protection: z.array(z.object({ ...ConditionRef, text: z.string() })),
    clearing: z.array(z.object({ ...ConditionRef, text: z.string() })),
    protected: ProtectedSchema,
    silence: SilenceSchema.nullable(),
    problem: ProblemSchema.optional().openapi({
      description:
        'Only beside a danger: what else in the request was refused, so that only its danger signs were read',
    }),
  })
  .openapi('DiagnoseAnswer')
export type DiagnoseAnswer = z.infer<typeof DiagnoseAnswerSchema>
