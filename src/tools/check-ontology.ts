import { readSource } from '../ontology/read-source.ts'
import { ontologyFaults } from '../ontology/rules/index.ts'

const ontology = readSource('ontology/source')
const faults = ontologyFaults(ontology)
for (const fault of faults) console.error(`${fault.rule}: ${fault.id}: ${fault.message}. ${fault.remedy}`)
if (faults.length > 0) process.exitCode = 1
else console.log(`ontology: ${ontology.condition.length} conditions, ${ontology.cause.length} causes, all rules hold`)
