import type { TroubleAtlas } from './client.ts'

type Method = {
  [K in keyof TroubleAtlas]: TroubleAtlas[K] extends (...given: never[]) => unknown ? K : never
}[keyof TroubleAtlas]

/** The methods of the client by what they are about, as the API groups its operations. */
export const GROUPS = {
  ontology: ['resolveId', 'listReleases', 'getManifest', 'listChanges', 'listConcepts', 'getConcept', 'getReleaseFile'],
  battery: [
    'assessBatteryHealth',
    'assessBatteriesHealth',
    'estimateRecharge',
    'estimateRecharges',
    'estimateBatteryRuntime',
    'estimateBatteryRuntimes',
    'sizeBattery',
    'sizeBatteries',
    'estimateCellLife',
    'estimateCellLives',
  ],
  service: ['getCapabilities', 'listDeprecations'],
  circuits: [
    'analyseLoop',
    'analyseLoops',
    'analyseSounder',
    'analyseSounders',
    'identifyResistor',
    'identifyResistors',
    'checkSupply',
    'checkSupplies',
    'computeWireRun',
    'computeWireRuns',
  ],
  catalogue: [
    'exportCatalogue',
    'openCatalogueImport',
    'dropCatalogueImport',
    'getCatalogueImport',
    'commitCatalogueImport',
    'putCatalogueImportPart',
    'getCatalogueImportReport',
    'listCatalogueItems',
    'deleteCatalogueItem',
    'getCatalogueItem',
    'putCatalogueItem',
    'searchCatalogue',
  ],
  diagnosis: ['diagnose'],
  displays: ['decodeDisplay', 'listProfiles', 'validateProfile', 'deleteProfile', 'getProfile', 'putProfile'],
  histories: ['analyseHistory'],
  crosswalks: ['listCrosswalks', 'translateCodes', 'listCodes', 'getCode'],
  keys: ['listKeys', 'createKey', 'deleteKey', 'getKey', 'revokeKey', 'rotateKey'],
  overlays: ['listOverlays', 'validateOverlay', 'deleteOverlay', 'getOverlay', 'putOverlay'],
  parts: ['matchParts', 'findPartNeeds', 'readPart', 'readParts'],
  rates: ['getRates', 'getRateSettings', 'putRateSettings', 'getKeptRates'],
  readings: ['interpretReading', 'interpretReadings'],
  signals: ['decodeSignals', 'streamSignals'],
  text: ['interpretText'],
} as const satisfies Record<string, readonly Method[]>
