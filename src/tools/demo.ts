import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { type Answer, type Input, TroubleAtlas } from '../../sdk/src/index.ts'
import { listen } from '../node.ts'
import { currentRelease } from '../ontology/release.ts'
import { importCatalogue } from '../services/import-catalogue.ts'
import { createKey } from '../services/keys.ts'
import { type Database, openDatabase } from '../store/open.ts'
import {
  answerById,
  answerTo,
  type Diagnosis,
  FIRST_WORDS,
  LOADS,
  type NextCheck,
  REST_OF_DISPLAY,
  restReading,
} from './demo/call.ts'
import { keepCall } from './demo/keep-call.ts'
import { heading, percent, say, table } from './demo/print.ts'

/** Serves the API from an empty database, loads an invented shop, and plays one call against it over HTTP. */

const SHOP = 'lantern-street-parts'
const LIMITS = { who: 'handy', tools: ['multimeter', 'tape', 'flashlight'] } satisfies Input<'diagnose'>['limits']
const MAX_QUESTIONS = 7

type Findings = Input<'diagnose'>['findings']

async function loadShop(database: Database): Promise<string> {
  const key = await createKey(database, SHOP, ['catalogue', 'calls'], Date.now())
  const text = readFileSync(join(import.meta.dirname, 'demo/catalogue.csv'), 'utf8')
  const report = await importCatalogue(database, currentRelease(), SHOP, text, false)
  if (!report.isApplied) throw new Error(`the demo catalogue has faults: ${JSON.stringify(report.faults)}`)
  say(`The invented shop "${SHOP}" is loaded with ${report.changed} items.`)
  return key
}

function showCauses(title: string, { causes }: Diagnosis): void {
  say(title)
  table([
    ['how likely', 'in a word', 'cause', 'device'],
    ...causes.slice(0, 6).map(({ shown, word, label, device }) => [percent(shown), word, label, device ?? '']),
  ])
}

function showQuestion(check: NextCheck, result: string): void {
  const label = check.results.find((candidate) => candidate.result === result)?.label ?? 'I do not know.'
  say(`Shop:   ${check.ask}${check.device ? ` (${check.device})` : ''}`, '  ')
  say(`Caller: ${label}`, '  ')
  const rate = check.bitsPerMinute > 0 ? `, ${check.bitsPerMinute.toFixed(2)} bits a minute` : ''
  say(`[${check.check}${rate}. ${check.why}]`, '          ')
}

/** Asks what the service puts first until it stops or the questions run out. */
async function askOn(api: TroubleAtlas, findings: Findings): Promise<Diagnosis> {
  let { value } = await api.diagnose({ findings, limits: LIMITS })
  for (let asked = 0; asked < MAX_QUESTIONS && value.stop === null; asked++) {
    const check = value.nextChecks[0]
    if (!check) break
    const answer = answerTo(check)
    showQuestion(check, answer.kind === 'answer' ? answer.result : '')
    findings.push(answer)
    ;({ value } = await api.diagnose({ findings, limits: LIMITS }))
  }
  return value
}

/** Every danger sign is asked first; in this house none is there. */
function askDangers({ dangerQuestions }: Diagnosis): Findings {
  say('Before anything else the shop asks for danger, one sign at a time. This caller has none of them:')
  return dangerQuestions.map(({ check, ask, sign, results }) => {
    say(`- ${ask}`, '  ')
    return { kind: 'answer', check, result: results.find(({ result }) => result !== sign)!.result }
  })
}

/** What the newest finding did to the causes it moved most. */
function showMove({ causes }: Diagnosis, finding: number): void {
  const moves = causes
    .flatMap(({ label, evidence }) => evidence.map((step) => ({ label, ...step })))
    .filter(({ findings }) => findings.includes(finding))
    .sort((a, b) => Math.abs(b.decibans) - Math.abs(a.decibans))
  for (const { label, decibans } of moves.slice(0, 4)) {
    const factor = (10 ** (Math.abs(decibans) / 10)).toFixed(1)
    say(
      `The reading speaks ${decibans > 0 ? 'for' : 'against'} "${label}": odds ${decibans > 0 ? 'times' : 'divided by'} ${factor}.`,
      '  ',
    )
  }
}

