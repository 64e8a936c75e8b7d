import { type Established, marksOfNow } from './facts.ts'
import type { Judged, JudgedScreen } from './mark-states.ts'

/** Two things seen that cannot both be so. */
export interface Doubt {
  kind: 'on-and-off' | 'all-clear-and-more' | 'lit-but-nothing-behind' | 'shown-though-not-opened' | 'screens-disagree'
  screen: string
  mark: string
  condition?: string
}

function onOneScreen({ screen: { screen }, marks, on, off, isAllClear }: JudgedScreen): Doubt[] {
  const onAndOff = marks
    .filter(({ spoken }) => on.has(spoken) && off.has(spoken))
    .map(({ mark }): Doubt => ({ kind: 'on-and-off', screen, mark }))
  const beside = marks.filter((mark) => !mark.isAllClear && isAllClear && on.has(mark.spoken))
  return [...onAndOff, ...beside.map(({ mark }): Doubt => ({ kind: 'all-clear-and-more', screen, mark }))]
}

/** Screens that something leads to beside marks that are off. */
function openable(judged: Judged): Set<string> {
  const names = [...judged.values()].flatMap(({ screen, judged: marks }) => [
    ...(screen.ways ?? []).map((way) => way.screen),
    ...marks.flatMap(({ mark, state }) => (mark.opens && state !== 'off' ? [mark.opens.screen] : [])),
  ])
  return new Set(names)
}

/** A lit mark whose screen was read to its end and showed nothing, or one not lit whose screen shows something. */
function betweenScreens(judged: Judged): Doubt[] {
  const hasWay = openable(judged)
  return [...judged.values()].flatMap(({ screen: { screen }, judged: marks }) =>
    marks.flatMap(({ mark, state }): Doubt[] => {
      const opened = mark.opens && judged.get(mark.opens.screen)
      if (!opened) return []
      const { isShowing, isRead, screen: target } = opened
      if (state === 'on' && isRead && !isShowing) return [{ kind: 'lit-but-nothing-behind', screen, mark: mark.mark }]
      if (state !== 'off' || !isShowing || hasWay.has(target.screen)) return []
      return [{ kind: 'shown-though-not-opened', screen, mark: mark.mark }]
    }),
  )
}

/** A complete screen denies what another one shows. */
function betweenConditions(judged: Judged, established: readonly Established[]): Doubt[] {
  const present = new Map(established.filter(({ tense }) => tense === 'now').map((fact) => [fact.condition, fact]))
  return [...marksOfNow(judged)].flatMap(([condition, marks]) => {
    const fact = present.get(condition)
    if (!fact) return []
    return marks
      .filter(({ mark, state }) => state === 'off' && (mark.device === undefined || fact.devices.includes(mark.device)))
      .map(
        ({ mark, screen }): Doubt => ({
          kind: 'screens-disagree',
          screen: screen.screen.screen,
          mark: mark.mark,
          condition,
        }),
      )
  })
}

/** What was seen that does not fit together, to be looked at again. What is on counts meanwhile. */
export function doubtsOf(judged: Judged, established: readonly Established[]): Doubt[] {
  const alone = [...judged.values()].flatMap(onOneScreen)
  return [...alone, ...betweenScreens(judged), ...betweenConditions(judged, established)]
}
