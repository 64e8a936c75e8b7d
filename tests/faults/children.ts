import { type ChildProcess, type SpawnOptions, spawn } from 'node:child_process'

const alive = new Set<ChildProcess>()
process.on('exit', () => {
  for (const child of alive) child.kill('SIGKILL')
})

/** Starts a process that does not outlive this one. */
export function spawnOwned(file: string, flags: readonly string[], options: SpawnOptions): ChildProcess {
  const child = spawn(file, flags, options)
  alive.add(child)
  child.once('exit', () => alive.delete(child))
  return child
}
