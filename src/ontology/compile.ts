import type {
  CompiledCheck,
  CompiledEffect,
  Follows as CompiledFollows,
  CompiledModel,
  CompiledReading,
  CompiledRelease,
  CompiledStep,
  NotWith,
} from '../domain/advice/compiled.ts'
import type { Answer, Follows } from './follows-shape.ts'
import { baseRateOf, linkOf } from './numbers.ts'
import type { Check, Ontology, Probability, Reading, Remedy } from './shape.ts'

type Index = (id: string) => number
interface Indexes {
  cause: Index
  check: Index
  condition: Index
  context: Index
  reading: Index
  hazard: Index
  remedy: Index
}

function indexOf(list: { id: string }[]): Index {
  const byId = new Map(list.map(({ id }, index) => [id, index]))
  return (id) => {
    const index = byId.get(id)
    if (index === undefined) throw new Error(`${id} does not exist`)
    return index
  }
}

class Compiler {
  readonly ontology: Ontology
  readonly index: Indexes
  readonly effects: CompiledEffect[] = []

  constructor(ontology: Ontology) {
    this.ontology = ontology
    this.index = {
      cause: indexOf(ontology.cause),
      check: indexOf(ontology.check),
      condition: indexOf(ontology.condition),
      context: indexOf(ontology.context),
      reading: indexOf(ontology.reading),
      hazard: indexOf(ontology.hazard),
      remedy: indexOf(ontology.remedy),
    }
  }

  number(number: Probability): number {
    const value = linkOf(this.ontology.levels, number)
    if (value === undefined) throw new Error(`unknown level ${number.level}`)
    return value
  }

  addEffect(effect: CompiledEffect): number {
    effect.links.sort((a, b) => a.cause - b.cause)
    return this.effects.push(effect) - 1
  }

  yesNo(id: string, isPerDevice: boolean, leak: Probability, links: { cause: string; q: Probability }[]): number {
    return this.addEffect({
      id,
      isPerDevice,
      leak: [1 - this.number(leak), this.number(leak)],
      links: links.map(({ cause, q }) => ({
        cause: this.index.cause(cause),
        levels: [1 - this.number(q), this.number(q)],
      })),
    })
  }

  graded(id: string, isPerDevice: boolean, scale: NonNullable<Reading['low']>): number {
    return this.addEffect({
      id,
      isPerDevice,
      leak: scale.leak.values,
      links: scale.links.map(({ cause, distribution }) => ({
        cause: this.index.cause(cause),
        levels: distribution.values,
      })),
    })
  }

  conditions(): CompiledRelease['conditions'] {
    return this.ontology.condition.map((condition) => {
      const links = this.ontology.cause.flatMap((cause) =>
        cause.shows.filter((link) => link.condition === condition.id).map(({ q }) => ({ cause: cause.id, q })),
      )
      return {
        id: condition.id,
        family: condition.family,
        severity: condition.severity,
        isOnDisplay: condition.onDisplay,
        effect: this.yesNo(condition.id, condition.scope === 'device', condition.leak, links),
        ...(condition.askFirst ? { askFirst: condition.askFirst.map(this.index.check) } : {}),
        ...this.followsOf(condition),
      }
    })
  }

  reading(reading: Reading): CompiledReading {
    const isPerDevice = reading.scope === 'device'
    const side = (name: 'low' | 'high') =>
      reading[name] ? { [name]: this.graded(`${reading.id}#${name}`, isPerDevice, reading[name]) } : {}
    return {
      id: reading.id,
      ...(isPerDevice ? { isPerDevice } : {}),
      unit: reading.unit,
      validLow: reading.validRange.low,
      validHigh: reading.validRange.high,
      meterPercent: reading.meter.percentOfReading,
      meterAbsolute: reading.meter.absolute,
      edges: reading.bands.flatMap((band) => (band.upTo ? [band.upTo.value] : [])),
      bands: reading.bands.map((band) => band.id),
      healthy: reading.bands.findIndex((band) => band.healthy),
      ...side('low'),
      ...side('high'),
    }
  }

