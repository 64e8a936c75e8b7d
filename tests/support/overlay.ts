import type { OverlayInput } from '../../src/ontology/overlay.ts'

const judged = (value: number) => ({ value, basis: 'judgement' as const })
const says = (text: string) => ({ 'en-US': text })

/** An overlay of an invented integrator: a solar-fed supply beside the released power family. */
export function solarOverlay(): OverlayInput {
  return {
    overlay: 'sunfield',
    version: '3',
    conditions: [
      {
        id: 'condition/sunfield~panel-dark',
        label: says('Solar panel gives no current'),
        lay: says('The sun panel gives nothing'),
        definition: says('The charge current of the solar panel stayed under its limit through a day.'),
        family: 'power',
        nature: 'fault',
        severity: 'degraded',
        latch: 'clears-itself',
        leak: judged(0.001),
        protection: says('Works from its battery for some days.'),
        clears: says('Goes out after the first sunny hour.'),
        fewCausesBecause: 'Only two things stop a panel; a link covers the third.',
      },
    ],
    causes: [
      {
        id: 'cause/sunfield~panel-covered',
        label: says('Solar panel covered by leaves or snow'),
        lay: says('Something lies on the sun panel'),
        definition: says('Light does not reach the cells.'),
        family: 'power',
        baseRate: judged(0.01),
        shows: [
          { condition: 'condition/sunfield~panel-dark', q: judged(0.9) },
          { condition: 'condition/battery-low', q: judged(0.4) },
        ],
      },
    ],
    checks: [
      {
        id: 'check/sunfield~see-panel',
        label: says('Is the solar panel clear'),
        lay: says('Look at the sun panel'),
        definition: says('Whether anything lies on the solar panel, seen from the ground.'),
        family: 'power',
        ask: says('From the ground, is there anything lying on the sun panel?'),
        place: 'anywhere',
        who: 'caller',
        minutes: { value: 1, unit: 'min', basis: 'judgement' },
        results: [
          { id: 'covered', label: says('Yes, it is covered') },
          { id: 'clear', label: says('No, it is clear') },
        ],
        model: {
          kind: 'yes-no',
          positive: 'covered',
          negative: 'clear',
          leak: judged(0.02),
          links: [{ cause: 'cause/sunfield~panel-covered', q: judged(0.95) }],
        },
      },
    ],
    remedies: [
      {
        id: 'remedy/sunfield~clear-panel',
        label: says('Clear the solar panel'),
        lay: says('Clean the sun panel'),
        definition: says('Remove what covers the panel, from the ground only.'),
        who: 'caller',
        minutes: { value: 10, unit: 'min', basis: 'judgement' },
        cost: 'none',
        place: 'anywhere',
        fixes: [{ cause: 'cause/sunfield~panel-covered', probability: judged(0.9) }],
        steps: [says('Brush it off with a soft broom from the ground. Do not climb.')],
        expect: says('A day of sun.'),
        confirm: says('The item is gone the next evening.'),
      },
    ],
    links: [{ cause: 'cause/other-fault-power', condition: 'condition/sunfield~panel-dark', q: judged(0.2) }],
    labels: [{ id: 'condition/battery-low', altLabels: ['sunfield cell flat'] }],
  }
}
