export {
  type Answer,
  type Attempt,
  type CallAt,
  type CallOptions,
  type ClientOptions,
  type Input,
  type Query,
  type Result,
  TroubleAtlas,
} from './client.ts'
export {
  ConnectionError,
  InvalidInputError,
  KeyError,
  NotFoundError,
  type Problem,
  ServiceError,
  TroubleAtlasError,
} from './errors.ts'
export { GROUPS } from './groups.ts'
export {
  type CallState,
  type CallView,
  type Diagnoses,
  type Finding,
  GuidedCall,
  type NextCheck,
} from './guided-call.ts'
export { type Changed, ifChanged } from './if-changed.ts'
export { collect, items } from './pages.ts'
export type { components, operations, paths } from './types.ts'
