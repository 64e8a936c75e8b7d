import { html } from 'hono/html'
import type { Kind, Text } from '../../ontology/shape.ts'
import type { ConceptView } from '../../services/concept-view.ts'
import type { Wording } from '../../services/texts.ts'
import { linkTo, type Row, shown, spaced, table } from './facts.ts'
import { page } from './layout.ts'
import { drawRelations } from './relation-drawing.ts'
import { relationsOf } from './relations.ts'

/** Said elsewhere on the page, or of use to machines only. */
const NOT_AS_FACTS = new Set(
  'id label lay definition note altLabels hiddenLabels status deprecated family kind iri release path translations codes links linkedFrom history caution'.split(
    ' ',
  ),
)

function navigation(wording: Wording, view: ConceptView) {
  const { version } = wording.release
  const family = 'family' in view && view.family ? html` &gt; ${linkTo(wording, `family/${view.family}`)}` : ''
  return html`<a href="/">Trouble Atlas</a> &gt; <a href="/v1/ontology/${version}">release ${version}</a>${family} &gt; ${view.kind}`
}

function facts(wording: Wording, view: ConceptView): Row[] {
  return Object.entries(view)
    .filter(([name, value]) => !NOT_AS_FACTS.has(name) && value !== undefined)
    .filter(([, value]) => !(Array.isArray(value) && value.length === 0))
    .map(([name, value]): Row => [spaced(name), shown(wording, value)])
}

function deprecation(wording: Wording, { deprecated }: ConceptView) {
  if (!deprecated) return ''
  const { since, reason, replacedBy } = deprecated
  const instead = replacedBy.length === 0 ? '' : html` Use ${replacedBy.map((id) => linkTo(wording, id))} instead.`
  return html`<p class="note"><strong>Deprecated since ${since}.</strong> ${reason}${instead}</p>`
}

const codes = (view: ConceptView) =>
  view.codes.length === 0
    ? ''
    : html`<h2>Codes of open standards</h2>${table(
        view.codes.map(
          ({ scheme, code, title, relation, basis, note }): Row => [
            `${scheme} ${code}`,
            `${title['en-US']} (${relation}; basis: ${basis}${note === undefined ? '' : `; ${note}`})`,
          ],
        ),
      )}`

/** Members of a family, kind by kind. */
function members(wording: Wording, view: ConceptView) {
  if (view.kind !== 'family') return ''
  const kinds: Kind[] = ['condition', 'cause', 'check']
  const own = (kind: Kind) =>
    [...wording.release.concepts.values()].filter(
      (entry) => entry.kind === kind && 'family' in entry.concept && `family/${entry.concept.family}` === view.id,
    )
  return html`<h2>What belongs to it</h2>${table(
    kinds.map(
      (kind): Row => [
        `${kind}s`,
        html`<ul>${own(kind).map(({ concept }) => html`<li>${linkTo(wording, concept.id)}</li>`)}</ul>`,
      ],
    ),
  )}`
}

function names(wording: Wording, view: ConceptView): Row[] {
  const text = (value: Text | undefined) => (value ? wording.say(value) : undefined)
  const rows: [string, string | undefined][] = [
    ['id', view.id],
    ['also called', view.altLabels.join(', ') || undefined],
    ['once called', view.hiddenLabels.join(', ') || undefined],
    ['note', text(view.note)],
    ['status', view.status],
  ]
  return rows.filter((row): row is [string, string] => row[1] !== undefined)
}

/** A concept as a page for people. */
export function conceptPage(wording: Wording, view: ConceptView) {
  const lay = wording.served.pack?.texts[view.id]?.lay ?? (view.lay && wording.say(view.lay as unknown as Text))
  const relations = relationsOf(wording, view.kind, view.id)
  const caution =
    'caution' in view ? html`<p class="note"><strong>Caution.</strong> ${wording.say(view.caution)}</p>` : ''
  const { translation } = wording.stated()
  const unreviewed =
    translation?.review === 'machine-drafted-unreviewed'
      ? html`<p class="note">Names and questions in this language are machine-drafted and nobody has reviewed them; everything else, cautions above all, is in English.</p>`
      : ''
  const named = (ids: readonly string[]) => html`<ul>${ids.map((id) => html`<li>${linkTo(wording, id)}</li>`)}</ul>`
  return page(
    wording.served.tag,
    wording.label(view.id),
    navigation(wording, view),
    html`<h1>${wording.label(view.id)}</h1>
<p class="lay">${lay ?? ''}</p>
${deprecation(wording, view)}${unreviewed}
<p>${wording.say(view.definition)}</p>${caution}
${table(names(wording, view))}
${relations ? html`<h2>How it hangs together</h2>${drawRelations(relations)}` : ''}
${members(wording, view)}
<h2>Facts</h2>${table(facts(wording, view))}
${codes(view)}
<h2>Named by</h2>${view.linkedFrom.length === 0 ? html`<p>No other concept names it.</p>` : named(view.linkedFrom)}
<h2>History</h2>${table(view.history.map((item): Row => [item.release, `${item.change} (${item.class})`]))}`,
    html`<p>Licence ${wording.release.manifest.licence}. All numbers marked judgement are judgement, not measurement. Local codes and licensed practice come first.</p>
<p>Other forms: ${['json', 'jsonld', 'ttl'].map((suffix) => html`<a href="${view.path}.${suffix}">${suffix}</a> `)}</p>`,
  )
}
