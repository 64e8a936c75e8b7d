import type { BatteryRuntime } from '../../domain/power/battery-runtime.ts'
import { line, svg, text } from './svg.ts'

const SIZE = { width: 640, height: 360 }
const FRAME = { left: 60, right: 620, top: 30, bottom: 300 }
const TICKS = 5
/** Dashes tell the models apart where colour does not. */
const DASHES = ['', '8 4', '2 4', '10 3 2 3']

const hoursText = (hours: number) => `${Number(hours.toPrecision(3))} h`

/** Charge left over time by each model, and the range in which the battery is empty. */
export function drawRuntime({ models, standby }: BatteryRuntime): string {
  const most = standby.highHours * 1.05
  const x = (hours: number) => FRAME.left + ((FRAME.right - FRAME.left) * hours) / most
  const y = (fraction: number) => FRAME.bottom - (FRAME.bottom - FRAME.top) * fraction
  const drawn = models.filter(({ curve }) => curve.length > 0)
  const curves = drawn.map(({ model, curve }, index) => {
    const points = curve.map(({ hours, leftFraction }) => [x(hours), y(leftFraction)] as const)
    const key = FRAME.top + 16 * (index + 1)
    const sample = line([FRAME.right - 150, key], [FRAME.right - 120, key])
    return `<g stroke-dasharray="${DASHES[index % DASHES.length]}">${line(...points)}${sample}</g>${text(FRAME.right - 114, key + 4, model)}`
  })
  const ticks = Array.from({ length: TICKS + 1 }, (_, index) => {
    const hours = (standby.highHours * index) / TICKS
    const share = index / TICKS
    return `${text(x(hours), FRAME.bottom + 18, hoursText(hours), 'middle')}${text(FRAME.left - 8, y(share) + 4, `${Math.round(100 * share)} %`, 'end')}`
  })
  const range = `<rect x="${x(standby.lowHours).toFixed(2)}" y="${FRAME.top}" width="${(x(standby.highHours) - x(standby.lowHours)).toFixed(2)}" height="${FRAME.bottom - FRAME.top}" fill="currentColor" fill-opacity="0.12" stroke="none"/>`
  const axes = line([FRAME.left, FRAME.top], [FRAME.left, FRAME.bottom], [FRAME.right, FRAME.bottom])
  const caption = `Empty between ${hoursText(standby.lowHours)} and ${hoursText(standby.highHours)}`
  return svg(
    SIZE,
    'Charge left in the battery over time',
    `${caption}, by ${drawn.map(({ model }) => model).join(', ')}.`,
    range + axes + curves.join('') + ticks.join('') + text(FRAME.left, SIZE.height - 14, caption),
  )
}
