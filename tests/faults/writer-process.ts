import type { ChildProcess } from 'node:child_process'
import { createInterface } from 'node:readline'
import { spawnOwned } from './children.ts'
import type { Order } from './writer.ts'

// What comes back depends on the order.
type Done = any

/** A second process that writes into the same file, as the commands beside a running service do. */
export class WriterProcess {
  readonly #url: string
  #child: ChildProcess | undefined
  #waiting = new Map<number, (done: Done) => void>()
  #count = 0

  constructor(url: string) {
    this.#url = url
  }

  async start(): Promise<void> {
    const child = spawnOwned(process.execPath, ['tests/faults/writer.ts', this.#url], {
      stdio: ['pipe', 'pipe', 'inherit'],
    })
    this.#child = child
    await new Promise<void>((resolve, reject) => {
      child.once('exit', (code) => {
        for (const settle of this.#waiting.values()) settle(undefined)
        this.#waiting.clear()
        reject(new Error(`the writer ended with ${code}`))
      })
      createInterface({ input: child.stdout! }).on('line', (line) => {
        const { id, ready, done } = JSON.parse(line)
        if (ready) return resolve()
        this.#waiting.get(id)?.(done)
        this.#waiting.delete(id)
      })
    })
  }

  /** What came of the order; undefined when it failed or the process ended before it answered. */
  order(order: Omit<Order, 'id'>): Promise<Done> {
    const id = this.#count++
    return new Promise((resolve) => {
      const child = this.#child
      if (!child || child.exitCode !== null || child.signalCode !== null) return resolve(undefined)
      this.#waiting.set(id, resolve)
      child.stdin!.write(`${JSON.stringify({ ...order, id })}\n`, () => undefined)
    })
  }

  async kill(): Promise<void> {
    const child = this.#child
    if (!child || child.exitCode !== null || child.signalCode !== null) return
    const ended = new Promise((resolve) => child.once('exit', resolve))
    child.stdin!.on('error', () => undefined)
    child.kill('SIGKILL')
    await ended
  }
}
