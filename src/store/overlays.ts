import { and, asc, eq } from 'drizzle-orm'
import { type Database, write } from './database.ts'
import { overlays } from './schema/overlays.ts'

export interface StoredOverlay {
  name: string
  sha256: string
  updatedAt: number
  /** The overlay as JSON. */
  body: string
}

/** Puts an overlay in the place of the shop's one of the same name, or adds it. */
export async function putOverlay(database: Database, shopId: string, overlay: StoredOverlay): Promise<void> {
  await write(database, [
    {
      sql: 'insert into overlays (shop_id, name, sha256, body, updated_at) values (?, ?, ?, ?, ?) on conflict (shop_id, name) do update set sha256 = excluded.sha256, body = excluded.body, updated_at = excluded.updated_at',
      args: [shopId, overlay.name, overlay.sha256, overlay.body, overlay.updatedAt],
    },
  ])
}

/** The shop's overlay of a name; undefined when there is none. */
export async function findOverlay({ orm }: Database, shopId: string, name: string): Promise<StoredOverlay | undefined> {
  const mine = and(eq(overlays.shopId, shopId), eq(overlays.name, name))
  const [row] = await orm.select().from(overlays).where(mine).limit(1)
  return row
}

/** Names and hashes of a shop's overlays, by name. */
export function listOverlays({ orm }: Database, shopId: string) {
  const { name, sha256, updatedAt } = overlays
  return orm.select({ name, sha256, updatedAt }).from(overlays).where(eq(overlays.shopId, shopId)).orderBy(asc(name))
}

/** Removes an overlay; says whether there was one. */
export async function deleteOverlay(database: Database, shopId: string, name: string): Promise<boolean> {
  return (
    (await write(database, [{ sql: 'delete from overlays where shop_id = ? and name = ?', args: [shopId, name] }])) > 0
  )
}
