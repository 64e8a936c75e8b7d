import type { Input, TroubleAtlas } from '../../../sdk/src/index.ts'
import type { Diagnosis } from './call.ts'
import { percent, say } from './print.ts'

/** A cause counts as found out above this; what the meter showed makes it so here. */
const FOUND = 0.5
const LINES_OF_SHEET = 14

/** Keeps the call with the shop, closes it with what the checks confirmed, and shows its sheet and what it taught. */
export async function keepCall(
  api: TroubleAtlas,
  findings: Input<'diagnose'>['findings'],
  limits: NonNullable<Input<'diagnose'>['limits']>,
  { causes, plan }: Diagnosis,
): Promise<void> {
  const opened = (await api.createCall({ siteRef: 'site-0417' })).value
  const told = (await api.addFindings(opened, { by: 'caller', findings })).value
  const advised = (await api.adviseCall(told, { limits })).value
  const confirmed = causes
    .filter(({ probability }) => probability >= FOUND)
    .map(({ cause, device }) => ({ cause, by: 'check' as const, ...(device === undefined ? {} : { device }) }))
  const remedy = plan[0]?.remedy
  const closed = (
    await api.closeCall(
      advised,
      confirmed.length === 0
        ? { conclusion: 'not-confirmed' }
        : { conclusion: 'confirmed', confirmed, ...(remedy === undefined ? {} : { remedy }) },
    )
  ).value
  say(`The call ${closed.call} is closed after ${closed.seq} entries. Its sheet, to send or to file, begins:`)
  console.log('')
  const sheet = (await api.getCallSummary(closed.call, 'text/plain')).value
  for (const line of sheet.split('\n').slice(0, LINES_OF_SHEET)) console.log(`  | ${line}`)
  console.log('')
  const { calls, causes: rates } = (await api.getRates()).value
  say(`The shop has now ${calls.known} call whose causes are known. What it taught, beside what was published:`)
  for (const { cause, published, learned } of rates.slice(0, 4))
    say(`${cause}: ${percent(published)} published, ${percent(learned)} learned`, '  ')
}
