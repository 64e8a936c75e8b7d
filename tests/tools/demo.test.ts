import { execFile } from 'node:child_process'
import { promisify } from 'node:util'
import { expect, test } from 'vitest'

const run = promisify(execFile)
const demo = async (...flags: string[]) =>
  (await run(process.execPath, ['src/tools/demo.ts', ...flags], { encoding: 'utf8' })).stdout

const section = (text: string, from: string, to: string) => text.slice(text.indexOf(from), text.indexOf(to))
const ranking = (text: string) => section(text, 'The ranking now:', '4. What to do')

test('the demo tells one call from the first words to the part and exits by itself', async () => {
  const text = await demo()
  for (const part of [
    'read me every item',
    'back door sensor',
    '4. What to do',
    'How to confirm',
    'Take 7 Ah',
    'FITS',
    'NEAR MISS',
    'CONFIRM FIRST',
  ])
    expect(text).toContain(part)
})

test('another meter reading changes the ranking that is printed', async () => {
  const [flat, full] = await Promise.all([demo(), demo('--reading', '12.9')])
  const shareOf = (text: string) => Number(/(\d+) %[^\n]*Standby battery worn out/.exec(ranking(text))?.[1] ?? 0)
  expect(shareOf(flat)).toBeGreaterThan(shareOf(full))
})

test('the demo refuses a reading that is no number', async () => {
  await expect(demo('--reading', 'low')).rejects.toMatchObject({ code: 1 })
})
