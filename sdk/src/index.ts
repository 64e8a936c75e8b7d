export {
  type Answer,
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
export type { components, operations, paths } from './types.ts'
