import type { LanguagePack } from '../ontology/language.ts'
import { readLanguages, readSource } from '../ontology/read-source.ts'
import { ontologyFaults } from '../ontology/rules/index.ts'
import { languageFaults } from '../ontology/rules/languages-complete.ts'
import type { Ontology } from '../ontology/shape.ts'

/** The source with its languages, and how many rules are broken; each fault is printed with its remedy. */
export function checkSource(): { ontology: Ontology; packs: LanguagePack[]; faults: number } {
  const ontology = readSource('ontology/source')
  const packs = readLanguages('ontology/languages')
  const faults = [...ontologyFaults(ontology), ...packs.flatMap((pack) => languageFaults(ontology, pack))]
  for (const fault of faults) console.error(`${fault.rule}: ${fault.id}: ${fault.message}. ${fault.remedy}`)
  return { ontology, packs, faults: faults.length }
}
