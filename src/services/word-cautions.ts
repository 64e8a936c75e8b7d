import type { Advice } from '../domain/advice/advise.ts'
import type { NextCheck } from '../domain/advice/search-state.ts'
import type { Hazard } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

const BASIS: Record<Hazard['basis'], string> = {
  published: 'published',
  judgement: 'judgement of this ontology',
  practice: 'common practice, no source',
}

/** Where a caution comes from, in words. */
function hazardBasis({ source, basis }: Hazard): string {
  return source ?? BASIS[basis]
}

/** A hazard's caution in words. */
export function wordHazard(wording: Wording, id: string) {
  const hazard = wording.concept<Hazard>(id)
  return { hazard: id, label: wording.label(id), text: wording.say(hazard.caution), basis: hazardBasis(hazard) }
}

/** Cautions that the offered checks and planned remedies need, each once, with the steps that need it; those of refused steps alone come last. */
export function wordCautions(advice: Advice, wording: Wording, checks: readonly NextCheck[]) {
  const { release } = advice.known.instance
  const because = new Map<string, string[]>()
  const need = (hazards: readonly number[], step: string) => {
    for (const hazard of hazards) {
      const { id } = release.hazards[hazard]!
      because.set(id, [...(because.get(id) ?? []), step])
    }
  }
  for (const { hazard, finding } of advice.known.dangers) need([hazard], `findings/${finding}`)
  for (const { check, before } of checks) {
    need(release.checks[check]!.hazards, release.checks[check]!.id)
    if (before !== undefined) need(release.checks[before]!.hazards, release.checks[before]!.id)
  }
  const isRefused = ({ permit }: Advice['plan'][number]) => permit.verdict === 'refused'
  for (const wanted of [false, true])
    for (const planned of advice.plan.filter((one) => isRefused(one) === wanted)) {
      const { hazards, id } = release.remedies[planned.remedy]!
      need(hazards, id)
    }
  return [...because].map(([id, steps]) => ({ ...wordHazard(wording, id), because: [...new Set(steps)] }))
}
