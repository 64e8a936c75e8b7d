import { readdirSync, readFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { z } from 'zod'
import { CodeMapSchema, CrosswalkSchema } from './crosswalk.ts'
import { fileOf } from './file-names.ts'
import { type LanguagePack, LanguagePackSchema } from './language.ts'
import { ProtectionSchema, SilenceSchema } from './protection-shape.ts'
import {
  CONCEPT_SCHEMAS,
  GateSchema,
  KINDS,
  type Kind,
  LevelsSchema,
  type Ontology,
  PrologueStepSchema,
  SourceEntrySchema,
  ToolSchema,
} from './shape.ts'

/** File name of each kind inside a family's folder. */
const FILE_KINDS: Record<string, Kind> = Object.fromEntries(KINDS.map((kind) => [fileOf(kind), kind]))

function parse<T>(schema: z.ZodType<T>, value: unknown, where: string): T {
  const result = schema.safeParse(value)
  if (result.success) return result.data
  const issue = result.error.issues[0]
  const path = issue?.path.join('/') ?? ''
  const id = Array.isArray(value) ? (value[Number(issue?.path[0])] as { id?: string } | undefined)?.id : undefined
  throw new Error(`${where}: ${id ?? ''} at /${path}: ${issue?.message}`)
}

function readJson(path: string): unknown {
  try {
    return JSON.parse(readFileSync(path, 'utf8'))
  } catch (error) {
    throw new Error(`${path}: not valid JSON: ${(error as Error).message}`)
  }
}

const CROSSWALKS = 'crosswalks'
const jsonFiles = (folder: string) =>
  readdirSync(folder)
    .filter((name) => name.endsWith('.json'))
    .sort()
    .map((name) => join(folder, name))

function readCrosswalks(folder: string): Pick<Ontology, 'crosswalks' | 'codeMaps'> {
  const isMap = (path: string) => basename(path).includes('-to-')
  const files = jsonFiles(folder)
  return {
    crosswalks: files.filter((path) => !isMap(path)).map((path) => parse(CrosswalkSchema, readJson(path), path)),
    codeMaps: files.filter(isMap).map((path) => parse(CodeMapSchema, readJson(path), path)),
  }
}

/** Reads and shape-checks the languages beside English; throws naming file and field. */
export function readLanguages(folder: string): LanguagePack[] {
  return jsonFiles(folder).map((path) => parse(LanguagePackSchema, readJson(path), path))
}

/** Reads and shape-checks every source file below `folder`; throws naming file, concept and field. */
export function readSource(folder: string): Ontology {
  const ontology: Record<Kind, unknown[]> = {
    family: [],
    condition: [],
    cause: [],
    check: [],
    reading: [],
    context: [],
    remedy: [],
    'part-class': [],
    hazard: [],
  }
  const families = readdirSync(folder, { withFileTypes: true }).filter(
    (entry) => entry.isDirectory() && entry.name !== CROSSWALKS,
  )
  for (const family of families) {
    for (const file of readdirSync(join(folder, family.name)).sort()) {
      const kind = FILE_KINDS[basename(file)]
      const path = join(folder, family.name, file)
      if (kind === undefined) throw new Error(`${path}: no kind of concept is kept in a file of this name`)
      ontology[kind].push(...parse(z.array(CONCEPT_SCHEMAS[kind] as z.ZodType<{ id: string }>), readJson(path), path))
    }
  }
  for (const list of Object.values(ontology)) (list as { id: string }[]).sort((a, b) => (a.id < b.id ? -1 : 1))
  return {
    ...(ontology as unknown as Pick<Ontology, Kind>),
    prologue: parse(z.array(PrologueStepSchema), readJson(join(folder, 'prologue.json')), 'prologue.json'),
    protection: parse(ProtectionSchema, readJson(join(folder, 'protection.json')), 'protection.json'),
    silence: parse(SilenceSchema, readJson(join(folder, 'silence.json')), 'silence.json'),
    gates: parse(z.array(GateSchema), readJson(join(folder, 'gates.json')), 'gates.json'),
    tools: parse(z.array(ToolSchema), readJson(join(folder, 'tools.json')), 'tools.json'),
    levels: parse(LevelsSchema, readJson(join(folder, 'levels.json')), 'levels.json'),
    sources: parse(z.array(SourceEntrySchema), readJson(join(folder, 'bibliography.json')), 'bibliography.json'),
    ...readCrosswalks(join(folder, CROSSWALKS)),
  }
}
