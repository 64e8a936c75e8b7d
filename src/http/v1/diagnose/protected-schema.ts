import { z } from '@hono/zod-openapi'
import { LOSSES, PROTECTION_STATES, PROTECTIONS } from '../../../domain/advice/protection.ts'
import { AmountSchema } from '../../schema.ts'

const FunctionSchema = z
  .object({
    function: z.enum(PROTECTIONS),
    loss: z.enum(LOSSES),
    say: z.string(),
    because: z.array(z.object({ condition: z.string(), device: z.string().optional(), label: z.string() })),
  })
  .openapi('ProtectionFunction')

export const ProtectedSchema = z
  .object({
    state: z.enum(PROTECTION_STATES).openapi({
      description: 'Never that everything works: the best is that nothing reported takes protection away',
    }),
    sentence: z.string().openapi({ description: 'To be read out' }),
    worksNow: z.array(FunctionSchema).openapi({ description: 'As far as reported; only a test of each part shows it' }),
    worksNot: z.array(FunctionSchema),
    notKnown: z.array(FunctionSchema),
    until: z
      .array(
        z.object({
          battery: z.enum(['main', 'module', 'own']).openapi({ description: "own: a device's own cell" }),
          lasts: z
            .object({ low: AmountSchema, high: AmountSchema })
            .optional()
            .openapi({ description: 'Usual range from when the power went, or from the first warning of a cell' }),
          ifPowerWentNow: z.object({ from: z.iso.datetime(), to: z.iso.datetime() }).optional().openapi({
            description:
              'When the range ends had the power gone at `limits.at`, in full hours; sooner where it went before that',
          }),
          say: z.string(),
          basis: z.string(),
        }),
      )
      .openapi({ description: 'Batteries in use now, soonest end first' }),
    interim: z
      .array(z.object({ measure: z.string(), say: z.string(), basis: z.string() }))
      .openapi({ description: 'What to do until it is mended, people first; local codes come before it' }),
    mayBeWorse: z.boolean().openapi({ description: 'Not everything is known that bears on it' }),
  })
  .openapi('Protected', { description: 'Am I protected now? One statement over everything that stands' })

export const SilenceSchema = z
  .object({
    verdict: z.enum(['forbidden', 'ask-first', 'allowed']).openapi({
      description: 'ask-first: danger questions that have not been answered could forbid it',
    }),
    how: z.string().optional().openapi({ description: 'Left out while it is forbidden or a danger stands' }),
    askFirst: z.array(z.string()).openapi({ description: 'Checks to be put before' }),
    doesNot: z.array(z.string()),
    forbidden: z.array(
      z.object({ reason: z.string(), holds: z.boolean().openapi({ description: 'It is so now' }), say: z.string() }),
    ),
    basis: z.string(),
  })
  .openapi('Silence', { description: 'Silencing the beeping; null in editions that say nothing of it' })
