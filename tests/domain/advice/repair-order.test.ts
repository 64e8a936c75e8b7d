import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { expectedRepairCost, type RepairAction, repairOrder } from '../../../src/domain/advice/repair-order.ts'

const rows: any[] = JSON.parse(readFileSync('tests/reference/diagnosis/repair-order.json', 'utf8')).rows
const rowOf = (id: string) => rows.find((row) => row.id === id)
const near = (found: number, printed: number, tolerance: number) =>
  expect(Math.abs(found - printed)).toBeLessThanOrEqual(tolerance)

function permutations(items: readonly number[]): number[][] {
  if (items.length < 2) return [[...items]]
  return items.flatMap((item) => permutations(items.filter((other) => other !== item)).map((rest) => [item, ...rest]))
}

/** One action for each fault. */
function ownActions(list: readonly { p: number; cost: number }[]): { faults: number[]; actions: RepairAction[] } {
  const faults = list.map(({ p }) => p)
  return {
    faults,
    actions: list.map(({ cost }, own) => ({ cost, fixes: faults.map((_, fault) => Number(fault === own)) })),
  }
}

test('the textbook exercise is ordered reboot, tool, reinstall, buy at 27.875', () => {
  const { given, expected, tolerance } = rowOf('diag-rep-01')
  const faultNames = Object.keys(given.faults)
  const names = Object.keys(given.actions)
  const faults = Object.values(given.faults) as number[]
  const actions = names.map((name) => ({
    cost: given.actions[name].cost,
    fixes: faultNames.map((fault) => given.actions[name].fixes[fault] ?? 0),
  }))
  const order = repairOrder(faults, actions)
  expect(order.map((index) => names[index])).toEqual(expected.sequence)
  near(expectedRepairCost(faults, actions, order), expected.expectedCost, tolerance)
  const second = expected.second.map((name: string) => names.indexOf(name))
  near(expectedRepairCost(faults, actions, second), expected.secondCost, tolerance)
})

test('one action a fault: efficiency gives the least of all 24 orders', () => {
  const { given, expected, tolerance } = rowOf('diag-rep-02')
  const { faults, actions } = ownActions(given.actions)
  const order = repairOrder(faults, actions)
  expect(order).toEqual(expected.order)
  near(expectedRepairCost(faults, actions, order), expected.expectedCost, tolerance)
  near(expectedRepairCost(faults, actions, [0, 1, 2, 3]), expected.probabilityOrderCost, tolerance)
  const costs = permutations([0, 1, 2, 3]).map((sequence) => expectedRepairCost(faults, actions, sequence))
  near(Math.min(...costs), expected.expectedCost, tolerance)
  near(Math.max(...costs), expected.worstCost, tolerance)
})

test('actions that share a fault: the order is good, not the best', () => {
  const { given, expected, tolerance } = rowOf('diag-rep-03')
  const actions = given.actions.map(({ cost, fixes }: { cost: number; fixes: number[] }) => ({
    cost,
    fixes: given.faults.map((_: number, fault: number) => Number(fixes.includes(fault))),
  }))
  const order = repairOrder(given.faults, actions)
  expect(order).toEqual(expected.greedySequence)
  near(expectedRepairCost(given.faults, actions, order), expected.greedyCost, tolerance)
  near(expectedRepairCost(given.faults, actions, expected.optimalSequence), expected.optimalCost, tolerance)
})

test('a question that singles out a fault is worth what it saves', () => {
  const { given, expected, tolerance } = rowOf('diag-rep-04')
  const { faults, actions } = ownActions(given.actions)
  near(expectedRepairCost(faults, actions, repairOrder(faults, actions)), expected.withoutQuestion, tolerance)
  const costIf = (conditional: number[]) => expectedRepairCost(conditional, actions, repairOrder(conditional, actions))
  const others = faults.map((probability, fault) => (fault === 0 ? 0 : probability / (1 - faults[0]!)))
  const isFirst = faults.map((_, fault) => Number(fault === 0))
  const asked = given.question.cost + faults[0]! * costIf(isFirst) + (1 - faults[0]!) * costIf(others)
  near(asked, expected.withQuestion, tolerance)
})

test('with one action a fault no order costs less', () => {
  const list = fc.array(fc.record({ p: fc.integer({ min: 1, max: 50 }), cost: fc.integer({ min: 1, max: 60 }) }), {
    minLength: 1,
    maxLength: 5,
  })
  fc.assert(
    fc.property(list, (raw) => {
      const total = raw.reduce((sum, { p }) => sum + p, 0)
      const { faults, actions } = ownActions(raw.map(({ p, cost }) => ({ p: p / total, cost })))
      const found = expectedRepairCost(faults, actions, repairOrder(faults, actions))
      const least = Math.min(
        ...permutations(faults.map((_, index) => index)).map((order) => expectedRepairCost(faults, actions, order)),
      )
      expect(found).toBeLessThanOrEqual(least * (1 + 1e-9))
    }),
  )
})

test('leaves out what could clear nothing more', () => {
  const actions = [
    { cost: 1, fixes: [1, 1] },
    { cost: 1, fixes: [1, 0] },
    { cost: 1, fixes: [0, 0] },
  ]
  expect(repairOrder([0.5, 0.5], actions)).toEqual([0])
})

test.each([
  ['probabilities that do not add up to 1', [0.5, 0.4], [{ cost: 1, fixes: [1, 0] }]],
  ['a cost of 0', [1], [{ cost: 0, fixes: [1] }]],
  ['a chance above 1', [1], [{ cost: 1, fixes: [1.2] }]],
  ['a number that is not finite', [Number.NaN], [{ cost: 1, fixes: [1] }]],
])('refuses %s', (_, faults, actions) => {
  expect(() => repairOrder(faults, actions)).toThrow(expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }))
})