  model({ id, model, scope }: Check): CompiledModel {
    const isPerDevice = scope === 'device'
    switch (model.kind) {
      case 'yes-no': {
        const effect = this.yesNo(id, isPerDevice, model.leak, model.links)
        return { kind: 'observation', effect, levels: [model.negative, model.positive] }
      }
      case 'ordered':
        return { kind: 'observation', effect: this.graded(id, isPerDevice, model), levels: model.order }
      case 'reading':
        return { kind: 'reading', reading: this.index.reading(model.reading) }
      case 'applicability':
        return {
          kind: 'applicability',
          sets: model.sets.map(({ result, context }) => ({ result, context: this.index.context(context) })),
        }
      case 'reveals':
        return { kind: 'reveals', complete: model.complete }
      case 'danger':
        return { kind: 'danger', hazard: this.index.hazard(model.hazard), sign: model.sign }
    }
  }

  step(step: Check | Remedy): CompiledStep {
    return {
      id: step.id,
      who: step.who,
      place: step.place,
      minutes: step.minutes.value,
      waitMinutes: ('wait' in step ? step.wait?.value : undefined) ?? 0,
      tools: step.tools,
      hazards: step.hazards.map(this.index.hazard),
      disturbs: step.disturbs,
      requires: step.requires.map(this.answer),
      ...(step.requiresAny ? { requiresAny: step.requiresAny.map(this.answer) } : {}),
      ...(step.notWith ? { notWith: this.notWith(step.notWith) } : {}),
    }
  }

  readonly answer = ({ check, result }: Answer) => ({ check: this.index.check(check), result })

  notWith(list: NonNullable<Check['notWith']>): NotWith {
    const ids = list.filter((item) => typeof item === 'string')
    const remedies = ids.filter((id) => id.startsWith('remedy/')).map(this.index.remedy)
    return {
      contexts: ids.filter((id) => id.startsWith('context/')).map(this.index.context),
      conditions: ids.filter((id) => id.startsWith('condition/')).map(this.index.condition),
      ...(remedies.length > 0 ? { remedies } : {}),
      answers: list.filter((item) => typeof item !== 'string').map(this.answer),
    }
  }

  /** Circumstances that follow from a condition, a circumstance or a result. */
  followsOf({ implies, rulesOut }: Follows): CompiledFollows {
    return {
      ...(implies ? { implies: implies.map(this.index.context) } : {}),
      ...(rulesOut ? { rulesOut: rulesOut.map(this.index.context) } : {}),
    }
  }

  /** What follows from each result of a remedy that was tried. */
  followsOfTrials({ follows = {} }: Remedy): Pick<CompiledRelease['remedies'][number], 'follows'> {
    const each = Object.entries(follows).map(([result, one]) => [result, this.followsOf(one ?? {})] as const)
    return each.length === 0 ? {} : { follows: Object.fromEntries(each) }
  }

  /** What follows from each result of a check. */
  followsOfResults({ results }: Check): Pick<CompiledCheck, 'follows'> {
    const follows = results.flatMap((result) =>
      result.implies || result.rulesOut ? [[result.id, this.followsOf(result)] as const] : [],
    )
    return follows.length === 0 ? {} : { follows: Object.fromEntries(follows) }
  }

  /** Conditions that each result clears. */
  clearsOf({ results }: Check): Pick<CompiledCheck, 'clears'> {
    const clears = results.flatMap((result) =>
      result.clears ? [[result.id, result.clears.map(this.index.condition)] as const] : [],
    )
    return clears.length === 0 ? {} : { clears: Object.fromEntries(clears) }
  }

  /** Conditions that are named, and those of the families that are named. */
  conditionsOf(ids: readonly string[]): number[] {
    return this.ontology.condition.flatMap(({ id, family }, index) =>
      ids.includes(id) || ids.includes(`family/${family}`) ? [index] : [],
    )
  }

