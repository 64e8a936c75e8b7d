import { readFileSync } from 'node:fs'
import type { DisplayProfile, Mark, Screen } from '../../src/domain/displays/profile.ts'
import { type Profile, ProfileSchema } from '../../src/ontology/profile.ts'

/** The shipped examples, read from their files. */
export const SHIPPED = ['marl-ring', 'osier-slate'] as const
export const shippedFile = (name: string): Profile =>
  ProfileSchema.parse(JSON.parse(readFileSync(`ontology/profiles/${name}.json`, 'utf8')))

/** A screen with everything that a sound one needs. */
export const screenOf = (screen: string, more: Partial<Screen> = {}): Screen => ({
  screen,
  title: screen,
  kind: 'characters',
  shows: 'all-at-once',
  isComplete: true,
  read: `Read ${screen}.`,
  ...more,
})
export const mains: Mark = { mark: 'wave', condition: 'condition/mains-missing' }
export const battery: Mark = { mark: 'leaf', condition: 'condition/battery-low' }
export const opening = (mark: string, screen: string): Mark => ({ mark, opens: { screen, act: `Open ${screen}.` } })
export const back = { screen: 'front', act: 'Go back.' }

export const profileOf = (...screens: Screen[]): DisplayProfile => ({
  profile: 'small',
  version: '1',
  name: 'small',
  start: screens[0]!.screen,
  screens,
})

/** A front that opens a list of device numbers, and a memory beside it. */
export function smallProfile(): DisplayProfile {
  return profileOf(
    screenOf('front', {
      marks: [mains, opening('eye', 'list')],
      ways: [{ screen: 'past', act: 'Open past.' }],
    }),
    screenOf('list', {
      condition: 'condition/radio-device-missing',
      numbers: { first: 1, last: 12, digits: 2 },
      shows: 'one-by-one',
      goOn: 'Next number.',
      leave: back,
    }),
    screenOf('past', {
      tense: 'earlier',
      marks: [mains, battery],
      clearsByViewing: 'Take notes first.',
      leave: back,
    }),
  )
}
