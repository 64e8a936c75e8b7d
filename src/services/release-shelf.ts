import type { CompiledRelease } from '../domain/advice/compiled.ts'
import type { ConceptChange } from '../ontology/diff.ts'
import type { LanguagePack } from '../ontology/language.ts'
import { currentRelease, type Manifest, publishedReleases, type Release, releaseFrom } from '../ontology/release.ts'
import type { Ontology } from '../ontology/shape.ts'
import { chooseTag, ENGLISH, type English, languagesOf, type ServedLanguage } from './texts.ts'

export type ReadFile = (release: string, name: string) => Promise<Uint8Array | undefined>

/** Published releases and their languages: the current one is at hand, the rest is read when first asked for and kept. */
export class ReleaseShelf {
  readonly #readFile: ReadFile
  readonly #releases = new Map<string, Promise<Release>>()
  readonly #changes = new Map<string, Promise<ConceptChange[]>>()
  readonly #packs = new Map<string, Promise<LanguagePack | undefined>>()

  constructor(readFile: ReadFile) {
    this.#readFile = readFile
  }

  current(): Release {
    return currentRelease()
  }

  names(): string[] {
    return publishedReleases().map(({ release }) => release)
  }

  /** A published release by its version or "latest"; undefined when there is none of that name. */
  async named(name: string): Promise<Release | undefined> {
    const current = currentRelease()
    if (name === 'latest' || name === current.version) return current
    if (!this.names().includes(name)) return undefined
    return keptOrMade(this.#releases, name, () => this.#load(name))
  }

  /** The words that a wish for a language leads to. */
  async served(release: Release, wish: string | undefined): Promise<ServedLanguage> {
    const tag = chooseTag(wish, languagesOf(release))
    if ((ENGLISH as readonly string[]).includes(tag)) return { tag, english: tag as English }
    const pack = await this.pack(release, tag)
    return pack ? { tag, english: 'en-US', pack } : { tag: 'en-US', english: 'en-US' }
  }

  pack(release: Release, language: string): Promise<LanguagePack | undefined> {
    return keptOrMade(this.#packs, `${release.version} ${language}`, () =>
      this.#json<LanguagePack>(release.version, `language-${language}.json`),
    )
  }

  /** Every language of a release beside English. */
  async packs(release: Release): Promise<LanguagePack[]> {
    const packs = (release.manifest.languages ?? []).map(({ language }) => this.pack(release, language))
    return (await Promise.all(packs)).filter((pack) => pack !== undefined)
  }

  /** What an edition changed against the one before it, as it published it; nothing for the first. */
  changes(release: string): Promise<ConceptChange[]> {
    return keptOrMade(this.#changes, release, async () => {
      const document = await this.#json<{ changes: ConceptChange[] }>(release, 'changes.json')
      return document?.changes ?? []
    })
  }

  async #json<T>(release: string, name: string): Promise<T | undefined> {
    const bytes = await this.#readFile(release, name)
    return bytes && (JSON.parse(new TextDecoder().decode(bytes)) as T)
  }

  async #load(name: string): Promise<Release> {
    const [manifest, compiled, ontology] = await Promise.all([
      this.#json<Manifest>(name, 'manifest.json'),
      this.#json<CompiledRelease>(name, 'compiled.json'),
      this.#json<Ontology>(name, 'ontology.json'),
    ])
    if (!manifest || !compiled || !ontology) throw new Error(`release ${name} is listed, but its files are missing`)
    return releaseFrom(manifest, compiled, () => ontology)
  }
}

/** A promise made once; one that fails is not kept, so that the next request tries again. */
function keptOrMade<T>(kept: Map<string, Promise<T>>, key: string, make: () => Promise<T>): Promise<T> {
  const known = kept.get(key)
  if (known) return known
  const made = make()
  kept.set(key, made)
  made.catch(() => kept.delete(key))
  return made
}
