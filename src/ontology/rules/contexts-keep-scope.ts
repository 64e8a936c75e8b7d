import { linkedIds } from '../links.ts'
import type { Ontology } from '../shape.ts'
import type { Fault, Rule } from './rule.ts'

const RULE = 'contexts-keep-scope'
const isOfDevice = ({ scope }: { scope?: string | undefined }) => scope === 'device'
type Complaint = [id: string, message: string, remedy: string]

/** A circumstance of one device says nothing of a cause that the system has as a whole. */
function causesOfSystem({ cause, context }: Ontology, own: ReadonlySet<string>): Complaint[] {
  const ofSystem = new Set(cause.filter((one) => !isOfDevice(one)).map(({ id }) => id))
  const remedy = 'Give the cause the scope device, or leave it out'
  const shifted = context
    .filter(({ id }) => own.has(id))
    .flatMap(({ id, shifts }) =>
      shifts
        .filter((shift) => ofSystem.has(shift.cause))
        .map((shift): Complaint => [id, `is one of a device and shifts ${shift.cause}, a cause of the system`, remedy]),
    )
  const excluded = cause
    .filter(({ id }) => ofSystem.has(id))
    .flatMap(({ id, excludedBy }) =>
      excludedBy
        .filter((one) => own.has(one))
        .map((one): Complaint => [id, `is a cause of the system and excluded by ${one} of a device`, remedy]),
    )
  return [...shifted, ...excluded]
}

/** What is no device's cannot tell which device a circumstance is about. */
function setWithoutDevice({ condition, context, check }: Ontology, own: ReadonlySet<string>): Complaint[] {
  const remedy = 'Give it the scope device, or the circumstance the scope of the system'
  const lists = [
    ...[...condition, ...context].filter((one) => !isOfDevice(one)).map((one) => ({ id: one.id, parts: [one] })),
    ...check.filter((one) => !isOfDevice(one)).map(({ id, results }) => ({ id, parts: results })),
  ]
  const followed = lists.flatMap(({ id, parts }) =>
    parts
      .flatMap(({ implies = [], rulesOut = [] }) => [...implies, ...rulesOut])
      .filter((one) => own.has(one))
      .map((one): Complaint => [id, `is of the system and tells of ${one} of a device`, remedy]),
  )
  const set = check.flatMap(({ id, scope, model }) =>
    model.kind !== 'applicability' || scope === 'device'
      ? []
      : model.sets
          .filter((one) => own.has(one.context))
          .map((one): Complaint => [id, `is put for the system and sets ${one.context} of a device`, remedy]),
  )
  return [...followed, ...set]
}

/** What stops or opens a step, or words the protection, is known of the whole system. */
function usedForSystem({ hazard, gates, protection }: Ontology, own: ReadonlySet<string>): Complaint[] {
  const owners = [...hazard, ...gates, ...(protection ? [{ id: 'protection', ...protection }] : [])]
  return owners.flatMap((owner) =>
    linkedIds(owner)
      .filter((one) => own.has(one))
      .map((one): Complaint => [owner.id, `hangs on ${one} of a device`, 'Name a circumstance of the system']),
  )
}

function mixedDimensions({ context }: Ontology): Complaint[] {
  const groups = Map.groupBy(
    context.filter(({ dimension }) => dimension !== undefined),
    ({ dimension }) => dimension,
  )
  return [...groups.values()].flatMap((members) => {
    const odd = members.find((one) => isOfDevice(one) !== isOfDevice(members[0]!))
    if (odd === undefined) return []
    const message = `has another scope than ${members[0]!.id} of its dimension`
    return [[odd.id, message, 'Give all of a dimension one scope'] satisfies Complaint]
  })
}

/** A circumstance of a device is set where a device is named and acts on the causes of a device alone. */
export const contextsKeepScope: Rule = (ontology) => {
  const own = new Set(ontology.context.filter(isOfDevice).map(({ id }) => id))
  return [
    ...causesOfSystem(ontology, own),
    ...setWithoutDevice(ontology, own),
    ...usedForSystem(ontology, own),
    ...mixedDimensions(ontology),
  ].map(([id, message, remedy]): Fault => ({ rule: RULE, id, message, remedy }))
}
