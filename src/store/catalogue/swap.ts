import { WORDS_VERSION } from '../../domain/parts/search-words.ts'
import { type Database, write, writeEach } from '../database.ts'
import { SHARED_COLUMNS } from './rows.ts'

/** A row whose item an earlier row of the same import has. */
export interface Duplicate {
  part: number
  row: number
  line: number
  sku: string
}
/** What an import does, or would do, to the catalogue. */
export interface SwapCounts {
  inserted: number
  updated: number
  unchanged: number
  retired: number
}

/** Rows of uploads that count, in the order of parts and rows; ?1 is the shop, ?2 the import. */
const STAGED = `catalogue_staged s join catalogue_import_parts p
on p.shop_id = s.shop_id and p.import_id = s.import_id and p.upload_id = s.upload_id
where s.shop_id = ?1 and s.import_id = ?2`
const RANKED = `select p.part, s.row, s.line, s.sku, s.rowid as at, row_number() over (partition by s.sku order by p.part, s.row) as nth from ${STAGED}`

/** The second and later rows of a SKU, at most `limit`, and how many there are. */
export async function findDuplicates(
  { client }: Database,
  shopId: string,
  importId: string,
  limit: number,
): Promise<{ total: number; first: Duplicate[] }> {
  const { rows } = await client.execute({
    sql: `select part, row, line, sku, count(*) over () as total from (${RANKED}) where nth > 1 order by part, row limit ?3`,
    args: [shopId, importId, limit],
  })
  const first = rows.map(({ part, row, line, sku }) => ({
    part: Number(part),
    row: Number(row),
    line: Number(line),
    sku: String(sku),
  }))
  return { total: Number(rows[0]?.total ?? 0), first }
}

const KNOWN = 'select 1 from catalogue_items i where i.shop_id = ?1 and i.sku = s.sku'
const DIFFERS = '(i.content_hash <> s.content_hash or i.retired_at is not null)'
const FIRST_GOOD = `select at from (${RANKED}) where nth = 1`
const NAMED =
  'select 1 from catalogue_staged s where s.shop_id = ?1 and s.import_id = ?2 and s.sku = catalogue_items.sku'
const MISSING = `from catalogue_items where shop_id = ?1 and retired_at is null and not exists (${NAMED})`

/** What a commit would do, without doing it. */
export async function previewSwap(
  { client }: Database,
  shopId: string,
  importId: string,
  isReplacing: boolean,
): Promise<SwapCounts & { active: number }> {
  const good = `catalogue_staged s where s.shop_id = ?1 and s.import_id = ?2 and s.is_refused = 0 and s.rowid in (${FIRST_GOOD})`
  const { rows } = await client.execute({
    sql: `select
(select count(*) from ${good}) as good,
(select count(*) from ${good} and not exists (${KNOWN})) as inserted,
(select count(*) from ${good} and exists (${KNOWN} and ${DIFFERS})) as updated,
(select count(*) ${MISSING}) as missing,
(select count(*) from catalogue_items where shop_id = ?1 and retired_at is null) as active`,
    args: [shopId, importId],
  })
  const { good: all, inserted, updated, missing, active } = rows[0] as unknown as Record<string, number>
  return {
    inserted: inserted!,
    updated: updated!,
    unchanged: all! - inserted! - updated!,
    retired: isReplacing ? missing! : 0,
    active: active!,
  }
}

const ENDED = `exists (select 1 from catalogue_imports where shop_id = ?1 and id = ?2 and status = 'committed' and outcome is not null)`
const NOTE = (name: string) =>
  `update catalogue_imports set outcome = json_set(outcome, '$.${name}', changes()) where shop_id = ?1 and id = ?2 and status = 'committed'`
