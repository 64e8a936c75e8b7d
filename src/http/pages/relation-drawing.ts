import { html } from 'hono/html'

export interface DrawnNode {
  id: string
  label: string
  href: string
}
export interface Relations {
  title: string
  /** Up to three columns, left to right. */
  columns: { heading: string; nodes: DrawnNode[] }[]
  edges: [from: string, to: string][]
}

const WIDTH = 250
const GAP = 95
const ROW = 34
const BOX = 26
const TOP = 30
const MAX_CHARS = 36

const shortened = (text: string) => (text.length > MAX_CHARS ? `${text.slice(0, MAX_CHARS - 1)}\u2026` : text)

function place({ columns }: Relations) {
  const height = TOP + ROW * Math.max(1, ...columns.map(({ nodes }) => nodes.length))
  const at = new Map<string, { x: number; y: number }>()
  columns.forEach(({ nodes }, column) => {
    const offset = TOP + (height - TOP - nodes.length * ROW) / 2
    nodes.forEach(({ id }, row) => {
      at.set(id, { x: column * (WIDTH + GAP), y: offset + row * ROW })
    })
  })
  return { at, height, width: columns.length * WIDTH + (columns.length - 1) * GAP }
}

/** A small drawing of how concepts hang together, as inline SVG whose boxes are links. */
export function drawRelations(relations: Relations) {
  const { at, height, width } = place(relations)
  const lines = relations.edges.flatMap(([from, to]) => {
    const [start, end] = [at.get(from), at.get(to)]
    if (!start || !end) return []
    const [x, y, endY] = [start.x + WIDTH, start.y + BOX / 2, end.y + BOX / 2]
    return [html`<path d="M${x} ${y} C${x + GAP / 2} ${y} ${end.x - GAP / 2} ${endY} ${end.x} ${endY}"/>`]
  })
  const boxes = relations.columns.flatMap(({ nodes }) =>
    nodes.map(({ id, label, href }) => {
      const { x, y } = at.get(id)!
      return html`<a href="${href}"><title>${label}</title><rect x="${x + 0.5}" y="${y + 0.5}" width="${WIDTH - 1}" height="${BOX}" rx="4"/><text x="${x + 8}" y="${y + 18}">${shortened(label)}</text></a>`
    }),
  )
  const headings = relations.columns.map(
    ({ heading }, column) => html`<text x="${column * (WIDTH + GAP)}" y="16" font-weight="600">${heading}</text>`,
  )
  return html`<svg viewBox="0 0 ${width} ${height}" width="${width}" role="img" aria-label="${relations.title}">${headings}${lines}${boxes}</svg>`
}
