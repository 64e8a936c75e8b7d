import type { LoopAnalysis, LoopInput } from '../../domain/circuits/loop.ts'
import { box, line, svg, text } from './svg.ts'

const SIZE = { width: 640, height: 320 }
const TOP = 60
const BOTTOM = 150
const LEFT = 110
const RIGHT = 540

const ohms = (ohm: number) => {
  if (!Number.isFinite(ohm)) return 'open'
  return ohm >= 1000 ? `${Number((ohm / 1000).toPrecision(4))} kOhm` : `${Number(ohm.toPrecision(4))} Ohm`
}
const volts = (value: number) => `${Number(value.toPrecision(4))} V`

/** A part in a horizontal wire, with its value above. */
const part = (x: number, y: number, label: string) => `${box(x, y - 8, 60, 16)}${text(x + 30, y - 14, label, 'middle')}`
/** A part across the pair. */
const across = (x: number, label: string) =>
  `${line([x, TOP], [x, 80])}${box(x - 8, 80, 16, 50)}${line([x, 130], [x, BOTTOM])}${text(x + 14, 110, label)}`
/** A contact in a horizontal wire. */
const contact = (x: number, y: number, isOpen: boolean, label: string) =>
  `${line([x, y], [x + 40, isOpen ? y - 16 : y])}<circle cx="${x}" cy="${y}" r="3"/><circle cx="${x + 44}" cy="${y}" r="3"/>${text(x + 22, y + 18, label, 'middle')}`

function field({ scheme, contact: kind, endOfLineOhm = 0, alarmOhm = 0, faultOhm = 0 }: LoopInput): string {
  const isOpen = kind === 'normally-open'
  const closing = line([RIGHT, TOP], [RIGHT, BOTTOM])
  if (scheme === 'none') return contact(300, TOP, isOpen, 'contact') + closing
  if (scheme === 'single' && isOpen) return across(RIGHT, ohms(endOfLineOhm)) + across(360, 'contact, open')
  if (scheme === 'single') return contact(250, TOP, false, 'contact') + across(RIGHT, ohms(endOfLineOhm))
  if (scheme === 'double-parallel')
    return across(RIGHT, ohms(endOfLineOhm)) + across(330, `${ohms(alarmOhm)} and contact`)
  const fault = scheme === 'triple' ? part(390, TOP, `${ohms(faultOhm)} across fault`) : ''
  return part(220, TOP, `${ohms(alarmOhm)} across contact`) + fault + across(RIGHT, ohms(endOfLineOhm))
}

/** The loop as wired, and under it what each of its states reads. */
export function drawLoop(input: LoopInput, { states }: LoopAnalysis): string {
  const wires = line([LEFT, TOP], [RIGHT, TOP]) + line([LEFT, BOTTOM], [RIGHT, BOTTOM])
  const panel = box(30, 40, 80, 130) + text(70, 110, 'panel', 'middle')
  const rows = states.map(({ state, ohm, voltage }, index) => {
    const range = ohm.low === ohm.high ? ohms(ohm.low) : `${ohms(ohm.low)} to ${ohms(ohm.high)}`
    const seen = voltage === undefined ? '' : `, ${volts(voltage.low)} to ${volts(voltage.high)}`
    return text(30, 205 + 18 * index, `${state}: ${range}${seen}`)
  })
  const described = states.map(({ state, ohm }) => `${state} ${ohms(ohm.low)} to ${ohms(ohm.high)}`).join('; ')
  return svg(
    SIZE,
    `Supervised loop, ${input.scheme}`,
    `Readings by state: ${described}.`,
    panel + wires + field(input) + rows.join(''),
  )
}
