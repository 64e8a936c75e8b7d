import type { Advice } from '../domain/advice/advise.ts'
import type { Wording } from './texts.ts'

/** A cause of the network as an answer names it. */
export function causeRef(advice: Advice, wording: Wording, index: number) {
  const { keys, release } = advice.known.instance
  const { cause, device } = keys[index]!
  const { id } = release.causes[cause]!
  return { cause: id, ...(device === undefined ? {} : { device }), label: wording.label(id) }
}