/** Ends the import if it is open and does not take too much away; every statement behind it asks whether it did. */
const CLAIM = `update catalogue_imports set status = 'committed', outcome = ?5, ended_at = ?3, touched_at = ?3
where shop_id = ?1 and id = ?2 and status = 'open' and (?4 is null or
(select count(*) ${MISSING}) <= ?4 * (select count(*) from catalogue_items where shop_id = ?1 and retired_at is null))`
const REFUSE_DUPLICATES = `update catalogue_staged set is_refused = 1
where shop_id = ?1 and import_id = ?2 and is_refused = 0 and rowid in (select at from (${RANKED}) where nth > 1) and ${ENDED}`
const GOOD = `s.shop_id = ?1 and s.import_id = ?2 and s.is_refused = 0`
const FORGET_WORDS = `delete from catalogue_words where rowid in (select i.id from catalogue_staged s join catalogue_items i
on i.shop_id = s.shop_id and i.sku = s.sku where ${GOOD} and ${DIFFERS} and i.indexed_as > 0 and i.retired_at is null) and ${ENDED}`
const SET = SHARED_COLUMNS.filter((column) => column !== 'sku').map((column) => `${column} = s.${column}`)
const UPDATE = `update catalogue_items as i set ${SET.join(', ')}, import_id = ?2, updated_at = ?3, retired_at = null, indexed_as = ?4
from catalogue_staged s where i.shop_id = ?1 and i.sku = s.sku and ${GOOD} and ${DIFFERS} and ${ENDED}`
const INSERT = `insert into catalogue_items (shop_id, ${SHARED_COLUMNS.join(', ')}, import_id, updated_at, indexed_as)
select ?1, ${SHARED_COLUMNS.map((column) => `s.${column}`).join(', ')}, ?2, ?3, ?4 from catalogue_staged s
where ${GOOD} and not exists (${KNOWN}) and ${ENDED} order by s.part_class, s.sku`
const INDEX = `insert into catalogue_words (rowid, title, numbers, others)
select i.id, s.title_words, s.number_words, s.other_words from catalogue_items i join catalogue_staged s
on s.shop_id = i.shop_id and s.sku = i.sku where i.shop_id = ?1 and i.import_id = ?2 and ${GOOD} and ${ENDED}`
const FORGET_MISSING = `delete from catalogue_words where rowid in (select id ${MISSING} and indexed_as > 0) and ${ENDED}`
const RETIRE = `update catalogue_items set retired_at = ?3 where shop_id = ?1 and retired_at is null and not exists (${NAMED}) and ${ENDED}`
const CLEAR = `delete from catalogue_staged where shop_id = ?1 and import_id = ?2 and ${ENDED}`

/** Throws away what interrupted or replaced uploads left behind, so that only rows that count remain. */
export async function dropStrayRows(database: Database, shopId: string, importId: string): Promise<void> {
  const drop = `delete from catalogue_staged where shop_id = ?1 and import_id = ?2 and upload_id not in
(select upload_id from catalogue_import_parts where shop_id = ?1 and import_id = ?2 and upload_id is not null)`
  await write(database, [{ sql: drop, args: [shopId, importId] }])
}

export interface Swap {
  now: number
  /** Retires what the import does not name, if that is at most this fraction of what is there; undefined retires nothing. */
  maxRetiredFraction?: number | undefined
  /** What is known of the commit before it is done, as JSON. */
  outcome: string
}

/** Puts the rows of an import into the catalogue in one write: all of it or nothing. Says whether it was done. */
export async function swapIn(
  database: Database,
  shopId: string,
  importId: string,
  { now, maxRetiredFraction, outcome }: Swap,
): Promise<boolean> {
  const both = [shopId, importId]
  const changing = [...both, now, WORDS_VERSION]
  const retire = [
    { sql: FORGET_MISSING, args: both },
    { sql: RETIRE, args: [...both, now] },
    { sql: NOTE('retired'), args: both },
  ]
  const [claimed] = await writeEach(database, [
    { sql: CLAIM, args: [...both, now, maxRetiredFraction ?? null, outcome] },
    { sql: REFUSE_DUPLICATES, args: both },
    { sql: FORGET_WORDS, args: both },
    { sql: UPDATE, args: changing },
    { sql: NOTE('updated'), args: both },
    { sql: INSERT, args: changing },
    { sql: NOTE('inserted'), args: both },
    { sql: INDEX, args: both },
    ...(maxRetiredFraction === undefined ? [] : retire),
    { sql: CLEAR, args: both },
  ])
  return claimed! > 0
}

/** Ends an import without touching the catalogue, or adds to what its commit wrote down. */
export async function noteOutcome(
  database: Database,
  shopId: string,
  importId: string,
  status: 'checked' | 'committed',
  outcome: string,
  now: number,
): Promise<void> {
  const args = [shopId, importId]
  await write(database, [
    {
      sql: `update catalogue_imports set status = ?3, outcome = json_patch(coalesce(outcome, '{}'), ?4), ended_at = coalesce(ended_at, ?5), touched_at = ?5
where shop_id = ?1 and id = ?2 and (status = ?3 or status = 'open')`,
      args: [...args, status, outcome, now],
    },
    { sql: 'delete from catalogue_staged where shop_id = ?1 and import_id = ?2', args },
  ])
}

/** Writes down which rows keep an open import from being committed. */
export async function noteDuplicates(
  database: Database,
  shopId: string,
  importId: string,
  outcome: string,
): Promise<void> {
  const note = `update catalogue_imports set outcome = ?3 where shop_id = ?1 and id = ?2 and status = 'open'`
  await write(database, [{ sql: note, args: [shopId, importId, outcome] }])
}
