import { type Advice, advise } from '../domain/advice/advise.ts'
import { OFFERED } from '../domain/advice/search-state.ts'
import { shownProbability, wordFor } from '../domain/advice/wording-scale.ts'
import type { Finding, Limits } from '../domain/findings/finding.ts'
import type { Cause, Condition } from '../ontology/shape.ts'
import { basisOf } from './basis.ts'
import { causeRef } from './cause-ref.ts'
import type { ChosenRates } from './learning/chosen-rates.ts'
import { wordProtection } from './protected-standing.ts'
import type { StatedReserve } from './reserve-hours.ts'
import type { Wording } from './texts.ts'
import { wordCautions } from './word-cautions.ts'
import { wordChecks, wordDangerQuestions, wordRefused } from './word-checks.ts'
import { evidenceSentence, wordWouldChange } from './word-evidence.ts'
import { wordClosing, wordPlan } from './word-plan.ts'
import { wordPrologue } from './word-prologue.ts'
import { wordProtected } from './word-protected.ts'
import { wordSilence } from './word-silence.ts'
import { wordStop } from './word-stop.ts'

export interface DiagnoseInput {
  wording: Wording
  findings: Finding[]
  limits: Limits
  /** Learned base rates; the release's own where there are none. */
  learned?: ChosenRates
  /** Main battery and its load, where they are known. */
  reserve?: StatedReserve
}

function wordCauses(advice: Advice, wording: Wording, findings: readonly Finding[]) {
  const release = advice.known.instance.release
  return advice.causes.map(({ cause, device, probability, priorDecibans, evidence }) => {
    const concept = wording.concept<Cause>(release.causes[cause]!.id)
    return {
      cause: concept.id,
      ...(device === undefined ? {} : { device }),
      label: wording.label(concept.id),
      probability,
      shown: shownProbability(probability),
      word: wordFor(probability),
      definition: wording.say(concept.definition),
      priorDecibans,
      evidence: evidence.map((step) => ({
        from: step.findings.length > 0 ? ('finding' as const) : ('silence-of-the-display' as const),
        ...step,
        sentence: evidenceSentence(wording, findings, step),
      })),
      ...(concept.escalation === undefined ? {} : { escalation: wording.say(concept.escalation) }),
    }
  })
}

/** How the item of each condition that stands clears. */
function wordClearing(advice: Advice, wording: Wording) {
  const { release } = advice.known.instance
  return advice.known.present.map(({ condition, device }) => {
    const concept = wording.concept<Condition>(release.conditions[condition]!.id)
    return {
      condition: concept.id,
      label: wording.label(concept.id),
      ...(device === undefined ? {} : { device }),
      text: wording.say(concept.clears),
    }
  })
}

/** What was reported and no longer stands, with what reported it and the answers that say so. */
function wordCleared({ known }: Advice, wording: Wording) {
  const { conditions } = known.instance.release
  return known.cleared.map(({ condition, device, findings, by }) => {
    const { id } = conditions[condition]!
    return { condition: id, ...(device === undefined ? {} : { device }), label: wording.label(id), findings, by }
  })
}

/** Diagnoses findings and puts the answer into words. */
export function diagnose({ wording, findings, limits, learned, reserve }: DiagnoseInput) {
  const { compiled } = wording.release
  const advice = advise({ release: compiled, findings, limits, ...(learned ? { rates: learned.rates } : {}) })
  const checks = advice.searched.checks.slice(0, OFFERED)
  const isDanger = advice.stop === 'danger'
  return {
    basis: basisOf(wording.release, learned?.stated),
    ...wording.stated(),
    prologue: wordPrologue(advice, wording, limits),
    stop: wordStop(advice, wording),
    causes: wordCauses(advice, wording, findings),
    hypotheses: {
      sets: advice.hypotheses.sets.map(({ causes, probability }) => ({
        causes: causes.map((index) => causeRef(advice, wording, index)),
        probability,
      })),
      covered: advice.hypotheses.covered,
    },
    unexplained: advice.unexplained.map(({ condition, ...rest }) => ({
      condition: compiled.conditions[condition]!.id,
      label: wording.label(compiled.conditions[condition]!.id),
      ...rest,
    })),
    surprise: { conflictBits: advice.conflictBits, refutedLeaders: advice.refutedLeaders },
    wouldChange: wordWouldChange(wording, findings, advice),
    contradictions: advice.known.contradictions,
    unused: advice.known.unused,
    cleared: wordCleared(advice, wording),
    nextChecks: wordChecks(advice, wording, checks),
    together: advice.together.map(({ check, device }) => ({
      check: compiled.checks[check]!.id,
      ...(device === undefined ? {} : { device }),
    })),
    dangerQuestions: wordDangerQuestions(advice, wording),
    refused: wordRefused(advice, wording),
    searched: {
      evaluated: advice.searched.evaluated,
      of: advice.searched.of,
      stateUpdates: advice.searched.stateUpdates,
    },
    plan: wordPlan(advice, wording),
    planCost: {
      duration: { value: isDanger ? 0 : advice.cost.minutes, unit: 'min' },
      visitProbability: isDanger ? 0 : advice.cost.visitProbability,
    },
    closing: wordClosing(advice, wording),
    cautions: wordCautions(advice, wording, checks),
    protection: wordProtection(advice, wording),
    clearing: wordClearing(advice, wording),
    protected: wordProtected(advice, wording, limits, reserve),
    silence: wordSilence(advice, wording),
  }
}
export type DiagnosisAnswer = ReturnType<typeof diagnose>
