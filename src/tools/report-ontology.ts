import { readLanguages, readSource } from '../ontology/read-source.ts'
import { countByBasis } from '../ontology/report/basis-shares.ts'
import { familyComponents } from '../ontology/report/components.ts'
import { unconfirmable } from '../ontology/report/confirmation.ts'
import { sensitivities } from '../ontology/report/sensitivity.ts'
import { inseparablePairs } from '../ontology/rules/causes-are-told-apart.ts'
import { FAMILIES, KINDS } from '../ontology/shape.ts'

/** What is known of the ontology under ontology/source, and how well. */

const ontology = readSource('ontology/source')
const heading = (text: string) => console.log(`\n${text}\n${'-'.repeat(text.length)}`)
const percent = (part: number, whole: number) => `${((100 * part) / whole).toFixed(1)} %`

heading('Counts')
for (const kind of KINDS) console.log(`${kind.padEnd(12)} ${ontology[kind].length}`)
for (const { scheme, codes } of ontology.crosswalks)
  console.log(
    `${scheme.padEnd(12)} ${codes.length} codes, ${codes.filter((code) => code.mappings.length > 0).length} mapped`,
  )
for (const { language, review, texts } of readLanguages('ontology/languages'))
  console.log(`language ${language}  ${Object.keys(texts).length} concepts, ${review}`)

heading('Conditions and causes by family')
for (const family of FAMILIES) {
  const own = <T extends { family?: string | undefined }>(list: T[]) =>
    list.filter((item) => item.family === family).length
  console.log(
    `${family.padEnd(28)} ${own(ontology.condition)} conditions, ${own(ontology.cause)} causes, ${own(ontology.check)} checks`,
  )
}

heading('Numbers and cautions by basis')
const bases = countByBasis(ontology)
const total = [...bases.values()].reduce((sum, count) => sum + count, 0)
for (const [basis, count] of bases) console.log(`${basis.padEnd(12)} ${count} (${percent(count, total)})`)

heading('All conditions of a family at once: states to work through')
for (const { conditions, states, isByAssignment, isRefused } of familyComponents(ontology).slice(0, 5)) {
  const way = isRefused ? 'refused' : isByAssignment ? 'by assignments' : 'by states'
  console.log(`${states} (${way}): ${conditions.join(', ')}`)
}

heading('Pairs of notable causes that nothing tells apart')
const pairs = inseparablePairs(ontology)
for (const { condition, pair } of pairs) console.log(`${condition.id}: ${pair.join(' and ')}`)
if (pairs.length === 0) console.log('none')

heading('Causes that nobody can confirm on a call')
const hidden = unconfirmable(ontology)
console.log(hidden.length === 0 ? 'none' : hidden.join('\n'))

heading('The ten numbers that move answers most (log odds + 0.5, one condition at a time)')
for (const { number, weight, mostly } of sensitivities(ontology).slice(0, 10))
  console.log(`${weight.toFixed(5)}  ${number} (mostly ${mostly})`)
