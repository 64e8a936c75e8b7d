import { editDistance } from '../../domain/words/edit-distance.ts'
import type { Release } from '../../ontology/release.ts'
import type { PartClass } from '../../ontology/shape.ts'
import type { Finding } from './finding.ts'

/** Columns of a catalogue file with the other names by which product feeds call them. */
const COLUMNS = {
  sku: ['id', 'article_number', 'item_number', 'product_id'],
  title: ['name', 'product_name'],
  part_class: ['partclass'],
  price: [],
  currency: ['price_currency'],
  stock: ['stock_quantity', 'inventory'],
  availability: [],
  pack_quantity: ['multipack', 'packquantity'],
  gtin: ['gtin14', 'gtin13', 'gtin12', 'gtin8', 'ean', 'upc', 'barcode'],
  mpn: ['manufacturer_part_number'],
  brand: ['manufacturer', 'maker'],
  made_on: ['madeon'],
  is_discontinued: ['discontinued', 'isdiscontinued'],
  successor_sku: ['replaced_by', 'successorsku'],
  needs_installer: ['needsinstaller'],
  needs_activation: ['needsactivation'],
} as const satisfies Record<string, readonly string[]>
export type ColumnName = keyof typeof COLUMNS

/** Whether a column says something of an item of any kind. */
export const isOfEveryItem = (name: string): boolean => Object.hasOwn(COLUMNS, name) || name === 'priceMinor'

/** Columns of product feeds that say nothing about whether a part fits. */
const UNREAD = new Set(
  'description link image_link condition item_group_id identifier_exists is_bundle shipping shipping_weight product_detail'.split(
    ' ',
  ),
)

const plain = (name: string) =>
  name
    .trim()
    .toLowerCase()
    .replace(/[\s-]+/g, '_')
const REQUIRED = ['sku', 'title'] as const
/** More columns than any catalogue has: every name is weighed against all others. */
const MOST_COLUMNS = 500

export interface ColumnOptions {
  /** Names of the shop's own columns and what they hold. */
  columns?: Readonly<Record<string, string>> | undefined
  /** Part class of rows that name none. */
  partClass?: string | undefined
}
export interface Header {
  /** What each field holds; undefined where nothing reads it. */
  names: (string | undefined)[]
  findings: Finding[]
}

const known = new WeakMap<Release, Map<string, string>>()

/** Every name that a column may have, in lower case, and what it stands for. */
function namesOf(release: Release): Map<string, string> {
  const made = known.get(release)
  if (made) return made
  const names = new Map<string, string>()
  for (const { kind, concept } of release.concepts.values())
    if (kind === 'part-class')
      for (const { name } of (concept as PartClass).attributes) names.set(name.toLowerCase(), name)
  for (const [name, others] of Object.entries(COLUMNS)) for (const one of [name, ...others]) names.set(one, name)
  known.set(release, names)
  return names
}

/** Whether a catalogue has such a column: one of its own, or an attribute of a part class. */
export const isColumn = (release: Release, name: string) => [...namesOf(release).values()].includes(name)

function nearestName(names: Map<string, string>, written: string): string | undefined {
  const ranked = [...names.keys()]
    .map((name) => ({ name, edits: editDistance(written, name, 2) }))
    .filter(({ name, edits }) => edits <= 2 && edits < name.length / 2)
    .sort((a, b) => a.edits - b.edits)
  return ranked[0] && names.get(ranked[0].name)
}

/** What the fields of a file hold, by its header. */
export function readHeader(
  release: Release,
  header: readonly string[],
  { columns = {}, partClass }: ColumnOptions,
): Header {
  const names = namesOf(release)
  const findings: Finding[] = []
  const note = (
    column: string,
    code: Finding['code'],
    severity: Finding['severity'],
    message: string,
    suggestion?: string,
  ) =>
    findings.push({
      row: 0,
      line: 1,
      column,
      code,
      severity,
      effect: severity === 'error' ? 'row-left-out' : 'none',
      message,
      value: column,
      ...(suggestion === undefined ? {} : { suggestion }),
    })
  if (header.length > MOST_COLUMNS) {
    note('', 'HEADER_TOO_LONG', 'error', `must name at most ${MOST_COLUMNS} columns, names ${header.length}`)
    return { names: [], findings }
  }
  const written = header.map((name) => name.trim())
  const own = (name: string) => (Object.hasOwn(columns, name) ? columns[name] : names.get(plain(name)))
  const isExact = (name: string) => Object.hasOwn(columns, name) || own(name)?.toLowerCase() === plain(name)
  const taken = written.map((name, index) => {
    const target = own(name)
    if (target === undefined) {
      const near = nearestName(names, plain(name))
      if (name !== '' && !UNREAD.has(plain(name)))
        note(name, 'HEADER_UNKNOWN', 'warning', 'no column and no attribute has this name: it is not read', near)
      return undefined
    }
    const rivals = written.filter((other, at) => at !== index && own(other) === target)
    if (rivals.length === 0) return target
    if (isExact(name) && !rivals.some(isExact)) return target
    if (isExact(name) || !rivals.some(isExact)) {
      if (written.findIndex((other) => own(other) === target && isExact(other) === isExact(name)) !== index)
        note(name, 'HEADER_DUPLICATE', 'error', `the header names ${target} twice`)
      return target
    }
    note(name, 'HEADER_UNKNOWN', 'warning', `another column gives ${target}: this one is not read`)
    return undefined
  })
  const needed = partClass === undefined ? [...REQUIRED, 'part_class'] : REQUIRED
  for (const name of needed)
    if (!taken.includes(name)) note(name, 'HEADER_MISSING', 'error', 'the header must name this column')
  return { names: taken, findings }
}
