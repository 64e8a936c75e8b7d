import { describe, expect, test } from 'vitest'
import { condition, post, probabilityOf } from '../support/calls.ts'
import { send } from '../support/hostile.ts'
import { solarOverlay } from '../support/overlay.ts'
import { ask } from '../support/service.ts'

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
