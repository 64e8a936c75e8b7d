import { z } from 'zod'
import { PublishedSchema } from '../published-shape.ts'
import { IRI_ROOT } from './predicates.ts'

/** JSON Schema 2020-12 of the published document, defaults filled in. */
export function publishedJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(PublishedSchema, { target: 'draft-2020-12', io: 'output', unrepresentable: 'throw' })
  return { ...schema, $id: `${IRI_ROOT}schema/ontology.json`, title: 'Trouble Atlas ontology' }
}
