/** The one step of reading signals that needs a cipher. The key lives for a request: it is neither kept nor logged. */

const BLOCK_BYTES = 16

/** Key of 16, 24 or 32 bytes, of which nothing can be read out again. */
export function importSignalKey(bytes: Uint8Array<ArrayBuffer>): Promise<CryptoKey> {
  return crypto.subtle.importKey('raw', bytes, 'AES-CBC', false, ['encrypt', 'decrypt'])
}

/**
 * Deciphers whole blocks by AES-CBC with an initial vector of zeros.
 *
 * The platform's decryption wants the padding of PKCS #7, which DC-09 does not use. So one block is added that deciphers
 * to such a padding alone: nothing enciphered with the last block as initial vector.
 *
 * @source dc-09 2013, 5.4.4 to 5.4.6; PKCS #7, RFC 5652 6.3
 */
export async function decryptSignal(key: CryptoKey, cipher: Uint8Array): Promise<Uint8Array> {
  const last = cipher.slice(-BLOCK_BYTES)
  const padding = await crypto.subtle.encrypt({ name: 'AES-CBC', iv: last }, key, new Uint8Array())
  const padded = new Uint8Array(cipher.length + BLOCK_BYTES)
  padded.set(cipher)
  padded.set(new Uint8Array(padding), cipher.length)
  const iv = new Uint8Array(BLOCK_BYTES)
  return new Uint8Array(await crypto.subtle.decrypt({ name: 'AES-CBC', iv }, key, padded))
}
