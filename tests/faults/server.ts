import type { ChildProcess } from 'node:child_process'
import { createServer } from 'node:net'
import { spawnOwned } from './children.ts'

/** How long a start may take, the repair of its file after a kill included. */
const UP_WITHIN_MS = 90_000

export function freePort(): Promise<number> {
  return new Promise((resolve) => {
    const probe = createServer().listen(0, '127.0.0.1', () => {
      const address = probe.address()
      probe.close(() => resolve(typeof address === 'object' && address ? address.port : 0))
    })
  })
}

/** The service on Node as a process of its own, which can be killed and started again over the same file. */
export class ServerProcess {
  readonly url: string
  readonly #env: Record<string, string>
  readonly #command: readonly string[]
  #child: ChildProcess | undefined
  #ended: Promise<number | null> = Promise.resolve(0)
  output = ''
  /** Milliseconds from the start to the open port, of every start. */
  readonly startsMs: number[] = []

  private constructor(port: number, env: Record<string, string>, before: readonly string[]) {
    this.url = `http://127.0.0.1:${port}`
    this.#env = { HOST: '127.0.0.1', PORT: `${port}`, ...env }
    this.#command = [...before, process.execPath, 'src/node.ts']
  }

  /** Starts the service; `before` is a command that starts it under limits. */
  static async start(databaseUrl: string, before: readonly string[] = [], token = 'none'): Promise<ServerProcess> {
    const env = { DATABASE_URL: databaseUrl, DATABASE_TOKEN: token }
    const server = new ServerProcess(await freePort(), env, before)
    await server.start()
    return server
  }

  async start(): Promise<void> {
    const begin = performance.now()
    const [file = '', ...flags] = this.#command
    const child = spawnOwned(file, flags, { env: { ...process.env, ...this.#env } })
    this.#child = child
    this.#ended = new Promise((resolve) => child.once('exit', (code) => resolve(code)))
    await new Promise<void>((resolve, reject) => {
      const fail = (why: string) => reject(new Error(`the service ${why}:\n${this.output}`))
      const timer = setTimeout(() => fail('did not come up'), UP_WITHIN_MS)
      const hear = (chunk: Buffer) => {
        this.output = (this.output + chunk.toString()).slice(-20_000)
        if (!chunk.toString().includes('is listening')) return
        clearTimeout(timer)
        resolve()
      }
      child.stdout!.on('data', hear)
      child.stderr!.on('data', hear)
      child.once('exit', () => fail('ended while starting'))
    })
    this.startsMs.push(performance.now() - begin)
  }

  /** Ends it as a loss of power would end the process: nothing is told to it. */
  async kill(): Promise<void> {
    this.#child?.kill('SIGKILL')
    await this.#ended
  }
  /** Asks it to end; resolves to its exit code. */
  async stop(): Promise<number | null> {
    this.#child?.kill('SIGTERM')
    return this.#ended
  }
  get ended(): Promise<number | null> {
    return this.#ended
  }
}
