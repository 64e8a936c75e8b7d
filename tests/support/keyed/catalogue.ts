import { done, type Kind } from './kind.ts'

/** A shop's items, and imports on their way to become items. */

const BATTERY = 'part-class/vrla-battery-12v'
const itemMarked = (title: string) => ({
  partClass: BATTERY,
  title,
  attributes: { nominalVoltageV: 12, capacityAh: 7, terminal: 'F1' },
  stock: 4,
})
const CSV = { 'Content-Type': 'text/csv' }
const csvMarked = (title: string) =>
  `sku,title,part_class,stock\nB-7,${title},${BATTERY},4\nB-8,${title},${BATTERY},${title}\n`

const ITEMS: Kind = {
  under: '/v1/catalogue',
  make: async (owner, nth) => {
    const title = `Battery marked${nth}`
    await done(owner, 'PUT', '/v1/catalogue/items/B-7', itemMarked(title))
    return { params: { sku: 'B-7' }, marks: [title] }
  },
  requests: {
    putCatalogueItem: () => ({ body: itemMarked('Standby battery 12 V 7 Ah') }),
    searchCatalogue: ({ marks }) => ({ query: `?q=${encodeURIComponent(marks[0]!)}` }),
  },
  makesOwn: ['putCatalogueItem'],
  takesAnyName: ['putCatalogueItem'],
  readAt: () => '/v1/catalogue/items/B-7',
}

const IMPORTS: Kind = {
  under: '/v1/catalogue/imports',
  make: async (owner, nth) => {
    const title = `Battery marked${nth}`
    const { id } = await done(owner, 'POST', '/v1/catalogue/imports', { mode: 'partial' })
    await done(owner, 'PUT', `/v1/catalogue/imports/${id}/parts/1`, csvMarked(title), CSV)
    return { params: { id, part: '1' }, marks: [id, title] }
  },
  requests: {
    openCatalogueImport: () => ({ body: { mode: 'atomic' } }),
    putCatalogueImportPart: () => ({ body: csvMarked('Battery'), headers: CSV }),
    commitCatalogueImport: () => ({ body: { parts: 1 } }),
  },
  readAt: ({ params }) => `/v1/catalogue/imports/${params.id}`,
}

export const CATALOGUE_KINDS = [ITEMS, IMPORTS]
