import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { compileOntology } from '../../src/ontology/compile.ts'
import { currentRelease, publishedReleases } from '../../src/ontology/release.ts'
import { KINDS, type Ontology } from '../../src/ontology/shape.ts'

const RELEASES = 'ontology/releases'
const versions = readdirSync(RELEASES, { withFileTypes: true }).flatMap((entry) =>
  entry.isDirectory() ? [entry.name] : [],
)
const read = (version: string, name: string) => readFileSync(`${RELEASES}/${version}/${name}`)
const index = JSON.parse(readFileSync(`${RELEASES}/index.json`, 'utf8')) as { release: string; sha256: string }[]

test('the index lists every released folder', () => {
  expect(index.map(({ release }) => release).sort()).toEqual([...versions].sort())
})

test.each(versions)('release %s is byte for byte what its manifest and the index state', (version) => {
  const manifest = JSON.parse(read(version, 'manifest.json').toString())
  for (const { name, bytes, sha256 } of manifest.files) {
    const file = read(version, name)
    expect([file.length, createHash('sha256').update(file).digest('hex')]).toEqual([bytes, sha256])
  }
  expect(manifest.sha256).toBe(index.find(({ release }) => release === version)!.sha256)
})

test.each(versions)('the compiled form of release %s is what its ontology compiles to', (version) => {
  const ontology = JSON.parse(read(version, 'ontology.json').toString()) as Ontology
  expect(JSON.parse(read(version, 'compiled.json').toString())).toEqual(
    JSON.parse(JSON.stringify(compileOntology(ontology, version))),
  )
})

test('the service answers from the newest release', () => {
  expect(currentRelease().version).toBe(publishedReleases().at(-1)!.release)
})

test('the released families are as broad as promised', () => {
  const ontology = JSON.parse(read(currentRelease().version, 'ontology.json').toString()) as Ontology
  const counts = Object.fromEntries(KINDS.map((kind) => [kind, ontology[kind].length]))
  console.info(`ontology ${currentRelease().version}: ${KINDS.map((kind) => `${counts[kind]} ${kind}`).join(', ')}`)
  const families = new Set(['power', 'storage-battery', 'sounder-and-output'])
  expect(ontology.condition.filter(({ family }) => families.has(family)).length).toBeGreaterThanOrEqual(12)
  expect(ontology.cause.filter(({ family }) => families.has(family)).length).toBeGreaterThanOrEqual(40)
  expect(ontology.check.length).toBeGreaterThanOrEqual(35)
  expect(ontology.remedy.length).toBeGreaterThanOrEqual(25)
})
