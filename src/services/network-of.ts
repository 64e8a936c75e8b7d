const GROUPS = 8
const NETWORK_GROUPS = 4

/** The groups of an IPv6 address with its gap filled. */
function groupsOf(address: string): string[] {
  const [head = '', tail] = address.split('::')
  const before = head === '' ? [] : head.split(':')
  const after = tail === undefined || tail === '' ? [] : tail.split(':')
  const gap = tail === undefined ? 0 : Math.max(0, GROUPS - before.length - after.length)
  return [...before, ...Array<string>(gap).fill('0'), ...after]
}

/**
 * What counts as one place that requests come from: an IPv4 address, or the first 64 bits of an IPv6 address, since one
 * household has as many of the rest as it likes.
 */
export function networkOf(address: string): string {
  const plain = address.toLowerCase().split('%')[0]!
  const mapped = /^::ffff:(\d+\.\d+\.\d+\.\d+)$/.exec(plain)?.[1]
  if (mapped !== undefined) return mapped
  if (!plain.includes(':')) return plain
  const groups = groupsOf(plain).slice(0, NETWORK_GROUPS)
  return `${groups.map((group) => group.replace(/^0+(?=.)/, '')).join(':')}::/64`
}
