import { and, eq, sql } from 'drizzle-orm'
import { itemWords, WORDS_VERSION } from '../../domain/parts/search-words.ts'
import { type Database, write } from '../database.ts'
import { catalogueItems } from '../schema/catalogue.ts'
import { shops } from '../schema/shops.ts'
import { ADD_WORDS } from './items.ts'
import { ITEM_COLUMNS, toItem, toWords, vocabularyOf } from './rows.ts'

const AT_ONCE = 200
const FORGET =
  'delete from catalogue_words where rowid in (select id from catalogue_items where shop_id = ?1 and id = ?2)'
const ADD = `insert into catalogue_words (rowid, title, numbers, others)
select id, ?3, ?4, ?5 from catalogue_items where shop_id = ?1 and id = ?2 and retired_at is null`
const MARK = 'update catalogue_items set indexed_as = ?3 where shop_id = ?1 and id = ?2'

/** Writes the words of items of one shop that have none yet, a few at a time; returns how many. */
async function indexSome(database: Database, shopId: string): Promise<number> {
  const waiting = and(eq(catalogueItems.shopId, shopId), sql`indexed_as = 0`)
  const { id } = catalogueItems
  const rows = await database.orm
    .select({ id, ...ITEM_COLUMNS })
    .from(catalogueItems)
    .where(waiting)
    .limit(AT_ONCE)
  if (rows.length === 0) return 0
  const items = rows.map((row) => ({ id: row.id, words: itemWords(toItem(row)) }))
  await write(database, [
    { sql: ADD_WORDS, args: [shopId, JSON.stringify(vocabularyOf(items.map(({ words }) => words)))] },
    ...items.flatMap(({ id: at, words }) => {
      const { title_words, number_words, other_words } = toWords(shopId, words)
      return [
        { sql: FORGET, args: [shopId, at] },
        { sql: ADD, args: [shopId, at, title_words, number_words, other_words] },
        { sql: MARK, args: [shopId, at, WORDS_VERSION] },
      ]
    }),
  ])
  return rows.length
}

/** Makes items that came from before the index of words searchable. */
export async function indexWaitingItems(database: Database): Promise<void> {
  const all = await database.orm.select({ id: shops.id }).from(shops)
  for (const { id } of all) while ((await indexSome(database, id)) === AT_ONCE);
}
