import { addressKindOf } from './address-kind.ts'
import type { Dc03Content } from './dc03-block.ts'
import { type Dc03Code, readDc03Codes } from './dc03-data.ts'
import type { Dc05Content } from './dc05.ts'
import { blockOf } from './dc05-blocks.ts'
import { problemOf, type Remarks, refuse } from './remarks.ts'
import type { CodeTable, SignalEvent, SignalProblem, SignalScheme } from './signal-event.ts'
import { windows1252Text } from './windows-1252.ts'

/** What surrounds the codes of a signal. */
export interface Surroundings {
  table: CodeTable
  account?: string | undefined
  at?: string | undefined
}

/** 0 in every place stands for none. */
const isNone = (digits: string | undefined) => digits === undefined || /^0*$/.test(digits)

function unknownCode(scheme: SignalScheme, code: string, block: string | undefined): SignalProblem {
  const place = block === undefined ? 'stands in no block' : `stands in block ${block}`
  const message = `code must be one that the tables of ${scheme} have, got ${code}, which ${place}`
  return { code: 'UNKNOWN_CODE', message, value: code, ...(block === undefined ? {} : { limit: block }) }
}

/** What a code is known to be, and a note for a code that no table has: such a code is never refused. */
function known(scheme: SignalScheme, code: string, table: CodeTable) {
  const entry = table(scheme, code)
  if (entry) return { isRestoral: entry.isRestoral, rest: { problems: [] } }
  const block = scheme === 'dc-05' ? blockOf(code) : undefined
  const problems = [unknownCode(scheme, code, block)]
  return { isRestoral: false, rest: { ...(block === undefined ? {} : { block }), problems } }
}

const placed = ({ account, at }: Surroundings) => ({
  ...(account === undefined ? {} : { account }),
  ...(at === undefined ? {} : { at }),
})

/** The event of a DC-05 message. */
export function eventOfDc05({ qualifier, eventCode, group, point }: Dc05Content, around: Surroundings): SignalEvent {
  const { rest } = known('dc-05', eventCode, around.table)
  return {
    scheme: 'dc-05',
    code: eventCode,
    kind: qualifier === '3' ? 'restore' : 'event',
    ...(qualifier === '6' ? { isRepeated: true as const } : {}),
    ...placed(around),
    ...(isNone(group) ? {} : { area: group }),
    ...(isNone(point) ? {} : { address: { of: addressKindOf('dc-05', eventCode), number: point } }),
    ...rest,
  }
}

/** The digits after the code, or else the user whom a modifier names. */
function addressOf({ code, address, modifiers }: Dc03Code): Pick<SignalEvent, 'address'> {
  if (address !== undefined && !isNone(address))
    return { address: { of: addressKindOf('dc-03', code), number: address } }
  const user = modifiers.id
  return user === undefined || isNone(user) ? {} : { address: { of: 'user', number: user } }
}

function eventOfDc03(item: Dc03Code, isRepeated: boolean, around: Surroundings): SignalEvent {
  const { isRestoral, rest } = known('dc-03', item.code, around.table)
  const { ri: area, ti: time, da: date } = item.modifiers
  return {
    scheme: 'dc-03',
    code: item.code,
    kind: isRestoral ? 'restore' : 'event',
    ...(isRepeated ? { isRepeated: true as const } : {}),
    ...placed(around),
    ...(area === undefined || isNone(area) ? {} : { area }),
    ...addressOf(item),
    ...(time === undefined ? {} : { time }),
    ...(date === undefined ? {} : { date }),
    ...rest,
  }
}

const ACCOUNT = /^[0-9A-F]{1,16}$/

export interface Dc03Reading {
  events: SignalEvent[]
  /** Account that the blocks named last. */
  account?: string
}

/** Events of blocks in their order: an account holds until the end of data, a text belongs to the event before it. */
export function eventsOfDc03(blocks: readonly Dc03Content[], around: Surroundings, remarks: Remarks): Dc03Reading {
  let account = around.account
  const events: SignalEvent[] = []
  for (const { functionCode, data } of blocks) {
    if (functionCode === '#') {
      if (!ACCOUNT.test(data)) refuse(problemOf('DATA', 'account', '1 to 16 digits 0-9 or A-F', data))
      account = data
    } else if (functionCode === '0') {
      account = undefined
    } else if (functionCode === 'N' || functionCode === 'O') {
      const codes = readDc03Codes(data, remarks)
      events.push(...codes.map((code) => eventOfDc03(code, functionCode === 'O', { ...around, account })))
    } else if (functionCode === 'A') {
      const last = events.at(-1)
      if (last) events[events.length - 1] = { ...last, text: windows1252Text(data) }
    }
  }
  return { events, ...(account === undefined ? {} : { account }) }
}
