import { createKey } from '../../src/services/keys.ts'
import { connect, openDatabase } from '../../src/store/open.ts'
import type { Api } from './api.ts'
import { ServerProcess } from './server.ts'

/** The service over a file in which there is one shop with a key. */
export async function shopServer(
  path: string,
  before: readonly string[] = [],
): Promise<{ server: ServerProcess; api: Api }> {
  const url = `file:${path}`
  const database = await openDatabase(url)
  const key = await createKey(database, 'north', ['overlays', 'catalogue'], Date.now())
  database.client.close()
  const server = await ServerProcess.start(url, before)
  return { server, api: { url: server.url, key } }
}

/** Names of the overlays in a file, as another process finds them. */
export async function overlaysIn(path: string): Promise<string[]> {
  const { client } = connect(`file:${path}`)
  const { rows } = await client.execute('select name from overlays order by name').finally(() => client.close())
  return rows.map(({ name }) => String(name))
}
