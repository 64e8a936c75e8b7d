import { html, raw } from 'hono/html'

type Html = ReturnType<typeof html>

const STYLE = `
:root{color-scheme:light dark;--ink:#1c2430;--paper:#fff;--soft:#eef1f5;--line:#c6ccd6;--link:#0b4f8a}
@media(prefers-color-scheme:dark){:root{--ink:#e6eaf0;--paper:#12161c;--soft:#1d232c;--line:#3b4554;--link:#8cc2f5}}
body{font:1rem/1.55 system-ui,sans-serif;color:var(--ink);background:var(--paper);margin:0 auto;max-width:60rem;padding:1rem}
a{color:var(--link)}nav{font-size:.9rem}h1{line-height:1.2;margin:.6rem 0 0}h2{margin-top:1.8rem}.lay{font-size:1.15rem;margin:.2rem 0 1rem}
table{border-collapse:collapse;width:100%}th,td{text-align:left;vertical-align:top;padding:.35rem .6rem;border-bottom:1px solid var(--line)}
th{width:12rem;font-weight:600}code{background:var(--soft);padding:.05rem .3rem;border-radius:.2rem}
.note{background:var(--soft);border-left:.3rem solid var(--line);padding:.5rem .8rem}
svg{max-width:100%;height:auto}svg text{fill:var(--ink);font:13px system-ui,sans-serif}svg rect{fill:var(--soft);stroke:var(--line)}svg path{stroke:var(--line);fill:none}
footer{margin-top:2rem;font-size:.85rem}`

/** A whole page: no script, one inline style, readable in any browser. */
export function page(language: string, title: string, navigation: Html, body: Html, footer: Html) {
  return html`<!doctype html>
<html lang="${language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title} - Trouble Atlas</title>
<style>${raw(STYLE)}</style>
</head>
<body>
<nav aria-label="Where this is">${navigation}</nav>
<main>${body}</main>
<footer>${footer}</footer>
</body>
</html>`
}
