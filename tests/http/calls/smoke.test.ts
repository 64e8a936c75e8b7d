import { test } from 'vitest'
import { ask } from '../../support/service.ts'
import { closedCall, twoShops } from '../../support/shop-calls.ts'
test('x', async () => {
  const { north } = await twoShops()
  const call = await closedCall(north, { siteRef: 'site-1' })
  console.log(JSON.stringify(call).slice(0, 3000))
  const raw = await north(`/v1/calls/${call.call}/summary`, { headers: { Accept: 'text/plain' } })
  console.log(await raw.text())
  const n = await ask(north, 'GET', `/v1/calls/${call.call}/notices?longerThanMinutes=0&asOf=2027-01-01T00:00:00Z`)
  console.log(JSON.stringify(n.body))
  console.log(JSON.stringify((await ask(north, 'GET', `/v1/calls/${call.call}/replay`)).body))
  console.log((await (await north('/v1/calls/export', {})).text()).slice(0, 600))
  console.log(JSON.stringify((await ask(north, 'GET', '/v1/calls?cause=cause/socket-switched-off')).body))
  console.log(JSON.stringify((await ask(north, 'GET', `/v1/calls/${call.call}/events`)).body).slice(0,500))
})
