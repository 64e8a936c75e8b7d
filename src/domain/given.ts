type Held<T> = Exclude<T, undefined>
/** The fields of T, those that may be undefined as optional ones. */
export type Given<T> = { [K in keyof T as undefined extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Held<T[K]>
}

/** Fields without those that hold undefined, so that types of optional fields hold exactly. */
export function given<T extends object>(fields: T): Given<T> {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as Given<T>
}
