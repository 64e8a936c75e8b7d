/** Fields RateLimit-Policy and RateLimit as lists of named items (draft-ietf-httpapi-ratelimit-headers, from draft 08 on). */
export interface Quota {
  name: string
  limit: number
  windowS: number
  /** What is left; absent where it is not known. */
  remaining?: number | undefined
  endsInS?: number | undefined
}

export const policyField = (quotas: readonly Quota[]) =>
  quotas.map(({ name, limit, windowS }) => `"${name}";q=${limit};w=${windowS}`).join(', ')

/** Undefined where nothing is known of what is left. */
export function remainingField(quotas: readonly Quota[]): string | undefined {
  const known = quotas.filter(({ remaining }) => remaining !== undefined)
  if (known.length === 0) return undefined
  const item = ({ name, remaining, endsInS }: Quota) =>
    `"${name}";r=${remaining}${endsInS === undefined ? '' : `;t=${endsInS}`}`
  return known.map(item).join(', ')
}
