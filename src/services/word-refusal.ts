import type { RefusalReason, Refused } from '../domain/advice/permit.ts'
import type { Check, Text } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'
import { wordLifts } from './word-lift.ts'

/** "check/battery-look sound": what has to be known first, by its names. */
function earlierResult(wording: Wording, detail: string): string {
  const [id = '', result = ''] = detail.split(' ')
  const check = wording.concept<Check>(id)
  const needed = check.results.find((one) => one.id === result)
  return `Only once "${wording.label(id)}" has given "${needed ? wording.result(check, needed) : result}".`
}

/** "hazard/lightning context/thunder-now": what makes it unsafe, by its names. */
function hazard(wording: Wording, detail: string): string {
  const [danger = '', because = ''] = detail.split(' ')
  return `Not safe as things are: "${wording.label(danger)}", because of "${wording.label(because)}".`
}

/** The same where it only waits for something that can be lifted; "hazard/fire check/danger-burning" for an answer that nobody knew. */
function waiting(wording: Wording, detail: string): string {
  const [danger = '', because = ''] = detail.split(' ')
  return because.startsWith('check/')
    ? `Waits: nobody could say about "${wording.label(because)}".`
    : `Waits: "${wording.label(danger)}", because of "${wording.label(because)}".`
}

function gate({ release }: Wording, detail: string): Text | undefined {
  return release.ontology.gates.find(({ id }) => id === detail)?.reason
}

const SENTENCES: Record<RefusalReason, (wording: Wording, detail: string) => string> = {
  'needs-technician': (_, who) =>
    who === 'handy'
      ? 'Not for everybody: somebody handy with tools and wires can do it, or a technician.'
      : 'Only for a trained or licensed person.',
  'needs-tool': (_, tool) => `A tool is missing: ${tool}.`,
  'takes-too-long': (_, time) => `Takes longer than the caller has: ${time}.`,
  'hazard-present': hazard,
  'gate-closed': (wording, detail) => {
    const reason = gate(wording, detail)
    return reason ? wording.say(reason) : 'A safety condition is not met or not known.'
  },
  'not-on-site': () => 'This is done at the alarm itself.',
  'wrong-earlier-result': earlierResult,
  'owner-not-verified': () =>
    'It leaves the building less protected: first make sure that the caller may decide over the system.',
}

/** Why a step may not be offered to this person, and what lifts that where something does, as it can be read aloud. */
export function wordRefusal(wording: Wording, { reason, detail, lift = [] }: Refused): string {
  const lifts = wordLifts(wording, lift)
  const isWaiting = reason === 'hazard-present' && lifts.length > 0
  return [
    isWaiting ? waiting(wording, detail) : SENTENCES[reason](wording, detail),
    ...lifts,
    ...(lifts.length > 0 ? ['Then go on.'] : []),
  ].join(' ')
}
