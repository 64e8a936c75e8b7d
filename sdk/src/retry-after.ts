/** Retry-After in seconds or as a date, in milliseconds from now; undefined where there is none. */
export function retryAfterMs(header: string | null, now: number): number | undefined {
  if (header === null) return undefined
  const seconds = Number(header)
  const wait = header.trim() !== '' && Number.isFinite(seconds) ? 1000 * seconds : Date.parse(header) - now
  return Number.isNaN(wait) ? undefined : Math.max(0, wait)
}
