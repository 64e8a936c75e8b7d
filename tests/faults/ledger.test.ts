import { expect, test } from 'vitest'
import { Ledger } from './ledger.ts'
import { ABSENT } from './workloads/workload.ts'
import { WORKLOADS } from './workloads.ts'

const replacing = () => new Ledger(WORKLOADS.overlays!)
const beside = () => new Ledger(WORKLOADS.keys!)

test('an acknowledged version that is missing or older counts as lost', () => {
  for (const found of [[], [{ thing: 'a', version: 1 }]]) {
    const ledger = replacing()
    for (const version of [ledger.nextVersion('a'), ledger.nextVersion('a')]) ledger.note('a', version, 'acknowledged')
    ledger.check(found)
    expect(ledger.tally).toMatchObject({ acknowledged: 2, checked: 1, lost: 1 })
  }
})

test('a removed thing that is there again counts as lost', () => {
  const ledger = replacing()
  ledger.note('a', ledger.nextVersion('a'), 'acknowledged')
  ledger.note('a', ABSENT, 'acknowledged')
  ledger.check([{ thing: 'a', version: 1 }])
  expect(ledger.tally.lost).toBe(1)
})

test('an unanswered version may be there or not; a refused one may not', () => {
  for (const [outcome, lost, keptUntold] of [
    ['unanswered', 0, 1],
    ['refused', 1, 0],
  ] as const) {
    const ledger = replacing()
    ledger.note('a', ledger.nextVersion('a'), 'acknowledged')
    ledger.note('a', ledger.nextVersion('a'), outcome)
    ledger.check([{ thing: 'a', version: 2 }])
    expect(ledger.tally).toMatchObject({ lost, keptUntold })
  }
})

test('the same thing twice counts as double, a part of it as half', () => {
  const ledger = beside()
  ledger.note('a', ledger.nextVersion('a'), 'acknowledged')
  ledger.check([
    { thing: 'a', version: 1 },
    { thing: 'a', version: 1 },
    { thing: 'a', version: Number.NaN },
  ])
  expect(ledger.tally).toMatchObject({ lost: 0, duplicated: 1, half: 1 })
})