/** What the demo reads of a check concept. */
interface AskedCheck {
  ask: { 'en-US': string }
  results: { id: string; label: { 'en-US': string } }[]
}

/** Puts the questions that the first remedy still waits for. */
async function clearTheWay(api: TroubleAtlas, findings: Findings, diagnosis: Diagnosis): Promise<Diagnosis> {
  let value = diagnosis
  for (let check = value.plan[0]?.permit.check; check !== undefined; check = value.plan[0]?.permit.check) {
    const concept = (await api.getConcept('latest', check)).value as unknown as AskedCheck
    const answer = answerById(check)
    const given = concept.results.find(({ id }) => answer.kind === 'answer' && id === answer.result)
    say(`Shop:   ${concept.ask['en-US']}`, '  ')
    say(`Caller: ${given?.label['en-US'] ?? 'I do not know.'}`, '  ')
    findings.push(answer)
    ;({ value } = await api.diagnose({ findings, limits: LIMITS }))
  }
  return value
}

function showPlan({ plan, cautions, clearing, protection, stop }: Diagnosis): void {
  if (stop) say(`The service stops asking: ${stop.kind}. ${stop.reason}`)
  plan.forEach((remedy, index) => {
    console.log('')
    say(`${index + 1}. ${remedy.label} (${remedy.who}, about ${remedy.duration.value} ${remedy.duration.unit})`)
    for (const root of remedy.openRoots)
      say(`First cure: ${root.label}. Until then a new part fails as the old one did.`, '   ')
    if (remedy.permit.reason) say(remedy.permit.reason, '   ')
    for (const step of remedy.steps) say(`- ${step}`, '   ')
    say(`What to expect: ${remedy.expect}`, '   ')
    say(`How to confirm: ${remedy.confirm}`, '   ')
    // Before the last of several troubles has its step, not everything can be clear.
    if (remedy.clearsProbability >= 0.005)
      say(`Chance that everything shown is clear after this step: ${percent(remedy.clearsProbability)}.`, '   ')
  })
  heading('Read out before any of this')
  const inPlan = new Set(plan.flatMap(({ remedy }) => remedy))
  for (const { text, because } of cautions) if (because.some((id) => inPlan.has(id))) say(`! ${text}`, '  ')
  heading('How each item clears, and what is not protected until then')
  for (const { label, device, text } of clearing) say(`${label}${device ? ` (${device})` : ''}: ${text}`, '  ')
  for (const { text } of protection) say(`Until then: ${text}`, '  ')
}

function showSize(size: Answer<'sizeBattery'>): number {
  for (const { formula, substituted, result } of size.steps) {
    say(formula, '  ')
    say(`= ${substituted} = ${result.value.toFixed(2)} ${result.unit}`, '    ')
  }
  for (const { name, value, source } of size.factors) say(`factor ${name} ${value}: ${source}`, '  ')
  if (!size.recommended) throw new Error(size.noneBecause ?? 'no size')
  const { recommended, decisionChangesAt } = size
  say(
    `Take ${recommended.capacity.value} Ah at ${recommended.blockVoltage.value} V. It holds up to ${(decisionChangesAt!.standbyCurrent.value * 1000).toFixed(0)} mA in standby, or ${decisionChangesAt!.standbyDuration.value.toFixed(1)} h at this load.`,
    '  ',
  )
  return size.requiredCapacity.value
}

function showMatch(match: Answer<'matchParts'>): void {
  for (const item of match.fits) {
    say(
      `FITS          ${item.sku}  ${item.title}, ${((item.price?.value ?? 0) / 100).toFixed(2)} ${item.price?.unit ?? ''}`,
      '  ',
    )
    const pairs = item.matched.filter(({ attribute }) => attribute !== 'partClass')
    say(
      pairs.map(({ attribute, found, required }) => `${attribute} ${found} (${required})`).join('; '),
      '                ',
    )
  }
  for (const item of match.confirmFirst)
    say(`CONFIRM FIRST ${item.sku}  ${item.title}: ${item.confirm?.join(' ')}`, '  ')
  for (const item of match.nearMisses) {
    const { attribute, found, required, danger } = item.relaxation!
    say(
      `NEAR MISS     ${item.sku}  ${item.title}: ${attribute} is ${found}, needed ${required}. ${danger}${item.fix ? ` Way out: ${item.fix}` : ''}`,
      '  ',
    )
  }
  if (match.isNoMatch) say('Nothing fits. Ask for another size or order it.', '  ')
}

