import { codesOf, SKOS_RELATION } from '../crosswalk.ts'
import type { Answer, Follows } from '../follows-shape.ts'
import type { LanguagePack } from '../language.ts'
import type {
  Cause,
  Check,
  Condition,
  Context,
  Hazard,
  Kind,
  Ontology,
  PartClass,
  Probability,
  Reading,
  Remedy,
} from '../shape.ts'
import { IRI_BASE, PREFIXES, SCHEME_IRI } from './predicates.ts'
import { Subject, type Triple } from './triples.ts'

type Concept = Ontology[Kind][number]
export const iriOf = (id: string) => IRI_BASE + id
export const codeIri = (scheme: string, code: string) => `${IRI_BASE}code/${scheme}/${encodeURIComponent(code)}`
const iris = (ids: readonly string[]) => ids.map(iriOf)
/** The slug of an id, for naming a part of a concept. */
const slugOf = (id: string) => id.slice(id.indexOf('/') + 1)

/** A number with its basis, as a thing that statements can be made about. */
function number(subject: Subject, predicate: string, { value, level, basis, source }: Probability): void {
  subject.part(predicate, predicate).add('value', value).add('level', level).add('basis', basis).add('source', source)
}

/** A link to another concept with a probability. */
function link(subject: Subject, predicate: string, to: [predicate: string, id: string], probability: Probability) {
  const part = subject.part(predicate, `${predicate}-${slugOf(to[1])}`).add(to[0], iriOf(to[1]))
  const { value, level, basis, source } = probability
  part.add('value', value).add('level', level).add('basis', basis).add('source', source)
}

function ofCondition(subject: Subject, condition: Condition, ontology: Ontology): void {
  const { nature, severity, latch, scope, onDisplay } = condition
  subject.add('nature', nature).add('severity', severity).add('latch', latch).add('scope', scope)
  subject
    .add('askFirst', iris(condition.askFirst ?? []))
    .add('onDisplay', onDisplay)
    .text('protection', condition.protection)
    .text('clears', condition.clears)
  ofFollows(subject, condition)
  number(subject, 'leak', condition.leak)
  for (const { scheme, code, relation } of codesOf(ontology.crosswalks, condition.id))
    subject.add(SKOS_RELATION[relation], codeIri(scheme, code))
  for (const cause of ontology.cause)
    if (cause.shows.some((shown) => shown.condition === condition.id)) subject.add('related', iriOf(cause.id))
}

function ofCause(subject: Subject, cause: Cause): void {
  subject.add('scope', cause.scope).add('group', cause.group).add('isOther', cause.other)
  subject
    .add('rootOf', iris(cause.rootOf))
    .add('excludedBy', iris(cause.excludedBy))
    .text('escalation', cause.escalation)
    .text('again', cause.again?.say)
    .text('afterwards', cause.afterwards?.say)
  number(subject, 'baseRate', cause.baseRate)
  for (const { condition, q } of cause.shows) {
    subject.add('related', iriOf(condition))
    link(subject, 'shows', ['condition', condition], q)
  }
}

/** Results of checks that a step hangs on. */
function answers(subject: Subject, predicate: string, list: readonly Answer[]): void {
  list.forEach(({ check, result }, index) =>
    subject
      .part(predicate, `${predicate}-${index + 1}`)
      .add('check', iriOf(check))
      .add('name', result),
  )
}

/** Circumstances that follow from a condition, a circumstance or a result. */
function ofFollows(subject: Subject, { implies = [], rulesOut = [] }: Follows): void {
  subject.add('implies', iris(implies)).add('rulesOut', iris(rulesOut))
}

function ofStep(subject: Subject, step: Check | Remedy): void {
  subject.add('place', step.place).add('who', step.who).add('minutes', step.minutes.value).add('tool', step.tools)
  subject.add('hazard', iris(step.hazards)).add('disturbs', step.disturbs)
  answers(subject, 'requires', step.requires)
  answers(subject, 'requiresAny', step.requiresAny ?? [])
  const notWith = step.notWith ?? []
  subject.add('notWith', iris(notWith.filter((item) => typeof item === 'string')))
  answers(
    subject,
    'notWith',
    notWith.filter((item) => typeof item !== 'string'),
  )
}

