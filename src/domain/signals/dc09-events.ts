import { readDc05Content } from './dc05.ts'
import type { Dc09Content } from './dc09-content.ts'
import type { Dc09Frame } from './dc09-frame.ts'
import { EVENT_TOKENS, WITHOUT_EVENT } from './dc09-head.ts'
import { momentOf } from './dc09-time.ts'
import { eventOfDc05, eventsOfDc03 } from './events-of.ts'
import { decode, problemOf, type Remarks } from './remarks.ts'
import type { CodeTable, Decoded, SignalEvent } from './signal-event.ts'

/** Blocks of DC-03 as a frame carries them: a function and its data, parted by bars. */
export const blocksOf = (body: string) =>
  body.split('|').map((block) => ({ functionCode: block.slice(0, 1), data: block.slice(1) }))

/** When it happened, if the sender says so in extended data, else when the frame was sent. Letter H from one library's table. */
function momentOfEvent({ extended, timestamp }: Dc09Content): string | undefined {
  const happened = extended.find(({ letter }) => letter === 'H')
  return (happened && momentOf(happened.text)) ?? timestamp
}

function readEvents(frame: Dc09Frame, content: Dc09Content, table: CodeTable, remarks: Remarks): SignalEvent[] {
  const around = { table, account: content.account ?? frame.account, at: momentOfEvent(content) }
  if (frame.token === 'ADM-CID') return [eventOfDc05(readDc05Content(content.body, remarks), around)]
  if (frame.token === 'SIA-DCS') return eventsOfDc03(blocksOf(content.body), around, remarks).events
  if (!WITHOUT_EVENT.includes(frame.token)) {
    const limit = [...Object.keys(EVENT_TOKENS), ...WITHOUT_EVENT].join(', ')
    remarks.note(problemOf('TOKEN', 'id', limit, frame.token))
  }
  return []
}

/**
 * Events that a frame carries; none in a link test or an answer, nor in a format that is not read here.
 *
 * @param table - what is known of each code
 * @returns the events, or the first fault of its data: DATA, DIGIT, QUALIFIER
 * @source dc-09 2013; data of SIA-DCS and ADM-CID (read in drafts)
 * @example eventsOfFrame(frame, content, () => undefined, true)
 */
export function eventsOfFrame(
  frame: Dc09Frame,
  content: Dc09Content,
  table: CodeTable,
  isStrict: boolean,
): Decoded<SignalEvent[]> {
  return decode(isStrict, (remarks) => readEvents(frame, content, table, remarks))
}
