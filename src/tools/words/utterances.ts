import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { z } from 'zod'

/** What a caller said, what it speaks of, and what it denies; ids of conditions, checks, circumstances and readings. */
const UtteranceSchema = z.strictObject({
  text: z.string().min(1),
  expect: z.array(z.string()),
  negated: z.array(z.string()).optional(),
})
export type Utterance = z.infer<typeof UtteranceSchema>

/** Over the parsed utterances: none is changed to suit the engine. */
export const UTTERANCES_SHA256 = '0b2a50573431529952ef138d626b37bc3e7cb0ff4f98b86be7e54baae6185db9'

const sha256 = (text: string) => createHash('sha256').update(text).digest()

export function readUtterances(file: string): { utterances: Utterance[]; sha256: string } {
  const utterances = z.array(UtteranceSchema).parse(JSON.parse(readFileSync(file, 'utf8')))
  return { utterances, sha256: sha256(JSON.stringify(utterances)).toString('hex') }
}

/** Half of the utterances never serves for tuning: which one is in it follows from its text alone. */
export const isSetAside = ({ text }: Utterance): boolean => sha256(text)[0]! % 2 === 1
