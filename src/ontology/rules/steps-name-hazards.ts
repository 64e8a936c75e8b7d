import type { Check, Remedy } from '../shape.ts'
import type { Rule } from './rule.ts'

const SIGNALLING = ['cover', 'cell', 'wall', 'loop', 'supply', 'siren', 'signal']
const NEEDED: { when: (step: Check | Remedy) => boolean; hazard: string }[] = [
  {
    when: (step) => step.disturbs.some((part) => SIGNALLING.includes(part)),
    hazard: 'hazard/monitored-system-signals',
  },
  { when: (step) => step.disturbs.some((part) => ['siren', 'supply'].includes(part)), hazard: 'hazard/siren-noise' },
  {
    when: (step) => step.tools.some((tool) => ['ladder', 'step-stool'].includes(tool)),
    hazard: 'hazard/ladder-and-height',
  },
  { when: (step) => step.disturbs.some((part) => ['line', 'path'].includes(part)), hazard: 'hazard/call-path-lost' },
]

/** A step that disturbs something names the hazard that goes with it. */
export const stepsNameHazards: Rule = (ontology) =>
  [...ontology.check, ...ontology.remedy].flatMap((step) =>
    NEEDED.filter(({ when, hazard }) => when(step) && !step.hazards.includes(hazard)).map(({ hazard }) => ({
      rule: 'steps-name-hazards',
      id: step.id,
      message: `disturbs ${step.disturbs.join(', ') || step.tools.join(', ')} but does not name ${hazard}`,
      remedy: `Add ${hazard} to its hazards`,
    })),
  )
