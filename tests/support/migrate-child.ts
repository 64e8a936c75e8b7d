import { migrate, readMigrations } from '../../src/store/migrate.ts'
import { connect } from '../../src/store/open.ts'

/** node migrate-child.ts <url> <folder of migrations>: brings a database up to date; made to be killed in the middle. */

const [url = '', migrationsFolder = ''] = process.argv.slice(2)
const { client } = connect(url)
await client.execute('PRAGMA journal_mode = WAL')
console.log('begins')
await migrate(client, readMigrations(migrationsFolder))
console.log('done')
client.close()
