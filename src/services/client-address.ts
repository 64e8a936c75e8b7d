/**
 * Where a request comes from: the other end of the connection, or, where that is a proxy of one's own, the last sender that
 * the chain of own proxies names. What stands further left in the header could be anybody's invention.
 *
 * @param forwardedFor - the header X-Forwarded-For, oldest sender first
 * @param isOwnProxy - false for what is no address at all
 */
export function clientAddress(
  connection: string | undefined,
  forwardedFor: string | undefined,
  isOwnProxy: (address: string) => boolean,
): string | undefined {
  if (connection === undefined || forwardedFor === undefined) return connection
  let sender = connection
  for (const claimed of forwardedFor.split(',').reverse()) {
    if (!isOwnProxy(sender)) break
    if (claimed.trim() === '') break
    sender = claimed.trim()
  }
  return sender
}
