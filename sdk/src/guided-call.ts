import type { Answer, Input, Result } from './client.ts'

type Request = Input<'diagnose'>
export type Finding = Request['findings'][number]
export type Diagnosis = Answer<'diagnose'>
export type NextCheck = Diagnosis['nextChecks'][number]
type DangerQuestion = Diagnosis['dangerQuestions'][number]

/** Whatever diagnoses: a client over the network, or one that works offline. */
export interface Diagnoses {
  diagnose(body: Request, options?: { signal?: AbortSignal }): Promise<Result<Diagnosis>>
}

/** What a call comes to: enough to go on with it elsewhere. */
export interface CallState {
  findings: Finding[]
  settings: Omit<Request, 'findings'>
}
/** A moment of a call as a user interface shows it. */
export interface CallView {
  findings: readonly Finding[]
  /** Absent until the first answer has come. */
  diagnosis?: Diagnosis
  /** Danger signs that are still to be asked about, then the check to put next; none when the call has come to its end. */
  question?: DangerQuestion | NextCheck
  isBusy: boolean
  /** Why the last diagnosis failed; the answer before it is kept. */
  error?: unknown
}

/**
 * A call as a list of findings that grows, with the diagnosis of all of them: what a user interface binds to. Free of any
 * framework; each view is a new object, so that an unchanged one can be told by identity.
 *
 * @example
 * const call = new GuidedCall(atlas)
 * await call.add({ kind: 'condition', condition: 'condition/battery-low', state: 'present' })
 * call.view.question // what to ask now
 */
export class GuidedCall {
  readonly #service: Diagnoses
  readonly #settings: CallState['settings']
  readonly #listeners = new Set<() => void>()
  #view: CallView
  #running: AbortController | undefined

  constructor(service: Diagnoses, { findings = [], settings = {} }: Partial<CallState> = {}) {
    this.#service = service
    this.#settings = settings
    this.#view = { findings, isBusy: false }
  }

  get view(): CallView {
    return this.#view
  }

  /** Tells of every new view; returns what ends that. */
  subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  /** Diagnoses what is known so far, or anew after a failure. */
  start(): Promise<CallView> {
    return this.#become(this.#view.findings)
  }

  /** Adds findings in the order in which they came to light. */
  add(...findings: Finding[]): Promise<CallView> {
    return this.#become([...this.#view.findings, ...findings])
  }

  /** The answer to the question that is to be put now; "dont-know" is accepted for every one. */
  answer(result: string): Promise<CallView> {
    const { question } = this.#view
    if (!question) throw new Error('There is no question to answer')
    const device = 'device' in question ? question.device : undefined
    const answer: Finding & { kind: 'answer' } = {
      kind: 'answer',
      check: question.check,
      result,
      ...(device === undefined ? {} : { device }),
    }
    const before = 'lift' in question ? withoutOther(this.#view.findings, answer) : this.#view.findings
    return this.#become([...before, answer])
  }

  /** Takes the last finding back. */
  undo(): Promise<CallView> {
    return this.#become(this.#view.findings.slice(0, -1))
  }

  /** Classes of the parts that the plan may need, for `matchParts`; those of the likeliest remedy first. */
  partClasses(): string[] {
    return [...new Set(this.#view.diagnosis?.plan.flatMap(({ partClasses }) => partClasses) ?? [])]
  }

  /** The call so far in lines that a person can read or file. */
  summary(): string {
    const { diagnosis } = this.#view
    if (!diagnosis) return 'Nothing has been diagnosed yet.'
    const { causes, plan, cautions, stop, closing } = diagnosis
    return [
      ...causes.slice(0, 3).map(({ label, shown, word }) => `${label}: ${Math.round(100 * shown)} % (${word})`),
      ...(stop ? [stop.reason, ...stop.acts] : []),
      ...plan
        .filter(({ permit }) => permit.verdict !== 'refused' || permit.lift !== undefined)
        .flatMap(({ label, steps }) => [label, ...steps.map((step) => `  ${step}`)]),
      ...cautions.map(({ text }) => `Caution: ${text}`),
      ...closing,
    ].join('\n')
  }

  toJSON(): CallState {
    return { findings: [...this.#view.findings], settings: this.#settings }
  }

  async #become(findings: readonly Finding[]): Promise<CallView> {
    this.#running?.abort()
    const running = new AbortController()
    this.#running = running
    const { diagnosis: before } = this.#view
    this.#show({ findings, isBusy: true, ...(before && { diagnosis: before }) })
    try {
      const body = { ...this.#settings, findings: [...findings] }
      const { value } = await this.#service.diagnose(body, { signal: running.signal })
      if (this.#running === running) this.#show(viewOf(findings, value))
    } catch (error) {
      if (this.#running === running)
        this.#show({ findings, isBusy: false, error, ...(before && { diagnosis: before }) })
    }
    return this.#view
  }

  #show(view: CallView): void {
    this.#view = view
    for (const listener of this.#listeners) listener()
  }
}

/** Danger signs that this call has not been asked about; one that nobody could answer stays listed, and is put once. */
function dangersToAsk(findings: readonly Finding[], { dangerQuestions }: Diagnosis): DangerQuestion[] {
  const put = new Set(findings.map((finding) => (finding.kind === 'answer' ? finding.check : undefined)))
  return dangerQuestions.filter(({ check }) => !put.has(check))
}

/** Findings without other answers to a question: once something was lifted they are no longer so. The same answer stays. */
function withoutOther(findings: readonly Finding[], answer: Finding & { kind: 'answer' }): Finding[] {
  return findings.filter((one) => one.kind !== 'answer' || one.check !== answer.check || one.result === answer.result)
}

function viewOf(findings: readonly Finding[], diagnosis: Diagnosis): CallView {
  const isOver = diagnosis.stop !== null
  const question = isOver ? undefined : (dangersToAsk(findings, diagnosis)[0] ?? diagnosis.nextChecks[0])
  return { findings, diagnosis, isBusy: false, ...(question && { question }) }
}
