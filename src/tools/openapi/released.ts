import { readdirSync, readFileSync } from 'node:fs'

const FOLDER = 'openapi/released'
const read = (path: string) => JSON.parse(readFileSync(path, 'utf8'))

const byVersion = (a: string, b: string) => a.localeCompare(b, 'en', { numeric: true })

/** The document that was released last, with its version. */
export function lastReleased(): { version: string; document: Record<string, unknown> } {
  const files = readdirSync(FOLDER).filter((name) => /^\d+\.\d+\.\d+\.json$/.test(name))
  const file = files.sort(byVersion).at(-1)!
  return { version: file.slice(0, -'.json'.length), document: read(`${FOLDER}/${file}`) }
}

/** Breaks since then that are meant, each with its reason; emptied when a document is released. */
export const acceptedBreaks = (): { at: string; rule: string; why: string }[] => read(`${FOLDER}/accepted-breaks.json`)
