const ESCAPES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' }
export const escaped = (text: string) => text.replace(/[&<>"']/g, (char) => ESCAPES[char]!)

/** A drawing for eyes and screen readers: title and description inside, the reader's own colour, no script. */
export function svg(size: { width: number; height: number }, title: string, description: string, body: string): string {
  const { width, height } = size
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img" aria-labelledby="t d" font-family="system-ui, sans-serif" font-size="13" fill="none" stroke="currentColor">`,
    `<title id="t">${escaped(title)}</title><desc id="d">${escaped(description)}</desc>`,
    body,
    '</svg>\n',
  ].join('')
}

const number = (value: number) => String(Number(value.toFixed(2)))

export const line = (...points: readonly (readonly [number, number])[]) =>
  `<polyline points="${points.map(([x, y]) => `${number(x)},${number(y)}`).join(' ')}"/>`
export const text = (x: number, y: number, words: string, anchor: 'start' | 'middle' | 'end' = 'start') =>
  `<text x="${number(x)}" y="${number(y)}" text-anchor="${anchor}" fill="currentColor" stroke="none">${escaped(words)}</text>`
export const box = (x: number, y: number, width: number, height: number) =>
  `<rect x="${number(x)}" y="${number(y)}" width="${number(width)}" height="${number(height)}"/>`