function ofCheck(subject: Subject, check: Check): void {
  const { model } = check
  subject
    .type('sosa:Procedure')
    .text('ask', check.ask)
    .text('how', check.how)
    .add('scope', check.scope)
    .add('about', iris(check.about ?? []))
  ofStep(subject, check)
  subject.add('waitMinutes', check.wait?.value).add('modelKind', model.kind)
  for (const result of check.results) {
    const { id, label, danger, clears = [] } = result
    const part = subject.part('result', `result-${id}`).add('name', id).text('text', label)
    ofFollows(part.add('hazard', iris(danger === undefined ? [] : [danger])), result)
    part.add('clearsCondition', iris(clears))
  }
  if (model.kind === 'yes-no' || model.kind === 'ordered')
    subject.add('speaksOf', iris(model.links.map(({ cause }) => cause)))
  if (model.kind === 'reading') subject.add('takesReading', iriOf(model.reading))
  if (model.kind === 'applicability')
    subject.add('establishes', iris([...new Set(model.sets.map((set) => set.context))]))
}

/** QUDT unit and quantity kind of a reading; a level in dBm has neither that is sound, so it is given as text. */
const QUDT: Partial<Record<Reading['quantity'], [unit: string, kind: string]>> = {
  voltage: ['V', 'Voltage'],
  'voltage-ac': ['V', 'Voltage'],
  resistance: ['OHM', 'Resistance'],
  current: ['A', 'ElectricCurrent'],
  temperature: ['DEG_C', 'CelsiusTemperature'],
  duration: ['HR', 'Time'],
  'signal-fraction': ['PERCENT', 'DimensionlessRatio'],
}

function ofReading(subject: Subject, reading: Reading): void {
  const { quantity, point, state, rest, destroys, bands, validRange } = reading
  const qudt = QUDT[quantity]
  subject.type('sosa:Property').text('point', point).text('state', state).text('rest', rest).text('destroys', destroys)
  if (qudt) subject.add('unit', PREFIXES.unit + qudt[0]).add('quantityKind', PREFIXES.qudt + qudt[1])
  subject.add('unitText', reading.unit).add('validLow', validRange.low).add('validHigh', validRange.high)
  bands.forEach(({ id, label, upTo, healthy }, index) =>
    subject
      .part('band', `band-${id}`)
      .add('order', index + 1)
      .add('name', id)
      .text('text', label)
      .add('upTo', upTo?.value)
      .add('healthy', healthy),
  )
}

function ofContext(subject: Subject, context: Context): void {
  subject.add('dimension', context.dimension).add('scope', context.scope).text('lift', context.lift)
  ofFollows(subject, context)
  number(subject, 'share', context.share)
  for (const { cause, factor } of context.shifts)
    subject
      .part('shifts', `shifts-${slugOf(cause)}`)
      .add('cause', iriOf(cause))
      .add('factor', factor.value)
      .add('basis', factor.basis)
}

function ofRemedy(subject: Subject, remedy: Remedy): void {
  subject.type('schema:HowTo')
  ofStep(subject, remedy)
  subject.add('cost', remedy.cost).add('lowersSecurity', remedy.lowersSecurity)
  subject.add('onlyWith', iris(remedy.onlyWith ?? []))
  subject.add('danger', iris(remedy.danger === undefined ? [] : [remedy.danger]))
  for (const [result, follows] of Object.entries(remedy.follows ?? {}))
    ofFollows(subject.part('afterTrial', `after-${result}`).add('name', result), follows ?? {})
  subject.text('expect', remedy.expect).text('confirm', remedy.confirm).add('needsPart', iris(remedy.partClasses))
  for (const { cause, probability } of remedy.fixes) link(subject, 'fixes', ['cause', cause], probability)
  remedy.steps.forEach((text, index) =>
    subject
      .part('step', `step-${index + 1}`)
      .add('order', index + 1)
      .text('text', text),
  )
}

