import { DomainError } from '../domain/errors.ts'

/** Runs a computation on one field; a refusal then points at that field. */
export function atPointer<T>(pointer: string, compute: () => T): T {
  try {
    return compute()
  } catch (error) {
    if (error instanceof DomainError)
      throw new DomainError(error.code, error.message, { ...error.detail, path: pointer + (error.detail.path ?? '') })
    throw error
  }
}
