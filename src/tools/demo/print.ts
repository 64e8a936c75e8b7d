/** Prose and small tables for a person at a terminal. */

const WIDTH = 100

/** Text broken at spaces, each line with the indent. */
export function wrapped(text: string, indent = ''): string {
  const lines: string[] = []
  let line = indent
  for (const word of text.split(/\s+/)) {
    if (line.length + word.length > WIDTH && line.trim() !== '') {
      lines.push(line.trimEnd())
      line = indent
    }
    line += `${word} `
  }
  return [...lines, line.trimEnd()].join('\n')
}

export function heading(text: string): void {
  console.log(`\n${text}\n${'-'.repeat(text.length)}`)
}

export function say(text: string, indent = ''): void {
  console.log(wrapped(text, indent))
}

/** Columns as wide as their widest cell. */
export function table(rows: string[][]): void {
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((row) => row[column]!.length)))
  for (const row of rows)
    console.log(
      `  ${row
        .map((cell, column) => cell.padEnd(widths[column]!))
        .join('  ')
        .trimEnd()}`,
    )
}

export const percent = (probability: number) => `${Math.round(probability * 100)} %`