function ofAttribute(subject: Subject, attribute: PartClass['attributes'][number]): void {
  const { name, label, type, unit, values, role, find, fit } = attribute
  subject
    .part('attribute', `attribute-${name}`)
    .add('name', name)
    .text('text', label)
    .add('valueType', type)
    .add('unitText', unit)
    .add('allowedValue', values)
    .add('role', role)
    .text('find', find)
    .add('fitRule', fit?.rule)
    .add('fixedValue', fit?.fixed === undefined ? undefined : String(fit.fixed))
}

function ofPartClass(subject: Subject, partClass: PartClass): void {
  subject.type('schema:ProductModel')
  for (const attribute of partClass.attributes) ofAttribute(subject, attribute)
  subject.add('accessoryTo', iris(partClass.accessoryTo ?? [])).add('hazard', iris(partClass.hazards ?? []))
  for (const { id, say, rank, basis, source, partClass: other } of partClass.substitutes ?? [])
    subject
      .part('substitute', `substitute-${id}`)
      .text('text', say)
      .add('needsPart', iris(other ? [other] : []))
      .add('order', rank)
      .add('basis', basis)
      .add('source', source)
  for (const { id, kind, region, say, unNumbers, basis, source } of partClass.sale ?? [])
    subject
      .part('saleNote', `sale-${id}`)
      .add('name', kind)
      .add('region', region)
      .text('text', say)
      .add('unNumber', unNumbers)
      .add('basis', basis)
      .add('source', source)
}

function ofHazard(subject: Subject, hazard: Hazard): void {
  subject.text('caution', hazard.caution).text('act', hazard.act).add('stopIf', iris(hazard.stopIf))
  subject.add('basis', hazard.basis).add('source', hazard.source)
}

const OF_KIND: { [K in Kind]: (subject: Subject, concept: Ontology[K][number], ontology: Ontology) => void } = {
  family: (subject) => {
    subject.add('topConceptOf', SCHEME_IRI)
  },
  condition: ofCondition,
  cause: ofCause,
  check: ofCheck,
  reading: ofReading,
  context: ofContext,
  remedy: ofRemedy,
  'part-class': ofPartClass,
  hazard: ofHazard,
}

/** Names in the other languages, as far as a pack gives them. */
function ofLanguages(subject: Subject, id: string, packs: readonly LanguagePack[]): void {
  for (const { language, texts } of packs) {
    const words = texts[id]
    if (!words) continue
    subject.text('prefLabel', { [language]: words.label }).text('layLabel', { [language]: words.lay })
  }
}

const CLASS: Record<Kind, `def:${string}`> = {
  family: 'def:Family',
  condition: 'def:Condition',
  cause: 'def:Cause',
  check: 'def:Check',
  reading: 'def:Reading',
  context: 'def:Context',
  remedy: 'def:Remedy',
  'part-class': 'def:PartClass',
  hazard: 'def:Hazard',
}

/** Everything that a release says of one concept. */
export function conceptTriples(
  ontology: Ontology,
  { kind, concept }: { kind: Kind; concept: Concept },
  packs: readonly LanguagePack[],
): Triple[] {
  const subject = new Subject(iriOf(concept.id), [])
  subject.type('skos:Concept', CLASS[kind], 'schema:DefinedTerm')
  subject.add('inScheme', SCHEME_IRI).add('inDefinedTermSet', SCHEME_IRI).add('notation', concept.id)
  subject.text('prefLabel', concept.label).text('layLabel', concept.lay)
  for (const label of concept.altLabels) subject.text('altLabel', { 'en-US': label })
  for (const label of concept.hiddenLabels) subject.text('hiddenLabel', { 'en-US': label })
  subject.text('definition', concept.definition).text('scopeNote', concept.note).add('status', concept.status)
  if ('family' in concept && concept.family !== undefined) subject.add('broader', iriOf(`family/${concept.family}`))
  if (concept.deprecated) {
    const { since, reason, replacedBy } = concept.deprecated
    subject.add('deprecated', true).add('deprecatedSince', since).text('changeNote', { 'en-US': reason })
    subject.add('isReplacedBy', iris(replacedBy))
  }
  ofLanguages(subject, concept.id, packs)
  const describe = OF_KIND[kind] as (subject: Subject, concept: Concept, ontology: Ontology) => void
  describe(subject, concept, ontology)
  return subject.triples
}
