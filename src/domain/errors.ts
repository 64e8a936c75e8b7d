/** Closed list of what a core can refuse. */
export type DomainErrorCode =
  | 'CALL_FULL'
  | 'CALL_STATE'
  | 'CHEMISTRY_UNSUITABLE'
  | 'EVIDENCE_IMPOSSIBLE'
  | 'EVIDENCE_TOO_ENTANGLED'
  | 'NO_EVIDENCE'
  | 'NO_LOAD'
  | 'QUANTITY_OUT_OF_RANGE'
  | 'TEMPERATURE_BEYOND_TABLE'
  | 'UNKNOWN_ID'
  | 'UNKNOWN_UNIT'
  | 'UNIT_MISMATCH'
  | 'UNLIKE_IN_PARALLEL'

export interface DomainErrorDetail {
  /** JSON pointer into the caller's input. */
  path?: string
  limit?: number | string
  value?: number | string
  /** Indexes of the network's effects and causes that the refusal is about; for whoever knows their names. */
  effects?: readonly number[]
  causes?: readonly number[]
}

/** A broken contract: the input is outside what the core can answer. Expected outcomes are values, never errors. */
export class DomainError extends Error {
  readonly code: DomainErrorCode
  readonly detail: DomainErrorDetail
  /** Other mistakes found in the same input. */
  readonly also: readonly DomainError[]

  constructor(
    code: DomainErrorCode,
    message: string,
    detail: DomainErrorDetail = {},
    also: readonly DomainError[] = [],
  ) {
    super(message)
    this.name = 'DomainError'
    this.code = code
    this.detail = detail
    this.also = also
  }
}
