import { checkFile } from '../store/backup.ts'
import { command, databaseFile, linesOf } from './maintain/print.ts'

/** npm run db:check [-- <file>]: looks through the database, or a backup of it, and changes nothing. */

await command(async () => {
  const file = process.argv[2] ?? databaseFile()
  const report = await checkFile(file)
  console.log(`${file} is ${report.isSound ? 'sound' : 'NOT sound'}\n${linesOf(report).join('\n')}`)
  return report.isSound
})
