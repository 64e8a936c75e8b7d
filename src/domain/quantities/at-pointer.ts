import { DomainError } from '../errors.ts'

const moved = (error: DomainError, pointer: string): DomainError =>
  new DomainError(
    error.code,
    error.message,
    { ...error.detail, path: pointer + (error.detail.path ?? '') },
    error.also.map((other) => moved(other, pointer)),
  )

/** Runs a computation on one field; a refusal then points at that field. */
export function atPointer<T>(pointer: string, compute: () => T): T {
  try {
    return compute()
  } catch (error) {
    throw error instanceof DomainError ? moved(error, pointer) : error
  }
}
