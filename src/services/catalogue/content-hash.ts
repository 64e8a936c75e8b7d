import type { CatalogueItem } from '../../store/catalogue/rows.ts'

/** Two mixings of 32 bits each (multiply and rotate), enough to tell an item from what it was; no protection against intent. */
function mix(text: string): string {
  let [a, b] = [0x9e3779b9, 0x85ebca6b]
  for (let at = 0; at < text.length; at++) {
    const code = text.charCodeAt(at)
    a = Math.imul((a << 5) | (a >>> 27), 0xcc9e2d51) ^ code
    b = Math.imul(b ^ code, 0x1b873593) + ((b << 13) | (b >>> 19))
  }
  const hex = (part: number) => (part >>> 0).toString(16).padStart(8, '0')
  return hex(a ^ (a >>> 16)) + hex(b ^ (b >>> 15)) + text.length.toString(16)
}

/** Hash of an item's content, whatever the order of its fields. */
export function contentHash({ attributes, ...rest }: CatalogueItem): string {
  const sorted = (fields: object) => Object.entries(fields).sort(([a], [b]) => (a < b ? -1 : 1))
  const values = sorted(attributes).map(([name, value]) =>
    typeof value === 'object' ? [name, value.min, value.max] : [name, value],
  )
  return mix(JSON.stringify([sorted(rest), values]))
}
