import { compileOntology } from '../../src/ontology/compile.ts'
import { readSource } from '../../src/ontology/read-source.ts'
import { currentRelease, releaseFrom } from '../../src/ontology/release.ts'
import { Wording } from '../../src/services/texts.ts'

/** The ontology as its source stands, in en-US: what the next release will say. */
export function sourceWording(): Wording {
  const ontology = readSource('ontology/source')
  const release = releaseFrom(currentRelease().manifest, compileOntology(ontology, 'next'), () => ontology)
  return new Wording(release, { tag: 'en-US', english: 'en-US' })
}
