import { parseArgs } from 'node:util'
import { RefusedError, restore } from '../store/backup.ts'
import { command, databaseFile, linesOf } from './maintain/print.ts'

/** npm run restore -- --from <file> [--replace]: puts a backup in the place of the database; stop the service first. */

const { values } = parseArgs({ options: { from: { type: 'string' }, replace: { type: 'boolean', default: false } } })
await command(async () => {
  const { from, replace } = values
  if (!from) throw new RefusedError('Usage: npm run restore -- --from <backup> [--replace]')
  const file = databaseFile()
  const { report, aside } = await restore(from, file, replace)
  if (aside !== undefined) console.log(`the database that was there is now ${aside}`)
  console.log(`${from} is restored to ${file} and checked\n${linesOf(report).join('\n')}`)
  if (report.level.lacking.length > 0) console.log('the next start brings its tables up to date')
  return report.isSound
})
