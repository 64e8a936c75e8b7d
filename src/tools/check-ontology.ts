import { checkSource } from './source-faults.ts'

const { ontology, packs, faults } = checkSource()
if (faults > 0) process.exitCode = 1
else
  console.log(
    `ontology: ${ontology.condition.length} conditions, ${ontology.cause.length} causes, ${packs.length} languages beside English, all rules hold`,
  )
