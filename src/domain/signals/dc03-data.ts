import { problemOf, type Remarks, refuse } from './remarks.ts'

/** Time, date, user, area, peripheral, group, path, level, value, automatic id, phone. */
const MODIFIER = /^(ti|da|id|ri|pi|gi|pt|lv|va|ai|ph)(.*)$/s
const CODE = /^([A-Z]{2})(\d{0,8})$/
/** Listen-in for so many seconds: a pattern, not a code. */
const LISTEN_IN = /^L\d+$/

export type Dc03Modifiers = Readonly<Record<string, string>>
export interface Dc03Code {
  code: string
  /** Digits after the code; undefined without any. */
  address?: string
  /** Modifiers that stood before it. */
  modifiers: Dc03Modifiers
}

/**
 * Codes of a new or an old event: modifiers and codes parted by "/"; a modifier holds for the codes after it.
 *
 * @param data - such as "ti14:05/ri1/XT012"
 * @returns the codes, or a refusal with DATA; a bad part spoils the whole
 * @source dc-03 1990.01; ti, id and ri as two public libraries have them, other modifiers from memory
 * @example readDc03Codes('ri1/AT00', remarks) // AT with address 00 in area 1
 */
export function readDc03Codes(data: string, remarks: Remarks): Dc03Code[] {
  const codes: Dc03Code[] = []
  let modifiers: Dc03Modifiers = {}
  for (const part of data.split('/')) {
    const [, name, value] = MODIFIER.exec(part) ?? []
    const [, code, address] = CODE.exec(part) ?? []
    if (name !== undefined && value !== undefined) modifiers = { ...modifiers, [name]: value }
    else if (code !== undefined) codes.push({ code, ...(address ? { address } : {}), modifiers })
    else if (LISTEN_IN.test(part))
      remarks.note(problemOf('LISTEN_IN', 'part', 'an event; this asks to listen in', part))
    else refuse(problemOf('DATA', 'part of an event', 'a modifier or two letters with digits', part))
  }
  if (codes.length === 0 && !LISTEN_IN.test(data)) refuse(problemOf('DATA', 'event', 'at least one code', data))
  return codes
}
