import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { createKey } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { smallProfile } from '../support/display-profiles.ts'
import { ask, createNodeApp, type Send } from '../support/service.ts'

const profile = smallProfile()
const path = `/v1/profiles/${profile.profile}`
const seen = (from: unknown) => ({
  profile: from,
  observed: [{ screen: 'front', on: ['wave'], off: ['eye'], readToTheEnd: true }],
})

describe('display profiles that a shop keeps', () => {
  let database: Database
  let north: Send
  let south: Send

  beforeAll(async () => {
    database = await openDatabase(':memory:')
    const app = createNodeApp(database)
    const as = async (shop: string): Promise<Send> => {
      const key = await createKey(database, shop, ['profiles'], 0)
      return async (to, init) =>
        app.request(to, { ...init, headers: { ...(init?.headers as object), Authorization: `Bearer ${key}` } })
    }
    north = await as('north')
    south = await as('south')
    await ask(north, 'PUT', path, profile)
  })
  afterAll(() => database.client.close())

  test('are listed and read back whole', async () => {
    const list = await ask(north, 'GET', '/v1/profiles')
    expect(list.body.items.map((item: { profile: string }) => item.profile)).toEqual([profile.profile])
    const { body } = await ask(north, 'GET', path)
    expect(body.screens.map(({ screen }: { screen: string }) => screen)).toEqual(
      profile.screens.map(({ screen }) => screen),
    )
  })

  test('read a display by their name as when they are sent along', async () => {
    const inline = await ask(north, 'POST', '/v1/displays/decode', seen(profile))
    const byName = await ask(north, 'POST', '/v1/displays/decode', seen(profile.profile))
    expect([byName.status, byName.body]).toEqual([200, inline.body])
  })

  test('of another shop can be neither read, listed, used nor removed', async () => {
    expect((await ask(south, 'GET', path)).status).toBe(404)
    expect((await ask(south, 'GET', '/v1/profiles')).body.items).toEqual([])
    const used = await ask(south, 'POST', '/v1/displays/decode', seen(profile.profile))
    expect([used.status, used.body.errors[0].pointer]).toEqual([422, '/profile'])
    expect((await ask(south, 'DELETE', path)).status).toBe(404)
    expect((await ask(north, 'GET', path)).status).toBe(200)
  })

  test('that break a rule or bear another name are not kept', async () => {
    const broken = { ...profile, start: 'nowhere' }
    expect((await ask(north, 'PUT', path, broken)).body.code).toBe('INPUT_INVALID')
    const misnamed = await ask(north, 'PUT', '/v1/profiles/another', profile)
    expect([misnamed.status, misnamed.body.errors[0].pointer]).toEqual([422, '/profile'])
  })

  test('are gone once removed', async () => {
    await ask(north, 'PUT', '/v1/profiles/short-lived', { ...profile, profile: 'short-lived' })
    expect((await ask(north, 'DELETE', '/v1/profiles/short-lived')).status).toBe(204)
    expect((await ask(north, 'GET', '/v1/profiles/short-lived')).status).toBe(404)
  })
})
