import { parseArgs } from 'node:util'
import { compileOntology } from '../ontology/compile.ts'
import { readSource } from '../ontology/read-source.ts'
import { currentRelease } from '../ontology/release.ts'
import { type Case, caseFaults, readCases } from './cases/case.ts'
import { disturb } from './cases/disturb.ts'
import { drawsFrom } from './cases/draws.ts'
import { numbersThatMatter } from './cases/matter.ts'
import { type Played, play, type Stage } from './cases/play.ts'
import { POLICIES, type Policy } from './cases/policies.ts'
import { flaggedAfter, reliabilityBins, type Score, scoreOf } from './cases/score.ts'
import { simulatedCalls } from './cases/simulate.ts'

/**
 * Plays the written calls of tests/cases as dialogues and prints how well the engine and three simpler ways of asking do,
 * those it was tuned to beside those held out. Options: --published (the current release, else the source), --only <part of a
 * name>, --verbose (a line for each call that it was tuned to), --engine-only, --disturbed <draws> (with every number moved by a log-odds deviation of 0.5),
 * --drawn <calls> (the engine alone, on calls drawn from a disturbed release).
 */

const SEED = 20261125

const { values } = parseArgs({
  options: {
    published: { type: 'boolean' },
    only: { type: 'string' },
    verbose: { type: 'boolean' },
    'engine-only': { type: 'boolean' },
    disturbed: { type: 'string' },
    drawn: { type: 'string' },
  },
})

const figure = (value: number) => (Number.isNaN(value) ? '-' : Number(value.toFixed(3)).toString())

function table(title: string, columns: readonly (readonly [string, Score])[]): void {
  console.log(`\n${title.padEnd(20)}${columns.map(([name]) => name.padStart(22)).join('')}`)
  for (const key of Object.keys(columns[0]![1]) as (keyof Score)[])
    console.log(`${key.padEnd(20)}${columns.map(([, score]) => figure(score[key]).padStart(22)).join('')}`)
}

function describe({ one, asked, advices, unsafe }: Played): string {
  const { causes, known, stop } = advices.at(-1)!
  const { release } = known.instance
  const front = causes
    .slice(0, 3)
    .map(({ cause, probability }) => `${release.causes[cause]!.id.slice(6)} ${probability.toFixed(2)}`)
  const truth = one.truth.map(({ cause }) => cause.slice(6)).join('+') || 'unmodelled'
  return `${one.id} [${one.kind}] ${truth} | ${front.join(', ')} | ${asked.length} checks, ${stop ?? 'open'}, unsafe ${unsafe.length}\n    ${asked.map((id) => id.slice(6)).join(' > ')}`
}

function playAll(stage: Stage, cases: readonly Case[], policy: Policy): Played[] {
  return cases.map((one, index) => play(stage, one, policy, drawsFrom(SEED + index)))
}

const DEVIATION = 0.5

/** Numbers that are named as those that matter. */
const NAMED = 20

/**
 * How much of its rate the engine keeps when every number of the ontology is wrong by chance, and which numbers, moved
 * alone, change most what is thought of the true causes.
 */
function sensitivity(stage: Stage, cases: readonly Case[], played: readonly Played[], draws: number): void {
  const base = scoreOf(played)
  console.log(
    `\nEvery number moved by a log-odds deviation of ${DEVIATION}: share of the undisturbed rate that is kept`,
  )
  for (let draw = 1; draw <= draws; draw++) {
    const release = disturb(stage.release, DEVIATION, drawsFrom(SEED + draw))
    const score = scoreOf(playAll({ ...stage, release }, cases, POLICIES.engine!))
    const kept = (key: 'top1' | 'top3' | 'recallFirstFive') => figure(score[key] / base[key])
    console.log(
      `  draw ${draw}: top1 ${kept('top1')}, top3 ${kept('top3')}, recallFirstFive ${kept('recallFirstFive')}; unsafe ${score.unsafe}`,
    )
  }
  console.log(`\nNumbers that matter: calls that hang on it, and the sum by which ${DEVIATION} moves the true causes`)
  for (const { name, calls, moved } of numbersThatMatter(played, DEVIATION).slice(0, NAMED))
    console.log(`  ${name}: ${calls}, ${figure(moved)}`)
}

/** Deviation of the world that calls are drawn from: wider than what the ranking must bear. Judgement. */
const WORLD_DEVIATION = 0.8

function drawn(stage: Stage, count: number): void {
  const world = disturb(stage.release, WORLD_DEVIATION, drawsFrom(SEED))
  const cases = simulatedCalls(world, count, drawsFrom(SEED + 1))
  table(`${cases.length} drawn calls`, [['engine', scoreOf(playAll(stage, cases, POLICIES.engine!))]])
}

function run(): void {
  const [tuned, heldOut] = [readCases('tuned'), readCases('heldOut')]
  const all = [...tuned, ...heldOut]
  const ontology = values.published ? currentRelease().ontology : readSource('ontology/source')
  const release = compileOntology(ontology, values.published ? currentRelease().version : 'next')
  const stage = { release, steps: ontology.prologue }
  if (values.drawn) {
    drawn(stage, Number(values.drawn))
    return
  }
  const faults = caseFaults(release, all)
  if (faults.length > 0) throw new Error(faults.join('\n'))
  const cases = all.filter(({ id }) => id.includes(values.only ?? ''))
  console.log(`${cases.length} calls over ontology ${release.version}; chance from seed ${SEED}`)
  const policies = Object.entries(POLICIES).slice(0, values['engine-only'] ? 1 : undefined)
  const played = policies.map(([name, policy]) => [name, playAll(stage, cases, policy)] as const)
  const engine = played[0]![1]
  const sets = [
    ['tuned', engine.filter(({ one }) => tuned.includes(one))],
    ['held out', engine.filter(({ one }) => heldOut.includes(one))],
  ] as const
  table(
    'engine',
    sets.map(([name, calls]) => [name, scoreOf(calls)] as const),
  )
  const kinds = [...new Set(engine.map(({ one }) => one.kind))]
  table(
    'engine, by kind',
    kinds.map((kind) => [kind, scoreOf(engine.filter(({ one }) => one.kind === kind))] as const),
  )
  table(
    'all calls',
    played.map(([name, calls]) => [name, scoreOf(calls)] as const),
  )
  for (const [name, calls] of sets) {
    console.log(`\nReliability of the cause in front, ${name} (from, calls, stated, true)`)
    for (const bin of reliabilityBins(calls.filter(({ one }) => one.kind !== 'danger')))
      console.log(`  ${bin.from.toFixed(1)} ${bin.calls} ${figure(bin.stated)} ${figure(bin.true)}`)
  }
  console.log(
    '\nSays that nothing it knows fits, after so many checks (unmodelled calls, and false alarms on the others)',
  )
  const unmodelled = engine.filter(({ one }) => one.kind === 'unmodelled')
  const others = engine.filter(({ one }) => one.kind !== 'unmodelled' && one.kind !== 'danger')
  for (const checks of [0, 1, 2, 3, 4, 6, 8, 12, 20])
    console.log(
      `  ${String(checks).padStart(2)} ${figure(flaggedAfter(unmodelled, checks))} ${figure(flaggedAfter(others, checks))}`,
    )
  if (values.disturbed) sensitivity(stage, cases, engine, Number(values.disturbed))
  const unsafe = engine.flatMap((call) => call.unsafe)
  if (unsafe.length > 0) console.log(`\nUnsafe offers:\n${[...new Set(unsafe)].join('\n')}`)
  if (values.verbose) for (const call of sets[0][1]) console.log(describe(call))
}

run()
