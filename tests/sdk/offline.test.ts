import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { BUNDLED, offlineAtlas, offlineFetch, verifyBundled } from '../../sdk/src/offline.ts'
import { opening } from '../../src/tools/cases/caller.ts'
import { readCases } from '../../src/tools/cases/case.ts'
import { send } from '../support/hostile.ts'

const cases = readCases('tuned')

test('the bundled ontology is the published one, by its hash', async () => {
  const index = JSON.parse(readFileSync('ontology/releases/index.json', 'utf8')) as {
    release: string
    sha256: string
  }[]
  expect(index.find(({ release }) => release === BUNDLED.release)!.sha256).toBe(BUNDLED.sha256)
  await expect(verifyBundled()).resolves.toBeUndefined()
})

test('offline gives byte for byte what the service gives, over every written call', async () => {
  const offline = offlineFetch()
  for (const one of cases) {
    const init = {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ findings: opening(one), limits: { who: one.who, tools: one.tools } }),
    }
    const [here, there] = await Promise.all([offline('http://x/v1/diagnose', init), send('/v1/diagnose', init)])
    expect(here.status, one.id).toBe(200)
    expect(await here.text(), one.id).toBe(await there.text())
  }
})

test('computations work without a service', async () => {
  const { value } = await offlineAtlas().estimateBatteryRuntime({
    ratedCapacity: { value: 7, unit: 'Ah' },
    standbyCurrent: { value: 450, unit: 'mA' },
  })
  expect(value.standby.low.value).toBeGreaterThan(10)
})

test('what needs a shop is refused as by a service without a database', async () => {
  await expect(offlineAtlas().listOverlays()).rejects.toMatchObject({ status: 503, code: 'UNAVAILABLE' })
})
