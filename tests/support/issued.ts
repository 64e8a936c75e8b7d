import type { Database } from '../../src/store/database.ts'

export interface Issued {
  sql: string
  args: unknown
}

/** Keeps every statement that reaches the client from now on, read or written. */
export function record({ client }: Database): Issued[] {
  const issued: Issued[] = []
  const { execute, batch } = client
  const note = (statement: unknown) =>
    issued.push(typeof statement === 'string' ? { sql: statement, args: [] } : (statement as Issued))
  client.execute = ((...args: Parameters<typeof execute>) => {
    note(args[0])
    return execute.apply(client, args)
  }) as typeof execute
  client.batch = ((...args: Parameters<typeof batch>) => {
    for (const statement of args[0]) note(statement)
    return batch.apply(client, args)
  }) as typeof batch
  return issued
}
