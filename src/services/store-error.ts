/** What a route may know of the database: that it failed, and how. */
export { StoreError, type StoreFault, storeErrorIn } from '../store/store-error.ts'
