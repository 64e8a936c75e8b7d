import { createCipheriv } from 'node:crypto'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { decodeDc09Content } from '../../src/domain/signals/dc09-content.ts'
import { eventsOfFrame } from '../../src/domain/signals/dc09-events.ts'
import { decodeDc09Frame } from '../../src/domain/signals/dc09-frame.ts'
import { decryptSignal, importSignalKey } from '../../src/services/decrypt-signal.ts'
import { bytesOf, VECTORS } from '../support/signals.ts'

const keyBytes = (text: string) => new Uint8Array(Buffer.from(text, 'latin1'))
const encrypted = VECTORS.dc09.filter(({ expected }) => expected.isEncrypted)

async function opened(text: string, key: string) {
  const frame = decodeDc09Frame(bytesOf(text), true)
  if (!frame.ok) throw new Error(frame.problem.message)
  return { frame: frame.value, plain: await decryptSignal(await importSignalKey(keyBytes(key)), frame.value.sealed) }
}

describe('a worked encrypted frame', () => {
  test.each(encrypted)('$id is deciphered to its plain text', async ({ given, expected }) => {
    const { plain } = await opened(given.frame, given.keyAscii)
    expect(Buffer.from(plain).toString('latin1')).toBe(expected.plaintext)
  })

  test.each(encrypted)('$id has its content read', async ({ given, expected }) => {
    const { frame, plain } = await opened(given.frame, given.keyAscii)
    const content = decodeDc09Content(frame, plain, false)
    expect(content).toMatchObject({ ok: true, value: { timestamp: expected.timestamp } })
    if (!content.ok || expected.eventCode === undefined) return
    const kind = expected.qualifier === '3' ? 'restore' : 'event'
    expect(eventsOfFrame(frame, content.value, () => undefined, false)).toMatchObject({
      value: [{ code: expected.eventCode, kind, account: expected.account }],
    })
  })

  test('whose pad has no bar is refused by a strict reading', async () => {
    const { given } = encrypted.find(({ id }) => id === 'dc09-05')!
    const { frame, plain } = await opened(given.frame, given.keyAscii)
    expect(decodeDc09Content(frame, plain, true)).toMatchObject({ ok: false, problem: { code: 'PAD' } })
  })

  test.each(encrypted)('$id is told not to fit another key', async ({ given }) => {
    const { frame, plain } = await opened(given.frame, 'another key 0123')
    expect(decodeDc09Content(frame, plain, false)).toMatchObject({ ok: false, problem: { code: 'DECRYPTION' } })
  })
})

test.each([16, 24, 32])('a key of %i bytes undoes what another implementation did', async (length) => {
  await fc.assert(
    fc.asyncProperty(
      fc.uint8Array({ minLength: length, maxLength: length }),
      fc
        .integer({ min: 1, max: 12 })
        .chain((blocks) => fc.uint8Array({ minLength: 16 * blocks, maxLength: 16 * blocks })),
      async (key, plain) => {
        const cipher = createCipheriv(`aes-${8 * length}-cbc`, key, Buffer.alloc(16)).setAutoPadding(false)
        const sealed = new Uint8Array(Buffer.concat([cipher.update(plain), cipher.final()]))
        expect(await decryptSignal(await importSignalKey(new Uint8Array(key)), sealed)).toEqual(new Uint8Array(plain))
      },
    ),
  )
})

test('nothing of a key can be read out again', async () => {
  const key = await importSignalKey(keyBytes('0123456789ABCDEF'))
  await expect(crypto.subtle.exportKey('raw', key)).rejects.toThrow()
})
