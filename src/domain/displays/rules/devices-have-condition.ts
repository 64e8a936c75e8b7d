import type { Screen } from '../profile.ts'
import { onEachScreen, type ProfileFault, type ProfileRule } from './rule.ts'

const RULE = 'devices-have-condition'
const REMEDY = 'Say on the mark or on the screen which condition the device has'

function ofNumbers({ screen, numbers, condition }: Screen, path: string): ProfileFault[] {
  if (!numbers) return []
  const message =
    (numbers.last < numbers.first && `ends its numbers at ${numbers.last}, before their beginning ${numbers.first}`) ||
    (condition === undefined && 'shows numbers of devices without a condition')
  return message ? [{ rule: RULE, path: `${path}/numbers`, id: screen, message, remedy: REMEDY }] : []
}

/** A device number says nothing unless it is known what the device has. */
export const devicesHaveCondition: ProfileRule = (profile) =>
  onEachScreen(profile, (screen, path) => [
    ...ofNumbers(screen, path),
    ...(screen.marks ?? []).flatMap(({ mark, device, condition }, at) =>
      device === undefined || (condition ?? screen.condition) !== undefined
        ? []
        : [
            {
              rule: RULE,
              path: `${path}/marks/${at}`,
              id: mark,
              message: 'names a device without a condition',
              remedy: REMEDY,
            },
          ],
    ),
  ])
