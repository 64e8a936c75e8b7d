import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { createKey } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { answer, condition, post, probabilityOf, screen } from '../support/calls.ts'
import { send } from '../support/hostile.ts'
import { solarOverlay } from '../support/overlay.ts'
import { ask, createNodeApp, type Send } from '../support/service.ts'

const validate = (overlay: unknown) => ask(send, 'POST', '/v1/overlays/validate', overlay)
const DARK = [condition('sunfield~panel-dark')]

describe('POST /v1/overlays/validate', () => {
  test('finds a sound overlay valid and names its hash', async () => {
    const { status, body } = await validate(solarOverlay())
    expect([status, body.isValid, body.faults, body.overlay]).toEqual([200, true, [], 'sunfield'])
    expect(body.sha256).toMatch(/^[0-9a-f]{64}$/)
  })

  test('names every broken rule with its place', async () => {
    const { body } = await validate({
      ...solarOverlay(),
      remedies: [],
      labels: [{ id: 'cause/nowhere', altLabels: ['x'] }],
    })
    expect(body.isValid).toBe(false)
    expect(body.faults[0]).toMatchObject({ pointer: '/labels/0/id', code: 'OVERLAY_STAYS_APART' })
  })

  test('refuses what has not the shape of an overlay, field by field', async () => {
    const { status, body } = await validate({ overlay: 'Sun Field', causes: [{}] })
    expect(status).toBe(422)
    expect(body.errors.map(({ pointer }: { pointer: string }) => pointer)).toContain('/overlay')
  })
})

describe('POST /v1/diagnose with an overlay', () => {
  test('ranks its causes for its conditions and names it in the basis', async () => {
    const { status, body } = await post(DARK, { overlay: solarOverlay() })
    expect(status).toBe(200)
    expect(probabilityOf(body, 'sunfield~panel-covered')).toBeGreaterThan(0.5)
    expect(body.basis.overlays).toEqual([expect.stringMatching(/^sunfield@3 sha256:[0-9a-f]{64}$/)])
  })

  test('lets an answer of its checks clear its condition, and names both', async () => {
    const overlay = solarOverlay()
    Object.assign(overlay.checks![0]!.results[1]!, { clears: ['condition/sunfield~panel-dark'] })
    const clear = answer('sunfield~see-panel', 'clear')
    const { status, body } = await post([...DARK, clear, screen(true)], { overlay })
    expect(status).toBe(200)
    expect(body.cleared).toEqual([
      { condition: 'condition/sunfield~panel-dark', label: 'Solar panel gives no current', findings: [0], by: [1] },
    ])
    expect([body.protection, body.nextChecks, body.stop.kind]).toEqual([[], [], 'no-useful-check'])
    const other = await post([...DARK, answer('sunfield~see-panel', 'covered')], { overlay })
    expect(other.body.cleared).toEqual([])
  })

  test('lets its causes explain a released condition too', async () => {
    const alone = await post([condition('battery-low')])
    const both = await post([condition('battery-low')], { overlay: solarOverlay() })
    expect(probabilityOf(alone.body, 'sunfield~panel-covered')).toBe(0)
    expect(probabilityOf(both.body, 'sunfield~panel-covered')).toBeGreaterThan(0.005)
  })

  test('answers the same when it is sent again', async () => {
    const [first, second] = [
      await post(DARK, { overlay: solarOverlay() }),
      await post(DARK, { overlay: solarOverlay() }),
    ]
    expect(second.body).toEqual(first.body)
  })

  test('is refused whole when the overlay breaks a rule', async () => {
    const { status, body } = await post(DARK, { overlay: { ...solarOverlay(), remedies: [] } })
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, 'OVERLAY_INVALID', '/overlay/causes/0'])
  })

  test('does not leak into the next call', async () => {
    await post(DARK, { overlay: solarOverlay() })
    const { status, body } = await post(DARK)
    expect([status, body.code]).toEqual([422, 'UNKNOWN_ID'])
  })
})

describe('overlays that a shop keeps', () => {
  let database: Database
  let north: Send
  let south: Send

  beforeAll(async () => {
    database = await openDatabase(':memory:')
    const app = createNodeApp(database)
    const as = async (shop: string): Promise<Send> => {
      const key = await createKey(database, shop, ['overlays'], 0)
      return async (path, init) =>
        app.request(path, { ...init, headers: { ...(init?.headers as object), Authorization: `Bearer ${key}` } })
    }
    north = await as('north')
    south = await as('south')
  })
  afterAll(() => database.client.close())

  test('are kept under their name, listed, read back whole and used by that name', async () => {
    const put = await ask(north, 'PUT', '/v1/overlays/sunfield', solarOverlay())
    expect([put.status, put.body.overlay]).toEqual([200, 'sunfield'])
    const list = await ask(north, 'GET', '/v1/overlays')
    expect(list.body.items).toEqual([put.body])
    const { body: read } = await ask(north, 'GET', '/v1/overlays/sunfield')
    expect(read.causes[0].id).toBe('cause/sunfield~panel-covered')
    const inline = await ask(north, 'POST', '/v1/diagnose', { findings: DARK, overlay: solarOverlay() })
    const byName = await ask(north, 'POST', '/v1/diagnose', { findings: DARK, overlay: 'sunfield' })
    expect(byName.body).toEqual(inline.body)
  })

  test('of another shop can be neither read, listed, used nor removed', async () => {
    expect((await ask(south, 'GET', '/v1/overlays/sunfield')).status).toBe(404)
    expect((await ask(south, 'GET', '/v1/overlays')).body.items).toEqual([])
    const used = await ask(south, 'POST', '/v1/diagnose', { findings: DARK, overlay: 'sunfield' })
    expect([used.status, used.body.errors[0].pointer]).toEqual([422, '/overlay'])
    expect((await ask(south, 'DELETE', '/v1/overlays/sunfield')).status).toBe(404)
    expect((await ask(north, 'GET', '/v1/overlays/sunfield')).status).toBe(200)
  })

  test('that break a rule or bear another name are not kept', async () => {
    const broken = await ask(north, 'PUT', '/v1/overlays/sunfield', { ...solarOverlay(), remedies: [] })
    expect([broken.status, broken.body.errors[0].pointer]).toEqual([422, '/causes/0'])
    const misnamed = await ask(north, 'PUT', '/v1/overlays/moonfield', solarOverlay())
    expect([misnamed.status, misnamed.body.errors[0].pointer]).toEqual([422, '/overlay'])
    expect((await ask(north, 'GET', '/v1/overlays')).body.items).toHaveLength(1)
  })

  test('need a key of their scope', async () => {
    const anyone: Send = async (path, init) => createNodeApp(database).request(path, init)
    expect((await ask(anyone, 'GET', '/v1/overlays')).status).toBe(401)
    expect((await ask(anyone, 'POST', '/v1/diagnose', { findings: DARK, overlay: 'sunfield' })).status).toBe(401)
  })

  test('are gone once removed', async () => {
    expect((await ask(north, 'DELETE', '/v1/overlays/sunfield')).status).toBe(204)
    expect((await ask(north, 'GET', '/v1/overlays/sunfield')).status).toBe(404)
  })
})
