import type { CallState } from '../../domain/calls/state.ts'
import type { Condition } from '../../ontology/shape.ts'
import type { Wording } from '../texts.ts'
import { spansOf } from './concepts.ts'
import { insurerText, monitoringText } from './texts.ts'

const MS_A_MINUTE = 60_000

/** What a monitoring center and an insurer may have to be told: each condition that stood for longer than a time. */
export function noticesOf(
  callId: string,
  state: CallState,
  { wording, longerThanMinutes, asOf }: { wording: Wording; longerThanMinutes: number; asOf: number },
) {
  const site = state.siteRef ?? `of call ${callId}`
  return spansOf(wording.release, state)
    .filter(({ from, until }) => (until ?? asOf) - from > longerThanMinutes * MS_A_MINUTE)
    .map(({ condition, device, from, until }) => {
      const concept = wording.concept<Condition>(condition)
      const [label, protection] = [wording.label(condition), wording.say(concept.protection)]
      const standing = { site, label, device, from, until, asOf, protection }
      return {
        condition,
        ...(device === undefined ? {} : { device }),
        label,
        from: new Date(from).toISOString(),
        ...(until === undefined ? {} : { until: new Date(until).toISOString() }),
        lasted: { value: Math.floor(((until ?? asOf) - from) / MS_A_MINUTE), unit: 'min' },
        protection,
        texts: { monitoringCenter: monitoringText(standing), insurer: insurerText(standing) },
      }
    })
}
