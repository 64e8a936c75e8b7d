import { and, eq, sql } from 'drizzle-orm'
import { type ItemWords, itemWords } from '../../domain/parts/search-words.ts'
import { type Database, type Statement, write, writeEach } from '../database.ts'
import { catalogueImportParts, catalogueImports } from '../schema/catalogue.ts'
import { ADD_WORDS } from './items.ts'
import { asJson, fromJson, type HashedItem, SHARED_COLUMNS, toRow, toWords, vocabularyOf } from './rows.ts'

export type StoredImport = typeof catalogueImports.$inferSelect
export type StoredPart = typeof catalogueImportParts.$inferSelect

/** A row of an upload: an item, or the SKU of a row that is left out. */
export type StagedRow = { row: number; line: number } & ({ item: HashedItem } | { refusedSku: string })
/** Which upload of which part of which import. */
export interface Upload {
  importId: string
  part: number
  uploadId: string
}

const IS_OPEN = `exists (select 1 from catalogue_imports where shop_id = ?1 and id = ?2 and status = 'open')`
const OPEN = `insert into catalogue_imports (shop_id, id, status, options, opened_at, touched_at) values (?1,
(select ?2 where (select count(*) from catalogue_imports where shop_id = ?1 and status = 'open') < ?5), 'open', ?3, ?4, ?4)`

/** Statement that opens an import. Where too many are open its id comes out as null, which breaks the whole batch. */
export const openStatement = (
  shopId: string,
  { id, options, openedAt }: Pick<StoredImport, 'id' | 'options' | 'openedAt'>,
  mostOpen: number,
): Statement => ({ sql: OPEN, args: [shopId, id, options, openedAt, mostOpen] })

/** What an idempotency key of an import stands for. */
const REF = 'import/'
export const importRef = (id: string) => REF + id
export const importOfRef = (ref: string) => ref.slice(REF.length)

/** The shop's import of an id; undefined when there is none. */
export async function findImport({ orm }: Database, shopId: string, id: string): Promise<StoredImport | undefined> {
  const mine = and(eq(catalogueImports.shopId, shopId), eq(catalogueImports.id, id))
  return (await orm.select().from(catalogueImports).where(mine).limit(1))[0]
}

/** Parts of an import in order. */
export function listParts({ orm }: Database, shopId: string, importId: string): Promise<StoredPart[]> {
  const mine = and(eq(catalogueImportParts.shopId, shopId), eq(catalogueImportParts.importId, importId))
  return orm.select().from(catalogueImportParts).where(mine).orderBy(sql`part`)
}

const BEGIN = `insert into catalogue_import_parts (shop_id, import_id, part) select ?1, ?2, ?3 where ${IS_OPEN} on conflict do nothing`
const TOUCH = `update catalogue_imports set touched_at = ?3 where shop_id = ?1 and id = ?2 and status = 'open'`

/** Notes that a part is coming in, so that no commit goes without it; says whether the import is open. */
export async function beginUpload(database: Database, shopId: string, upload: Upload, now: number): Promise<boolean> {
  const { importId, part } = upload
  const [, isOpen] = await writeEach(database, [
    { sql: BEGIN, args: [shopId, importId, part] },
    { sql: TOUCH, args: [shopId, importId, now] },
  ])
  return isOpen! > 0
}

const STAGED_COLUMNS = ['row', 'line', 'is_refused', ...SHARED_COLUMNS, 'title_words', 'number_words', 'other_words']
const STAGE = `insert into catalogue_staged (shop_id, import_id, upload_id, ${STAGED_COLUMNS.join(', ')})
select ?1, ?2, ?3, ${fromJson(STAGED_COLUMNS)} from json_each(?4) where ${IS_OPEN}`
const NOTHING: ItemWords = { title: [], numbers: [], others: [] }
const NO_WORDS = { title_words: '', number_words: '', other_words: '' }
const REFUSED = { part_class: '', title: '', attributes: '{}', content_hash: '', ...NO_WORDS }