function batteryNeeds(requiredAh: number): Input<'matchParts'> {
  const hard = { kind: 'hard', isSafety: false } as const
  return {
    partClass: 'part-class/vrla-battery-12v',
    quantity: 1,
    adaptersAllowed: true,
    limit: 10,
    constraints: [
      { ...hard, attribute: 'nominalVoltageV', op: 'eq', value: 12, origin: 'label of the old battery' },
      {
        ...hard,
        attribute: 'capacityAh',
        op: 'range',
        value: Number(requiredAh.toFixed(2)),
        to: 9,
        origin: 'the sizing, and what the charger can take',
      },
      { ...hard, attribute: 'lengthMm', op: 'max', value: 155, origin: 'measured in the box' },
      { ...hard, attribute: 'widthMm', op: 'max', value: 70, origin: 'measured in the box' },
      { ...hard, attribute: 'heightMm', op: 'max', value: 110, origin: 'measured in the box' },
      { ...hard, attribute: 'terminal', op: 'eq', value: 'F1', origin: 'tabs of the old battery' },
    ],
  }
}

async function play(api: TroubleAtlas, volts: number): Promise<void> {
  heading('1. The caller: "It beeps. It says AC and battery. There may be more, I did not look on."')
  const findings: Findings = [...FIRST_WORDS]
  const first = (await api.diagnose({ findings, limits: LIMITS })).value
  findings.push(...askDangers(first))
  console.log('')
  showCauses('From these two items alone:', first)
  const open = first.nextChecks[0]!
  showQuestion(open, 'more-left')
  findings.push(...REST_OF_DISPLAY)
  say('Caller: The sensor at the back door has a low battery too, and the clock is not set. That is all.', '  ')

  heading('2. What the service asks next')
  const asked = await askOn(api, findings)
  console.log('')
  showCauses('After these answers:', asked)

  heading(`3. A meter reading: ${volts} V at the battery, one lead off overnight`)
  findings.push(restReading(volts))
  const measured = (await api.diagnose({ findings, limits: LIMITS })).value
  showCauses('The ranking now:', measured)
  showMove(measured, findings.length - 1)

  heading('4. What to do')
  const cleared = await clearTheWay(api, findings, measured)
  showPlan(cleared)

  heading('5. How large the standby battery must be')
  const required = showSize((await api.sizeBattery(LOADS)).value)

  heading('6. Which part of the shop fits')
  showMatch((await api.matchParts(batteryNeeds(required))).value)

  heading('7. The call is kept, and teaches')
  await keepCall(api, findings, LIMITS, cleared)
  console.log('')
  say(
    `The answers rest on ontology release ${measured.basis.release}, sha256 ${measured.basis.sha256.slice(0, 12)}, engine ${measured.basis.engine}.`,
  )
}

const { values } = parseArgs({ options: { reading: { type: 'string', default: '11.2' } } })
const volts = Number(values.reading)
if (!Number.isFinite(volts)) {
  console.error('Usage: npm run demo [-- --reading <volts at rest, for example 12.9>]')
  process.exit(1)
}
const folder = mkdtempSync(join(tmpdir(), 'trouble-atlas-'))
const database = await openDatabase(`file:${join(folder, 'demo.db')}`)
const server = await listen(database, 0, '127.0.0.1')
try {
  say(`Trouble Atlas is serving on ${server.url} for this demo, from an empty database.`)
  const apiKey = await loadShop(database)
  await play(new TroubleAtlas({ baseUrl: server.url, apiKey }), volts)
} finally {
  await server.close()
  database.client.close()
  rmSync(folder, { recursive: true, force: true })
}
