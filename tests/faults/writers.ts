import { join } from 'node:path'
import { openDatabase } from '../../src/store/open.ts'
import { spawnOwned } from './children.ts'
import { countRows } from './migration.ts'

export interface WritersReport {
  sent: number
  failed: number
  stored: number
  p50Ms: number
  p99Ms: number
  worstMs: number
}

function writeMany(url: string, name: string, count: number): Promise<{ failed: number; took: number[] }> {
  return new Promise((resolve, reject) => {
    let output = ''
    const child = spawnOwned(process.execPath, ['tests/support/write-many.ts', url, name, `${count}`], {})
    child.stdout!.on('data', (chunk: Buffer) => (output += chunk.toString()))
    child.once('exit', (code) => (code === 0 ? resolve(JSON.parse(output)) : reject(new Error(`ended with ${code}`))))
  })
}

/** Several processes write into one file, each as fast as it can. */
export async function writersRun(folder: string, processes: number, each: number): Promise<WritersReport> {
  const url = `file:${join(folder, 'writers.db')}`
  const database = await openDatabase(url)
  database.client.close()
  const runs = await Promise.all(Array.from({ length: processes }, (_, index) => writeMany(url, `w${index}`, each)))
  const took = runs.flatMap((run) => run.took).sort((a, b) => a - b)
  const at = (share: number) => took[Math.min(took.length - 1, Math.floor(share * took.length))]!
  return {
    sent: took.length,
    failed: runs.reduce((sum, { failed }) => sum + failed, 0),
    stored: await countRows(url, 'shops'),
    p50Ms: at(0.5),
    p99Ms: at(0.99),
    worstMs: at(1),
  }
}
