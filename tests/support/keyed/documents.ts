import { smallProfile } from '../display-profiles.ts'
import { solarOverlay } from '../overlay.ts'
import { type Borrowed, done, type Kind } from './kind.ts'

/** Documents and keys of a shop. */

const overlayMarked = (mark: string) => ({
  ...solarOverlay(),
  labels: [{ id: 'condition/battery-low', altLabels: [mark] }],
})
const OVERLAYS: Kind = {
  under: '/v1/overlays',
  make: async (owner, nth) => {
    const mark = `marked ${nth}`
    await done(owner, 'PUT', '/v1/overlays/sunfield', overlayMarked(mark))
    return { params: { name: 'sunfield' }, marks: [mark] }
  },
  requests: { putOverlay: () => ({ body: solarOverlay() }) },
  makesOwn: ['putOverlay'],
  readAt: () => '/v1/overlays/sunfield',
}

const twoLamps = () => ({ ...smallProfile(), profile: 'two-lamps' })
const PROFILES: Kind = {
  under: '/v1/profiles',
  make: async (owner, nth) => {
    const name = `marked ${nth}`
    await done(owner, 'PUT', '/v1/profiles/two-lamps', { ...twoLamps(), name })
    return { params: { name: 'two-lamps' }, marks: [name] }
  },
  requests: { putProfile: () => ({ body: twoLamps() }) },
  makesOwn: ['putProfile'],
  readAt: () => '/v1/profiles/two-lamps',
}

const KEYS: Kind = {
  under: '/v1/keys',
  make: async (owner, nth) => {
    const label = `made as ${nth}`
    const { id } = await done(owner, 'POST', '/v1/keys', { label, scopes: ['calls'] })
    return { params: { id }, marks: [id, label] }
  },
  requests: {
    createKey: () => ({ body: { label: 'another', scopes: ['catalogue'] } }),
    rotateKey: () => ({ body: { overlap: { value: 1, unit: 'h' } } }),
  },
  readAt: ({ params }) => `/v1/keys/${params.id}`,
}

export const DOCUMENT_KINDS = [OVERLAYS, PROFILES, KEYS]

export const BORROWED_DOCUMENTS: Borrowed[] = [
  {
    kind: '/v1/overlays',
    path: '/v1/diagnose',
    body: () => ({
      findings: [{ kind: 'condition', condition: 'condition/sunfield~panel-dark', state: 'present' }],
      overlay: 'sunfield',
    }),
  },
  {
    kind: '/v1/profiles',
    path: '/v1/displays/decode',
    body: () => ({ profile: 'two-lamps', observed: [{ screen: 'front', on: ['wave'], readToTheEnd: true }] }),
  },
]
