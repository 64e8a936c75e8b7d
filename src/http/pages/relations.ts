import type { Cause, Check, Condition, Kind } from '../../ontology/shape.ts'
import type { Wording } from '../../services/texts.ts'
import type { DrawnNode, Relations } from './relation-drawing.ts'

/** More boxes than this make a drawing that nobody reads. */
const MOST = 9

const pathOf = (wording: Wording, id: string) => `/v1/ontology/${wording.release.version}/concepts/${id}`
const nodesOf = (wording: Wording, ids: readonly string[]): DrawnNode[] =>
  ids.slice(0, MOST).map((id) => ({ id, label: wording.label(id), href: pathOf(wording, id) }))

function linkedCauses({ model }: Check): string[] {
  return model.kind === 'yes-no' || model.kind === 'ordered' ? model.links.map(({ cause }) => cause) : []
}

/** Level or value of a probability, for putting likely things first. */
const weightOf = (wording: Wording, cause: Cause, condition: string) => {
  const { levels } = wording.release.ontology
  const rate = cause.baseRate.value ?? levels.baseRate[cause.baseRate.level ?? ''] ?? 0
  const q = cause.shows.find((link) => link.condition === condition)?.q
  return rate * (q?.value ?? levels.link[q?.level ?? ''] ?? 0)
}

function causesOf(wording: Wording, condition: string): Cause[] {
  return wording.release.ontology.cause
    .filter((cause) => cause.shows.some((link) => link.condition === condition))
    .sort((a, b) => weightOf(wording, b, condition) - weightOf(wording, a, condition))
}

function checksOf(wording: Wording, causes: readonly string[]): { id: string; causes: string[] }[] {
  return wording.release.ontology.check
    .map((check) => ({ id: check.id, causes: linkedCauses(check).filter((cause) => causes.includes(cause)) }))
    .filter((check) => check.causes.length > 0)
    .sort((a, b) => b.causes.length - a.causes.length || (a.id < b.id ? -1 : 1))
}

function threeColumns(wording: Wording, title: string, conditions: string[], causes: string[]): Relations {
  const shown = causes.slice(0, MOST)
  const checks = checksOf(wording, shown).slice(0, MOST)
  const shows = (cause: string) => wording.concept<Cause>(cause).shows.map(({ condition }) => condition)
  return {
    title,
    columns: [
      { heading: 'Conditions', nodes: nodesOf(wording, conditions) },
      { heading: 'Causes', nodes: nodesOf(wording, shown) },
      {
        heading: 'Checks',
        nodes: nodesOf(
          wording,
          checks.map(({ id }) => id),
        ),
      },
    ],
    edges: [
      ...shown.flatMap((cause) => shows(cause).map((condition): [string, string] => [condition, cause])),
      ...checks.flatMap((check) => check.causes.map((cause): [string, string] => [cause, check.id])),
    ],
  }
}

/** What to draw for a concept; undefined where a drawing would say nothing. */
export function relationsOf(wording: Wording, kind: Kind, id: string): Relations | undefined {
  const title = `How ${wording.label(id)} hangs together with other concepts`
  if (kind === 'condition')
    return threeColumns(
      wording,
      title,
      [id],
      causesOf(wording, id).map((cause) => cause.id),
    )
  if (kind === 'cause')
    return threeColumns(
      wording,
      title,
      wording.concept<Cause>(id).shows.map(({ condition }) => condition),
      [id],
    )
  if (kind === 'check') {
    const causes = linkedCauses(wording.concept<Check>(id))
    if (causes.length === 0) return undefined
    const conditions = new Set(
      causes.flatMap((cause) => wording.concept<Cause>(cause).shows.map((link) => link.condition)),
    )
    return threeColumns(wording, title, [...conditions], causes)
  }
  if (kind !== 'family') return undefined
  const conditions = wording.release.ontology.condition.filter((item: Condition) => `family/${item.family}` === id)
  const likely = conditions.flatMap((condition) =>
    causesOf(wording, condition.id)
      .slice(0, 2)
      .map((cause) => cause.id),
  )
  return threeColumns(
    wording,
    title,
    conditions.map((condition) => condition.id),
    [...new Set(likely)],
  )
}
