import { type CodeMap, type Crosswalk, type CrosswalkCode, codesOf, SKOS_RELATION } from '../ontology/crosswalk.ts'
import type { Release } from '../ontology/release.ts'

const schemeOf = (release: Release, scheme: string) =>
  release.ontology.crosswalks.find((crosswalk) => crosswalk.scheme === scheme)

/** The schemes that a release leads to, with how many codes each has. */
export function listSchemes(release: Release) {
  const { crosswalks, codeMaps } = release.ontology
  return {
    release: release.version,
    schemes: crosswalks.map(({ scheme, title, edition, source, codes }) => ({
      scheme,
      title,
      edition,
      source,
      codes: codes.length,
      troubles: codes.filter(({ trouble }) => trouble).length,
      mapped: codes.filter(({ mappings }) => mappings.length > 0).length,
      path: `/v1/ontology/${release.version}/crosswalks/${scheme}`,
    })),
    codeMaps: codeMaps.map(({ from, to, rows }) => ({ from, to, rows: rows.length })),
  }
}

/** Rows of the maps between schemes that touch a code, each read outwards from it. */
function elsewhere(maps: readonly CodeMap[], scheme: string, code: string) {
  const opposite = {
    equivalent: 'equivalent',
    broader: 'narrower',
    narrower: 'broader',
    related: 'related',
    none: 'none',
  } as const
  return maps.flatMap(({ from, to, rows }) => {
    const forward = from === scheme ? rows.filter((row) => row.code === code) : []
    const backward = to === scheme ? rows.filter((row) => row.target === code) : []
    return [
      ...forward.map(({ code: _, target, ...row }) => ({
        scheme: to,
        ...(target === undefined ? {} : { code: target }),
        ...row,
      })),
      ...backward.map(({ code: own, target: _, relation, ...row }) => ({
        scheme: from,
        code: own,
        ...row,
        relation: opposite[relation],
      })),
    ]
  })
}

function wordCode({ ontology }: Release, { scheme }: Crosswalk, code: CrosswalkCode) {
  return {
    scheme,
    ...code,
    mappings: code.mappings.map((mapping) => ({ ...mapping, skos: SKOS_RELATION[mapping.relation] })),
    elsewhere: elsewhere(ontology.codeMaps, scheme, code.code),
  }
}

/** A page of the codes of a scheme; undefined for an unknown scheme. */
export function listCodes(release: Release, scheme: string, troubleOnly: boolean, offset: number, limit: number) {
  const crosswalk = schemeOf(release, scheme)
  if (!crosswalk) return undefined
  const codes = crosswalk.codes.filter(({ trouble }) => trouble || !troubleOnly)
  const end = offset + limit
  return {
    release: release.version,
    scheme,
    total: codes.length,
    items: codes.slice(offset, end).map((code) => wordCode(release, crosswalk, code)),
    ...(end < codes.length ? { nextOffset: end } : {}),
  }
}

/** One code with where it leads; undefined when scheme or code is unknown. Upper and lower case count. */
export function readCode(release: Release, scheme: string, code: string) {
  const crosswalk = schemeOf(release, scheme)
  const found = crosswalk?.codes.find((entry) => entry.code === code)
  return crosswalk && found ? { release: release.version, ...wordCode(release, crosswalk, found) } : undefined
}

export const schemeNames = ({ ontology }: Release) => ontology.crosswalks.map(({ scheme }) => scheme)

/** Codes that a concept leads to, in one scheme or in all. */
export function codesForConcept({ ontology }: Release, concept: string, scheme: string | undefined) {
  return codesOf(ontology.crosswalks, concept)
    .filter((row) => scheme === undefined || row.scheme === scheme)
    .map(({ concept: _, ...row }) => ({ ...row, skos: SKOS_RELATION[row.relation] }))
}
