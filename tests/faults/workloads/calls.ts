import { type Api, send } from '../api.ts'
import { outcomeOf, type Workload } from './workload.ts'

/** A call has room for so many findings; the next ones go into another. */
const FINDINGS_A_CALL = 100
const siteOf = (thing: string, version: number) => `${thing}.${Math.floor(version / FINDINGS_A_CALL)}`
const thingOf = (site: string) => site.slice(0, site.lastIndexOf('.'))

/** Ids of calls as they were told, by their site. */
const opened = new Map<string, string>()
/** The last append to each thing, told or not. */
const last = new Map<string, number>()

/** Opens the call of a site; asked again after a cut, under the same key, it must be the same call. */
async function callOf(api: Api, site: string): Promise<string | undefined> {
  const known = opened.get(site)
  if (known !== undefined) return known
  const key = { 'Idempotency-Key': `open-${site}` }
  const answer = await send(api, 'POST', '/v1/calls', { siteRef: site }, key)
  if (answer?.status === 201) opened.set(site, answer.body.call)
  return opened.get(site)
}

async function append(api: Api, thing: string, version: number) {
  const call = await callOf(api, siteOf(thing, version))
  if (call === undefined) return undefined
  const finding = { kind: 'condition', condition: 'condition/mains-missing', state: 'present', device: `v${version}` }
  const headers = { 'If-Match': '*', 'Idempotency-Key': `append-${thing}-${version}` }
  return send(api, 'POST', `/v1/calls/${call}/findings`, { by: 'caller', findings: [finding] }, headers)
}

const isRising = (list: readonly number[]) => list.every((value, index) => index === 0 || value > list[index - 1]!)
const isWithoutGap = (list: readonly number[]) => list.every((value, index) => value === index + 1)

/** Versions in the log of a call, in its order; NaN where order or numbers are broken, or call and log disagree. */
async function versionsIn(api: Api, call: string): Promise<number[]> {
  const log = (await send(api, 'GET', `/v1/calls/${call}/events?limit=200`))!.body.items
  const inLog = log.flatMap(({ findings = [] }: { findings?: { device: string }[] }) =>
    findings.map(({ device }) => Number(device.slice(1))),
  )
  const state = (await send(api, 'GET', `/v1/calls/${call}`))!.body
  const inState = state.findings.map(({ finding }: { finding: { device: string } }) => Number(finding.device.slice(1)))
  const isSound =
    isRising([...new Set<number>(inLog)]) &&
    isWithoutGap(log.map(({ seq }: { seq: number }) => seq)) &&
    `${inLog}` === `${inState}` &&
    state.seq === log.length
  return isSound ? inLog : [...inLog, Number.NaN]
}

async function foundOf(api: Api, thing: string) {
  const again = last.get(thing)
  const answer = again === undefined ? undefined : await append(api, thing, again)
  const listed = (await send(api, 'GET', '/v1/calls?limit=200'))!.body.items as { call: string; siteRef: string }[]
  const calls = listed.filter(({ siteRef }) => thingOf(siteRef) === thing)
  const versions = (await Promise.all(calls.map(({ call }) => versionsIn(api, call)))).flat()
  // Sent again, it was told to be there: then it must be.
  if (answer?.status === 200 && !versions.includes(again!)) versions.push(Number.NaN)
  const isOneEach = new Set(calls.map(({ siteRef }) => siteRef)).size === calls.length
  return (isOneEach ? versions : [...versions, Number.NaN]).map((version) => ({ thing, version }))
}

/** Findings appended to calls over HTTP under idempotency keys; the last one is sent again after each restart. */
export const calls: Workload = {
  name: 'findings of calls over HTTP',
  canRemove: false,
  replaces: false,
  async write(ways, thing, version) {
    const api = await ways.shop(thing)
    if (api === undefined) return 'unanswered'
    const outcome = outcomeOf(await append(api, thing, version))
    if (outcome !== 'refused') last.set(thing, version)
    return outcome
  },
  async found(ways, _, things) {
    const all = await Promise.all(
      things.map(async (thing) => {
        const api = await ways.shop(thing)
        return api === undefined ? [] : foundOf(api, thing)
      }),
    )
    return all.flat()
  },
}
