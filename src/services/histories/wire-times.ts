import type { TimedEvent } from '../../domain/histories/types.ts'

const MINUTE_MS = 60_000
const DAY_MINUTES = 1440

const two = (value: number) => String(value).padStart(2, '0')

/** Hours of the day as "02:50". */
export function clockText(hours: number): string {
  const minutes = Math.round(hours * 60) % DAY_MINUTES
  return `${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`
}

/** Local date and time of an event as "2026-03-01 02:50". */
export const dateText = ({ localMs }: Pick<TimedEvent, 'localMs'>) =>
  new Date(localMs).toISOString().slice(0, 16).replace('T', ' ')

/** Local time with its offset, RFC 3339; without the offset where none is known. */
export function wireTime({ atMs, localMs }: Pick<TimedEvent, 'atMs' | 'localMs'>, hasOffset: boolean): string {
  const local = new Date(localMs).toISOString().slice(0, 19)
  if (!hasOffset) return local
  const minutes = Math.round((localMs - atMs) / MINUTE_MS)
  if (minutes === 0) return `${local}Z`
  const size = Math.abs(minutes)
  return `${local}${minutes < 0 ? '-' : '+'}${two(Math.floor(size / 60))}:${two(size % 60)}`
}

/** "20 s", "4 min", "3.2 h", "2.5 d". */
export function durationText(ms: number): string {
  const short = (value: number) => String(Number(value.toPrecision(2)))
  if (ms < 90_000) return `${Math.round(ms / 1000)} s`
  if (ms < 5_400_000) return `${Math.round(ms / MINUTE_MS)} min`
  if (ms < 172_800_000) return `${short(ms / 3_600_000)} h`
  return `${Math.round(ms / 8_640_000) / 10} d`
}

/** "1 time", "3 times". */
export const counted = (count: number, one: string, many = `${one}s`) => `${count} ${count === 1 ? one : many}`

/** "1 in 20,000", to one digit, two below 1 in 10. */
export function chanceText(p: number): string {
  if (p < 1e-9) return 'less than 1 in a billion'
  const one = 1 / p
  const digits = one < 10 ? 2 : 1
  return `1 in ${Number(one.toPrecision(digits)).toLocaleString('en-US')}`
}
