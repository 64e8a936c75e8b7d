import { html } from 'hono/html'
import type { Text } from '../../ontology/shape.ts'
import type { Wording } from '../../services/texts.ts'

type Html = ReturnType<typeof html>
export type Row = [heading: string, content: Html | string]

const ID = /^(?:family|condition|cause|check|reading|context|remedy|part-class|hazard)\/[a-z0-9~-]+$/

/** A concept's name as a link to its page. */
export function linkTo(wording: Wording, id: string): Html {
  const href = `/v1/ontology/${wording.release.version}/concepts/${id}`
  return wording.release.concepts.has(id) ? html`<a href="${href}">${wording.label(id)}</a>` : html`<code>${id}</code>`
}

const isText = (value: unknown): value is Text => typeof value === 'object' && value !== null && 'en-US' in value

/** Any value of a concept as a reader sees it: texts in one language, ids as links, numbers with their basis. */
export function shown(wording: Wording, value: unknown): Html | string {
  if (isText(value)) return wording.say(value)
  if (typeof value === 'string') return ID.test(value) ? linkTo(wording, value) : value
  if (typeof value !== 'object' || value === null) return String(value)
  if (Array.isArray(value)) return html`<ul>${value.map((item) => html`<li>${shown(wording, item)}</li>`)}</ul>`
  const parts = Object.entries(value).filter(([, item]) => item !== undefined)
  return html`${parts.map(([name, item], index) => html`${index > 0 ? '; ' : ''}${spaced(name)}: ${shown(wording, item)}`)}`
}

/** "baseRate" -> "base rate". */
export const spaced = (name: string) => name.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`)

export const table = (rows: readonly Row[]): Html =>
  html`<table>${rows.map(([heading, content]) => html`<tr><th scope="row">${heading}</th><td>${content}</td></tr>`)}</table>`
