import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import { expect, test } from 'vitest'

/** Layer of a file by the longest matching prefix, and what each layer may import. */
const MAY_IMPORT: Record<string, string[]> = {
  'src/domain': ['src/domain'],
  'src/ontology': ['src/ontology', 'src/domain'],
  'src/store': ['src/store', 'src/domain'],
  'src/services': ['src/services', 'src/domain', 'src/ontology', 'src/store'],
  'src/http': ['src/http', 'src/services', 'src/domain', 'src/ontology', 'openapi'],
  'src/app.ts': ['src/http', 'src/services', 'src/domain', 'src/ontology', 'src/store'],
  'src/edge.ts': ['src/app.ts', 'src/services', 'src/store', 'src/ontology', 'openapi'],
  'src/node.ts': ['src/app.ts', 'src/services', 'src/store', 'src/ontology'],
  'src/tools': ['src', 'sdk', 'openapi'],
  'sdk/src/offline.ts': ['sdk/src', 'src/app.ts', 'src/ontology'],
  'sdk/src': ['sdk/src'],
}
/** Packages that only the named layers may use; every other layer may not. */
const PACKAGE_LAYERS: Record<string, string[]> = {
  zod: ['src/ontology', 'src/http', 'src/tools'],
  hono: ['src/http', 'src/app.ts', 'src/edge.ts', 'src/node.ts', 'src/tools'],
  '@hono/zod-openapi': ['src/http', 'src/app.ts', 'src/tools'],
  '@hono/node-server': ['src/node.ts', 'src/tools'],
  'drizzle-orm': ['src/store'],
  '@libsql/client': ['src/store', 'src/edge.ts', 'src/node.ts', 'src/tools'],
}

function filesUnder(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.ts$/.test(entry.name) && !entry.parentPath.includes('node_modules'))
    .map((entry) => join(entry.parentPath, entry.name))
}

function layerOf(file: string): string | undefined {
  return Object.keys(MAY_IMPORT)
    .filter((layer) => file === layer || file.startsWith(`${layer}/`))
    .sort((a, b) => b.length - a.length)[0]
}

function importsOf(file: string): string[] {
  const text = readFileSync(file, 'utf8')
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map((match) => match[1]!)
}

function isAllowed(file: string, layer: string, specifier: string): boolean {
  if (specifier.startsWith('.')) {
    const target = relative('.', resolve(dirname(file), specifier))
    return MAY_IMPORT[layer]!.some((prefix) => target === prefix || target.startsWith(`${prefix}/`))
  }
  if (layer === 'src/domain' || layer.startsWith('sdk/')) return false
  const name = specifier.startsWith('@') ? specifier.split('/').slice(0, 2).join('/') : specifier.split('/')[0]!
  return PACKAGE_LAYERS[name] === undefined || PACKAGE_LAYERS[name].some((allowed) => layer === allowed)
}

const files = [...filesUnder('src'), ...filesUnder('sdk/src')]

test('every source file belongs to a layer', () => {
  expect(files.filter((file) => layerOf(file) === undefined)).toEqual([])
})

test('imports go down only, and each package stays in its layers', () => {
  const wrong = files.flatMap((file) =>
    importsOf(file)
      .filter((specifier) => !isAllowed(file, layerOf(file) ?? '', specifier))
      .map((specifier) => `${file} imports ${specifier}`),
  )
  expect(wrong).toEqual([])
})

test('the cores read no clock, chance, environment or console', () => {
  const forbidden = /\b(Date\.now|new Date|Math\.random|process\.|console\.|fetch\(|crypto\.)/
  const wrong = filesUnder('src/domain').filter((file) =>
    forbidden.test(readFileSync(file, 'utf8').replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, '')),
  )
  expect(wrong).toEqual([])
})

test('the import table recognises an upward import', () => {
  expect(isAllowed('src/domain/power/a.ts', 'src/domain', '../../http/problem.ts')).toBe(false)
  expect(isAllowed('src/http/v1/a.ts', 'src/http', '../../store/open.ts')).toBe(false)
  expect(isAllowed('src/services/a.ts', 'src/services', '../store/open.ts')).toBe(true)
})
