import { existsSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { backUp, RefusedError } from '../store/backup.ts'
import { connect } from '../store/open.ts'
import { command, databaseFile, linesOf } from './maintain/print.ts'

/** npm run backup -- --to <file>: copies the database as it is at one moment; the service may go on writing. */

const { values } = parseArgs({ options: { to: { type: 'string' } } })
await command(async () => {
  const { to } = values
  if (!to) throw new RefusedError('Usage: npm run backup -- --to <file>')
  const file = databaseFile()
  if (!existsSync(file)) throw new RefusedError(`there is no database ${file}`)
  const database = connect(`file:${file}`)
  const report = await backUp(database, to).finally(() => database.client.close())
  console.log(`${file} is copied to ${to}, and the copy is checked\n${linesOf(report).join('\n')}`)
  return true
})
