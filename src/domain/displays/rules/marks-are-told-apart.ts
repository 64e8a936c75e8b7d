import { marksOf, type Screen } from '../profile.ts'
import { onEachScreen, type ProfileFault, type ProfileRule } from './rule.ts'

const RULE = 'marks-are-told-apart'

function twins(names: readonly string[]): number[] {
  return names.flatMap((name, at) => (names.indexOf(name) < at ? [at] : []))
}

function ambiguous(screen: Screen, path: string): ProfileFault[] {
  const marks = marksOf(screen)
  const own = screen.marks?.length ?? 0
  return twins(marks.map(({ spoken }) => spoken)).map((at) => ({
    rule: RULE,
    path: at < own ? `${path}/marks/${at}` : `${path}/numbers`,
    id: marks[at]!.mark,
    message: `sounds like another mark of screen ${screen.screen}`,
    remedy:
      'Give each mark of a screen a name that a caller can tell apart; put meanings that go together behind one mark',
  }))
}

/** No two marks of a screen, and no two screens, have the same name. */
export const marksAreToldApart: ProfileRule = (profile) => {
  const names = profile.screens.map(({ screen }) => screen)
  const sameName = twins(names).map((at) => ({
    rule: RULE,
    path: `/screens/${at}/screen`,
    id: names[at]!,
    message: 'is the name of another screen',
    remedy: 'Give each screen its own name',
  }))
  return [...sameName, ...onEachScreen(profile, ambiguous)]
}
