import { html, raw } from 'hono/html'
import type { CallSummary } from '../../services/calls/summary.ts'
import { sha256Base64 } from '../../services/sha256.ts'

const STYLE = `
body{font:1rem/1.5 system-ui,sans-serif;color:#111;background:#fff;margin:0 auto;max-width:48rem;padding:1rem}
h1{font-size:1.5rem;margin:0 0 .5rem}h2{font-size:1.1rem;margin:1.2rem 0 .3rem;break-after:avoid}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.1rem 1rem;margin:0}dt{font-weight:600}dd{margin:0;overflow-wrap:anywhere}
ul{margin:0;padding-left:1.2rem}li{break-inside:avoid;overflow-wrap:anywhere}
.warning{border:2px solid #111;padding:.2rem .8rem .6rem;margin-top:1rem;break-inside:avoid}
footer{margin-top:1.5rem;border-top:1px solid #777;padding-top:.5rem;font-size:.85rem}
@media print{@page{margin:18mm}body{max-width:none;padding:0;font-size:10.5pt}}
`

/** Signs that turn the direction of a line, hide in it or break it; none of them has a place in a note. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is taken out
const UNSEEN = /[\u0000-\u001f\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]+/g
const oneLine = (text: string) => text.replaceAll(UNSEEN, ' ').trim()

/** Nothing may load or run, and only the style of this very page counts. */
export async function summaryPolicy(): Promise<string> {
  return `default-src 'none'; style-src 'sha256-${await sha256Base64(STYLE)}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox`
}

const section = ({ heading, lines, isWarning }: CallSummary['sections'][number]) =>
  html`<section${isWarning === true ? raw(' class="warning"') : ''}>
<h2>${oneLine(heading)}</h2>
<ul>${lines.map((line) => html`<li>${oneLine(line)}</li>`)}</ul>
</section>
`

/** The sheet for people: no script, prints on plain paper. */
export function summaryPage({ title, language, facts, sections, foot }: CallSummary) {
  return html`<!doctype html>
<html lang="${language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>${raw(STYLE)}</style>
</head>
<body>
<main>
<h1>${title}</h1>
<dl>${facts.map(([name, value]) => html`<dt>${name}</dt><dd>${oneLine(value)}</dd>`)}</dl>
${sections.map(section)}</main>
<footer>${foot}</footer>
</body>
</html>
`
}

/** The same as plain text, for a message. */
export function summaryText({ title, facts, sections, foot }: CallSummary): string {
  const lines = [
    title.toUpperCase(),
    ...facts.map(([name, value]) => `${name}: ${oneLine(value)}`),
    ...sections.flatMap(({ heading, lines }) => [
      '',
      oneLine(heading).toUpperCase(),
      ...lines.map((line) => `- ${oneLine(line)}`),
    ]),
    '',
    foot,
  ]
  return `${lines.join('\n')}\n`
}
