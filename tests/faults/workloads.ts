import { catalogues, keys } from './workloads/by-command.ts'
import { calls } from './workloads/calls.ts'
import { imports } from './workloads/imports.ts'
import { overlays } from './workloads/overlays.ts'
import { keyring, settings } from './workloads/shop.ts'
import type { Workload } from './workloads/workload.ts'

/** All kinds of writing that the runs put under load; things begin with the key of their workload. */
export const WORKLOADS: Record<string, Workload> = { overlays, calls, imports, keyring, settings, keys, catalogues }
