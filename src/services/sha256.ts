/** SHA-256 of a text. */
async function sha256(text: string): Promise<Uint8Array> {
  return new Uint8Array(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text)))
}

export const hex = (bytes: Uint8Array) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('')

/** SHA-256 of a text in 64 hexadecimal digits. */
export const sha256Hex = async (text: string) => hex(await sha256(text))

/** SHA-256 of a text in base64, or the first `bytes` of it. */
export const sha256Base64 = async (text: string, bytes?: number) =>
  btoa(String.fromCharCode(...(await sha256(text)).subarray(0, bytes)))
