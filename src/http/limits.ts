/** Named limits of a request, as the capabilities document states them. */
export const LIMITS = {
  bodyBytes: 1024 * 1024,
  findings: 200,
  devices: 64,
  inlineItems: 200,
  loads: 200,
  batchItems: 100,
} as const
