import { and, asc, eq } from 'drizzle-orm'
import { type Database, write } from './database.ts'
import { overlays, profiles } from './schema/documents.ts'

const TABLES = { overlays, profiles } as const
export type DocumentKind = keyof typeof TABLES

export interface StoredDocument {
  name: string
  sha256: string
  updatedAt: number
  /** The document as JSON. */
  body: string
}

/** Puts a document in the place of the shop's one of the same kind and name, or adds it. */
export async function putDocument(
  database: Database,
  kind: DocumentKind,
  shopId: string,
  { name, sha256, body, updatedAt }: StoredDocument,
): Promise<void> {
  await write(database, [
    {
      sql: `insert into ${kind} (shop_id, name, sha256, body, updated_at) values (?, ?, ?, ?, ?) on conflict (shop_id, name) do update set sha256 = excluded.sha256, body = excluded.body, updated_at = excluded.updated_at`,
      args: [shopId, name, sha256, body, updatedAt],
    },
  ])
}

/** The shop's document of a kind and name; undefined when there is none. */
export async function findDocument(
  { orm }: Database,
  kind: DocumentKind,
  shopId: string,
  name: string,
): Promise<StoredDocument | undefined> {
  const table = TABLES[kind]
  const mine = and(eq(table.shopId, shopId), eq(table.name, name))
  const [row] = await orm.select().from(table).where(mine).limit(1)
  return row
}

/** Names and hashes of a shop's documents of a kind, by name. */
export function listDocuments({ orm }: Database, kind: DocumentKind, shopId: string) {
  const table = TABLES[kind]
  const { name, sha256, updatedAt } = table
  return orm.select({ name, sha256, updatedAt }).from(table).where(eq(table.shopId, shopId)).orderBy(asc(name))
}

/** Removes a document; says whether there was one. */
export async function deleteDocument(
  database: Database,
  kind: DocumentKind,
  shopId: string,
  name: string,
): Promise<boolean> {
  const removal = { sql: `delete from ${kind} where shop_id = ? and name = ?`, args: [shopId, name] }
  return (await write(database, [removal])) > 0
}
