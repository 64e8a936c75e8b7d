import { send } from '../api.ts'
import { ABSENT, outcomeOf, type Workload } from './workload.ts'

export const overlays: Workload = {
  name: 'overlays over HTTP',
  canRemove: true,
  replaces: true,
  async write({ api }, thing, version) {
    const path = `/v1/overlays/${thing}`
    if (version === ABSENT) return outcomeOf(await send(api, 'DELETE', path))
    return outcomeOf(await send(api, 'PUT', path, { overlay: thing, version: `${version}` }))
  },
  async found({ api }, _, things) {
    const listed = await send(api, 'GET', '/v1/overlays')
    const names: string[] = listed!.body.items.map(({ overlay }: { overlay: string }) => overlay)
    const mine = names.filter((name) => things.includes(name))
    return Promise.all(
      mine.map(async (thing) => {
        const { body } = (await send(api, 'GET', `/v1/overlays/${thing}`))!
        return { thing, version: Number(body.version) }
      }),
    )
  },
}
