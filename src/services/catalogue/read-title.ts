import type { Release } from '../../ontology/release.ts'
import type { CatalogueItem } from '../../store/catalogue/rows.ts'
import type { Cells } from './cells.ts'
import type { PartOptions } from './read-part.ts'

/** An item with what its title says beside its columns. */
export function readTitle(_release: Release, _cells: Cells, item: CatalogueItem, _options: PartOptions): CatalogueItem {
  return item
}
