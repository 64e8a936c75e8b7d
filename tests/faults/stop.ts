import { connect as connectSocket } from 'node:net'
import { join } from 'node:path'
import { type Answer, type Api, send } from './api.ts'
import { shopServer } from './shop-server.ts'

export interface StopReport {
  exitCode: number | null
  /** Status of requests whose first half had been sent when the service was told to stop, their second half after it. */
  inFlight: (number | undefined)[]
  /** A connection opened after that. */
  isNewRefused: boolean
  write: Answer | undefined
  tookMs: number
  output: string
}

const LINE = '5012345 18 1401 01 001\n'

/** A request that is under way: headers and half of the body are sent; the rest goes when `finish` is called. */
async function halfARequest({ url }: Api): Promise<{ finish: () => Promise<number | undefined> }> {
  const { hostname, port } = new URL(url)
  const socket = connectSocket(Number(port), hostname)
  let answer = ''
  socket.on('data', (chunk) => (answer += chunk.toString()))
  const closed = new Promise<void>((resolve) => socket.once('close', () => resolve()))
  await new Promise<void>((resolve) => socket.once('connect', resolve))
  const head = `POST /v1/signals/stream HTTP/1.1\r\nHost: ${hostname}\r\nContent-Type: text/plain\r\nContent-Length: ${2 * LINE.length}\r\n\r\n`
  socket.write(head + LINE)
  return {
    finish: async () => {
      socket.write(LINE)
      await closed
      const status = /^HTTP\/1\.1 (\d+)/.exec(answer)?.[1]
      return answer.includes('0\r\n\r\n') || /content-length/i.test(answer) ? Number(status) : undefined
    },
  }
}

const isRefused = ({ url }: Api) =>
  new Promise<boolean>((resolve) => {
    const { hostname, port } = new URL(url)
    const socket = connectSocket(Number(port), hostname)
    socket.once('connect', () => {
      socket.destroy()
      resolve(false)
    })
    socket.once('error', () => resolve(true))
  })

/** A busy machine may take a while to hear the signal. */
const HEARS_WITHIN_MS = 5000
async function isSoonRefused(api: Api): Promise<boolean> {
  const begin = performance.now()
  while (performance.now() - begin < HEARS_WITHIN_MS) {
    if (await isRefused(api)) return true
    await new Promise((resolve) => setTimeout(resolve, 50))
  }
  return false
}

/** Tells the service to stop while requests are under way. */
export async function stopRun(folder: string): Promise<StopReport> {
  const { server, api } = await shopServer(join(folder, 'stop.db'))
  try {
    await send(api, 'PUT', '/v1/overlays/warm', { overlay: 'warm', version: '1' })
    const halves = await Promise.all([1, 2, 3].map(() => halfARequest(api)))
    const write = send(api, 'PUT', '/v1/overlays/last', { overlay: 'last', version: '1' })
    await new Promise((resolve) => setTimeout(resolve, 300))
    const begin = performance.now()
    const ended = server.stop()
    const isNewRefused = await isSoonRefused(api)
    const inFlight = await Promise.all(halves.map(({ finish }) => finish()))
    const exitCode = await ended
    const tookMs = performance.now() - begin
    return { exitCode, inFlight, isNewRefused, write: await write, tookMs, output: server.output }
  } finally {
    await server.kill()
  }
}
