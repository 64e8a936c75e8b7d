import type { Context } from 'hono'
import { conceptTriples } from '../../../ontology/formats/concept-triples.ts'
import { toJsonLd } from '../../../ontology/formats/json-ld.ts'
import { toTurtle } from '../../../ontology/formats/turtle.ts'
import type { Release } from '../../../ontology/release.ts'
import { viewConcept } from '../../../services/concept-view.ts'
import { conceptPath } from '../../../services/concepts.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { Wording } from '../../../services/texts.ts'
import { wishedLanguage } from '../../accept-language.ts'
import { negotiate } from '../../middleware/accept.ts'
import { conceptPage } from '../../pages/concept-page.ts'
import { ProblemError } from '../../problem.ts'

/** Forms of a concept: the suffix that asks for each beside Accept. */
export const FORMS = {
  json: 'application/json',
  jsonld: 'application/ld+json',
  ttl: 'text/turtle',
  html: 'text/html',
} as const
type Suffix = keyof typeof FORMS
export const FORM_TYPES = Object.values(FORMS)

/** "mains-missing.ttl" -> the slug and the form it asks for. */
export function splitSuffix(name: string): { slug: string; suffix?: Suffix } {
  const dot = name.lastIndexOf('.')
  const suffix = name.slice(dot + 1)
  return dot > 0 && Object.hasOwn(FORMS, suffix)
    ? { slug: name.slice(0, dot), suffix: suffix as Suffix }
    : { slug: name }
}

function formFor(c: Context, suffix: Suffix | undefined): string {
  const form = suffix ? FORMS[suffix] : negotiate(c.req.header('Accept'), FORM_TYPES)
  if (form !== undefined) return form
  throw new ProblemError('NOT_ACCEPTABLE', `Accept must allow one of ${FORM_TYPES.join(', ')}`, [
    {
      pointer: 'Accept',
      code: 'NOT_ACCEPTABLE',
      detail: 'header Accept',
      limit: FORM_TYPES.join(', '),
      value: c.req.header('Accept') ?? '',
    },
  ])
}

/** Where the other forms, the permanent name and the successors of a concept are (RFC 8288). */
function linksOf(release: Release, id: string): string {
  const path = conceptPath(release.version, id)
  const alternates = Object.entries(FORMS).map(
    ([suffix, type]) => `<${path}.${suffix}>; rel="alternate"; type="${type}"`,
  )
  const successors = release.concepts.get(id)!.concept.deprecated?.replacedBy ?? []
  return [
    ...alternates,
    `</id/${id}>; rel="canonical"`,
    `</v1/ontology/${release.version}/files/ontology.schema.json>; rel="describedby"`,
    ...successors.map((successor) => `</id/${successor}>; rel="successor-version"`),
  ].join(', ')
}

/** A concept in the form that suffix or Accept asks for; no redirect. */
export async function respondConcept(
  c: Context,
  shelf: ReleaseShelf,
  release: Release,
  { id, suffix, language }: { id: string; suffix?: Suffix | undefined; language?: string | undefined },
): Promise<Response> {
  const form = formFor(c, suffix)
  const view = await viewConcept(shelf, release, id)
  if (!view) throw new ProblemError('NOT_FOUND', `release ${release.version} has no ${id}`)
  c.header('Link', linksOf(release, id))
  if (form === FORMS.json) return c.json(view, 200)
  if (form === FORMS.html) {
    const served = await shelf.served(release, wishedLanguage(c, language))
    c.header('Content-Language', served.tag)
    c.header('Content-Security-Policy', "default-src 'none'; style-src 'unsafe-inline'; img-src data:")
    return c.html(conceptPage(new Wording(release, served), view), 200)
  }
  const triples = conceptTriples(release.ontology, release.concepts.get(id)!, await shelf.packs(release))
  const body = form === FORMS.ttl ? toTurtle(triples) : JSON.stringify(toJsonLd(triples))
  return c.body(body, 200, { 'Content-Type': `${form}; charset=utf-8` })
}
