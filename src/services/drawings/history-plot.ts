import type { HistoryAnalysis } from '../../domain/histories/analyse-history.ts'
import type { JudgedSeries } from '../../domain/histories/series.ts'
import { hourOfDay } from '../../domain/histories/time-of-day.ts'
import { patternOf } from '../histories/pattern.ts'
import { clockText, dateText } from '../histories/wire-times.ts'
import { line, svg, text } from './svg.ts'

const SIZE = { width: 760, height: 560 }
const DIAL = { x: 190, y: 190, radius: 80, longest: 70 }
/** A quarter of an hour each. */
const SECTORS = 96
const NIGHT = [22, 6] as const
const ROWS = { most: 8, left: 230, right: 740, top: 380, step: 18 }
const DATES = 4
const LABEL_LENGTH = 30

type LabelOf = (series: JudgedSeries) => string

/** A point of the dial: midnight above, clockwise. */
function at(hour: number, radius: number): readonly [number, number] {
  const angle = (hour / 24) * 2 * Math.PI
  return [DIAL.x + radius * Math.sin(angle), DIAL.y - radius * Math.cos(angle)]
}

function sector(from: number, to: number, inner: number, outer: number, opacity: number): string {
  const point = (hour: number, radius: number) =>
    at(hour, radius)
      .map((value) => value.toFixed(2))
      .join(',')
  const isLarge = (to - from + 24) % 24 > 12 ? 1 : 0
  const arc = (radius: number, hour: number, sweep: number) =>
    `A${radius},${radius} 0 ${isLarge} ${sweep} ${point(hour, radius)}`
  const path = `M${point(from, inner)} L${point(from, outer)} ${arc(outer, to, 1)} L${point(to, inner)} ${arc(inner, from, 0)} Z`
  return `<path d="${path}" fill="currentColor" fill-opacity="${opacity}" stroke="none"/>`
}

function face(): string {
  const hours = Array.from({ length: 24 }, (_, hour) => hour)
  const ticks = hours.map((hour) => line(at(hour, DIAL.radius - (hour % 6 === 0 ? 8 : 4)), at(hour, DIAL.radius)))
  const numbers = hours
    .filter((hour) => hour % 3 === 0)
    .map((hour) => {
      const [x, y] = at(hour, DIAL.radius - 20)
      return text(x, y + 4, String(hour), 'middle')
    })
  const rim = `<circle cx="${DIAL.x}" cy="${DIAL.y}" r="${DIAL.radius}"/>`
  return sector(NIGHT[0], NIGHT[1], 1, DIAL.radius, 0.08) + rim + ticks.join('') + numbers.join('')
}

/** Starts by quarters of an hour, as bars outward from the rim; the shown arc just inside it. */
function rose({ independent, timeOfDay }: JudgedSeries): string {
  const counts = new Array<number>(SECTORS).fill(0)
  for (const start of independent) counts[Math.floor((hourOfDay(start) * SECTORS) / 24)]!++
  const most = Math.max(...counts)
  const bars = counts.map((count, index) => {
    if (count === 0) return ''
    const from = (index * 24) / SECTORS
    const outer = DIAL.radius + (DIAL.longest * count) / most
    return sector(from, from + 24 / SECTORS, DIAL.radius, outer, 0.7)
  })
  const arc = timeOfDay && timeOfDay.arc.widthHours > 0 ? timeOfDay.arc : undefined
  const shown = arc ? sector(arc.fromHours, arc.toHours, DIAL.radius - 5, DIAL.radius, 0.9) : ''
  return bars.join('') + shown
}

/** The series with the clearest pattern over the day; else the one with most starts. */
function dialSeries(series: readonly JudgedSeries[]): JudgedSeries | undefined {
  const clarity = (one: JudgedSeries) => patternOf(one)?.test.p ?? 1
  return [...series]
    .filter(({ independent }) => independent.length > 0)
    .sort((a, b) => clarity(a) - clarity(b) || b.independent.length - a.independent.length)[0]
}

const short = (label: string) => (label.length > LABEL_LENGTH ? `${label.slice(0, LABEL_LENGTH - 1)}…` : label)

/** Marks of a row, one for each place that can be told apart, so that a long list draws no more than a short one. */
function marks({ intervals }: JudgedSeries, x: (atMs: number) => number, y: number): string {
  const drawn = new Map<number, number>()
  for (const { start, end } of intervals) {
    if (!start) continue
    const from = Math.round(x(start.atMs))
    const width = end ? Math.max(1, Math.round(x(end.atMs)) - from) : 1
    drawn.set(from, Math.max(drawn.get(from) ?? 0, width))
  }
  return [...drawn]
    .map(
      ([from, width]) => `<rect x="${from}" y="${y}" width="${width}" height="10" fill="currentColor" stroke="none"/>`,
    )
    .join('')
}

function timeline({ series, watch }: HistoryAnalysis, labelOf: LabelOf): string {
  if (!watch) return ''
  const length = Math.max(1, watch.toMs - watch.fromMs)
  const x = (atMs: number) => ROWS.left + ((ROWS.right - ROWS.left) * (atMs - watch.fromMs)) / length
  const shown = series.slice(0, ROWS.most)
  const rows = shown.map((one, index) => {
    const y = ROWS.top + ROWS.step * index
    return text(ROWS.left - 8, y + 9, short(labelOf(one)), 'end') + marks(one, x, y)
  })
  const bottom = ROWS.top + ROWS.step * shown.length + 4
  const dates = Array.from({ length: DATES }, (_, index) => {
    const atMs = watch.fromMs + (length * index) / (DATES - 1)
    const anchor = index === 0 ? 'start' : index === DATES - 1 ? 'end' : 'middle'
    return text(x(atMs), bottom + 16, dateText({ localMs: atMs }).slice(0, 10), anchor)
  })
  return rows.join('') + line([ROWS.left, bottom], [ROWS.right, bottom]) + dates.join('')
}

function legend(series: JudgedSeries | undefined, labelOf: LabelOf): { words: string[]; title: string } {
  if (!series?.timeOfDay) return { words: ['No start to show.'], title: 'Event history' }
  const { arc, n } = series.timeOfDay
  const pattern = patternOf(series)
  return {
    title: `Time of day of ${labelOf(series)}`,
    words: [
      `${arc.count} of ${n} starts fall between ${clockText(arc.fromHours)} and ${clockText(arc.toHours)}`,
      pattern ? 'The pattern stands among all tests made.' : 'No pattern over the day stands out.',
    ],
  }
}

/** The 24-hour dial of the clearest series, and a timeline of the series with most events. */
export function drawHistory(analysis: HistoryAnalysis, labelOf: LabelOf): string {
  const chosen = dialSeries(analysis.series)
  const { title, words } = legend(chosen, labelOf)
  const notes = [title, ...words].map((sentence, index) => text(380, 60 + 20 * index, sentence))
  const key = text(380, 140, 'Shaded: 22 to 6. Bars: starts by quarters of an hour.')
  const dial = face() + (chosen ? rose(chosen) : '')
  return svg(
    SIZE,
    title,
    `${words.join('. ')}.`.replace('..', '.'),
    dial + notes.join('') + key + timeline(analysis, labelOf),
  )
}