  /** A deprecated check is put about nothing: answers to it still count. */
  aboutOf({ about, status }: Check): { about?: number[] } {
    if (status === 'deprecated') return { about: [] }
    return about === undefined ? {} : { about: this.conditionsOf(about) }
  }

  /** The hazard of each result that is a sign of danger. */
  dangersOf({ results }: Check): Pick<CompiledCheck, 'dangers'> {
    const signs = results.flatMap(({ id, danger }) => (danger ? [[id, this.index.hazard(danger)] as const] : []))
    return signs.length === 0 ? {} : { dangers: Object.fromEntries(signs) }
  }

  check(check: Check): CompiledCheck {
    return {
      ...this.step(check),
      isPerDevice: check.scope === 'device',
      ...(check.senses ? { senses: check.senses } : {}),
      ...this.aboutOf(check),
      results: check.results.map((result) => result.id),
      ...this.dangersOf(check),
      ...this.followsOfResults(check),
      ...this.clearsOf(check),
      model: this.model(check),
    }
  }

  remedy(remedy: Remedy): CompiledRelease['remedies'][number] {
    return {
      ...this.step(remedy),
      cost: remedy.cost,
      lowersSecurity: remedy.lowersSecurity,
      fixes: remedy.fixes.map((fix) => ({
        cause: this.index.cause(fix.cause),
        probability: this.number(fix.probability),
      })),
      ...(remedy.danger ? { danger: this.index.hazard(remedy.danger) } : {}),
      ...this.followsOfTrials(remedy),
      partClasses: remedy.partClasses,
      ...(remedy.onlyWith ? { onlyWith: remedy.onlyWith.map(this.index.condition) } : {}),
    }
  }

  causes(): CompiledRelease['causes'] {
    return this.ontology.cause.map((cause) => {
      const prior = baseRateOf(this.ontology.levels, cause.baseRate)
      if (prior === undefined) throw new Error(`${cause.id}: unknown level ${cause.baseRate.level}`)
      return {
        id: cause.id,
        family: cause.family,
        prior,
        isPerDevice: cause.scope === 'device',
        ...(cause.group === undefined ? {} : { group: cause.group }),
        excludedBy: cause.excludedBy.map(this.index.context),
        rootOf: cause.rootOf.map(this.index.cause),
        isOther: cause.other,
      }
    })
  }

  contexts(): CompiledRelease['contexts'] {
    return this.ontology.context.map((context) => ({
      id: context.id,
      ...(context.dimension === undefined ? {} : { dimension: context.dimension }),
      ...(context.scope === 'device' ? { isPerDevice: true } : {}),
      share: this.number(context.share),
      shifts: context.shifts.map(({ cause, factor }) => ({ cause: this.index.cause(cause), factor: factor.value })),
      ...this.followsOf(context),
      ...(context.lift === undefined ? {} : { isLiftable: true as const }),
    }))
  }
}

/** The dense form of a checked ontology; throws when a reference or level does not resolve. */
export function compileOntology(ontology: Ontology, version: string): CompiledRelease {
  const compiler = new Compiler(ontology)
  const { index } = compiler
  return {
    version,
    causes: compiler.causes(),
    conditions: compiler.conditions(),
    contexts: compiler.contexts(),
    readings: ontology.reading.map((reading) => compiler.reading(reading)),
    checks: ontology.check.map((check) => compiler.check(check)),
    remedies: ontology.remedy.map((remedy) => compiler.remedy(remedy)),
    hazards: ontology.hazard.map(({ id, stopIf }) => ({ id, stopIf: stopIf.map(index.context) })),
    gates: ontology.gates.map((gate) => ({
      id: gate.id,
      disturbs: gate.disturbs,
      ...(gate.place === undefined ? {} : { place: gate.place }),
      needs: gate.needs.map(index.context),
      ask: index.check(gate.ask),
      ...(gate.lift === undefined ? {} : { isLiftable: true as const }),
    })),
    effects: compiler.effects,
    ...(ontology.tools === undefined
      ? {}
      : { toolsAtHand: ontology.tools.filter(({ atHand }) => atHand).map(({ id }) => id) }),
  }
}
