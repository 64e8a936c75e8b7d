import { copyFileSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { allConcepts } from '../ontology/concepts.ts'
import type { Manifest } from '../ontology/release.ts'
import { currentRelease } from '../ontology/release.ts'

/**
 * A data-only npm package of the current release in build/ontology-package: the published files as they are, with types for
 * every id. Pack it with `npm pack ./build/ontology-package`.
 */

const OUT = 'build/ontology-package'
const FILES = [
  'ontology.json',
  'ontology.schema.json',
  'ontology.jsonld',
  'context.jsonld',
  'ontology.ttl',
  'manifest.json',
]

const pascal = (kind: string) => kind.replace(/(?:^|-)(\w)/g, (_, letter: string) => letter.toUpperCase())

/** One union of ids for each kind, open for those of overlays and of later releases. */
function types(): string {
  const byKind = Map.groupBy(allConcepts(currentRelease().ontology), ({ kind }) => kind)
  const unions = [...byKind].map(([kind, concepts]) => {
    const ids = concepts.map(({ concept }) => `  | '${concept.id}'`).join('\n')
    return `/** An id of this release; any other is accepted, as overlays and later releases have more. */\nexport type ${pascal(kind)}Id =\n${ids}\n  | (string & {})\n`
  })
  const lists = [...byKind.keys()].map((kind) => `  readonly '${kind}': readonly { readonly id: ${pascal(kind)}Id }[]`)
  return `${unions.join('\n')}\ndeclare const ontology: {\n  readonly release: string\n  readonly licence: string\n${lists.join('\n')}\n}\nexport default ontology\n`
}

function packageJson({ release, licence }: Manifest): string {
  const data = Object.fromEntries(FILES.map((name) => [`./${name}`, `./${name}`]))
  const value = {
    name: '@trouble-atlas/ontology',
    version: release,
    description:
      'Trouble conditions of intruder-alarm systems: conditions, causes, checks, remedies and crosswalks, as data',
    license: licence === 'CC BY 4.0' ? 'CC-BY-4.0' : licence,
    type: 'module',
    sideEffects: false,
    exports: { '.': { types: './index.d.ts', default: './index.js' }, ...data },
    types: './index.d.ts',
  }
  return `${JSON.stringify(value, null, 2)}\n`
}

rmSync(OUT, { recursive: true, force: true })
mkdirSync(OUT, { recursive: true })
const { version, manifest } = currentRelease()
for (const name of FILES) copyFileSync(join('ontology/releases', version, name), join(OUT, name))
copyFileSync('ontology/README.md', join(OUT, 'README.md'))
writeFileSync(join(OUT, 'index.js'), `export default ${readFileSync(join(OUT, 'ontology.json'), 'utf8')}`)
writeFileSync(join(OUT, 'index.d.ts'), types())
writeFileSync(join(OUT, 'package.json'), packageJson(manifest))
console.log(`${OUT}: release ${version}, ontology.json with SHA-256 ${manifest.sha256}`)
