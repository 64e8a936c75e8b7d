import type { Database } from '../store/database.ts'
import { type DocumentKind, deleteDocument, findDocument, listDocuments, putDocument } from '../store/documents.ts'

/** Documents of one kind that shops keep, by name. */
export function documentsPort<Document extends object>(
  database: Database,
  kind: DocumentKind,
  hash: (document: Document) => Promise<string>,
) {
  return {
    put: async (shop: string, name: string, document: Document) => {
      const entry = { name, sha256: await hash(document), updatedAt: Date.now() }
      await putDocument(database, kind, shop, { ...entry, body: JSON.stringify(document) })
      return entry
    },
    read: async (shop: string, name: string): Promise<Document | undefined> => {
      const stored = await findDocument(database, kind, shop, name)
      return stored && (JSON.parse(stored.body) as Document)
    },
    list: async (shop: string) => listDocuments(database, kind, shop),
    /** Says whether there was one. */
    remove: (shop: string, name: string) => deleteDocument(database, kind, shop, name),
  }
}
export type DocumentsPort<Document extends object> = ReturnType<typeof documentsPort<Document>>