function stagedRow(shopId: string, staged: StagedRow, words: ItemWords): Record<string, unknown> {
  const { row, line } = staged
  if ('refusedSku' in staged) return { row, line, is_refused: 1, sku: staged.refusedSku, ...REFUSED }
  return { row, line, is_refused: 0, ...toRow(staged.item), ...toWords(shopId, words) }
}

/** Adds rows to an upload in one write. */
export async function stageRows(
  database: Database,
  shopId: string,
  { importId, uploadId }: Upload,
  rows: readonly StagedRow[],
): Promise<void> {
  const words = rows.map((staged) => ('item' in staged ? itemWords(staged.item) : NOTHING))
  const staged = asJson(rows.map((row, index) => stagedRow(shopId, row, words[index]!)))
  await write(database, [
    { sql: STAGE, args: [shopId, importId, uploadId, staged] },
    { sql: ADD_WORDS, args: [shopId, JSON.stringify(vocabularyOf(words))] },
  ])
}

const REPLACED = `delete from catalogue_staged where shop_id = ?1 and import_id = ?2 and upload_id =
(select upload_id from catalogue_import_parts where shop_id = ?1 and import_id = ?2 and part = ?3)`
const FINISH = `update catalogue_import_parts set upload_id = ?4, report = ?5
where shop_id = ?1 and import_id = ?2 and part = ?3 and ${IS_OPEN}`

/** Makes an upload the one that counts for its part; says whether the import was still open. */
export async function finishUpload(
  database: Database,
  shopId: string,
  { importId, part, uploadId }: Upload,
  report: string,
  now: number,
): Promise<boolean> {
  const [, finished] = await writeEach(database, [
    { sql: REPLACED, args: [shopId, importId, part] },
    { sql: FINISH, args: [shopId, importId, part, uploadId, report] },
    { sql: TOUCH, args: [shopId, importId, now] },
  ])
  return finished! > 0
}

/** Throws away the rows of an upload that came to nothing. */
export async function discardUpload(database: Database, shopId: string, { importId, uploadId }: Upload): Promise<void> {
  const discard = 'delete from catalogue_staged where shop_id = ?1 and import_id = ?2 and upload_id = ?3'
  await write(database, [{ sql: discard, args: [shopId, importId, uploadId] }])
}

const IS_GONE = 'not exists (select 1 from catalogue_imports where shop_id = ?1 and id = ?2)'

/** Ends an open import and throws its rows away, and its idempotency key with it; says whether there was one. */
export async function abortImport(database: Database, shopId: string, id: string): Promise<boolean> {
  const args = [shopId, id]
  const [removed] = await writeEach(database, [
    { sql: `delete from catalogue_imports where shop_id = ?1 and id = ?2 and status = 'open'`, args },
    ...['catalogue_import_parts', 'catalogue_staged'].map((table) => ({
      sql: `delete from ${table} where shop_id = ?1 and import_id = ?2 and ${IS_GONE}`,
      args,
    })),
    { sql: `delete from idempotency_keys where shop_id = ?1 and response_ref = '${REF}' || ?2 and ${IS_GONE}`, args },
  ])
  return removed! > 0
}

const LEFT = `select id from catalogue_imports where shop_id = ?1
and ((status = 'open' and touched_at < ?2) or (status <> 'open' and touched_at < ?3))`

/** Removes a shop's imports that were left alone, and reports of ended ones that are old. Returns how many. */
export async function sweepImports(
  database: Database,
  shopId: string,
  openBefore: number,
  endedBefore: number,
): Promise<number> {
  const args = [shopId, openBefore, endedBefore]
  const [, , , removed] = await writeEach(database, [
    {
      sql: `delete from idempotency_keys where shop_id = ?1 and response_ref in (select '${REF}' || id from (${LEFT}))`,
      args,
    },
    { sql: `delete from catalogue_staged where shop_id = ?1 and import_id in (${LEFT})`, args },
    { sql: `delete from catalogue_import_parts where shop_id = ?1 and import_id in (${LEFT})`, args },
    { sql: `delete from catalogue_imports where shop_id = ?1 and id in (${LEFT})`, args },
  ])
  return removed!
}
