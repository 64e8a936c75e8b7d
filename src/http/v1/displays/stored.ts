import type { OpenAPIHono } from '@hono/zod-openapi'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { registerKept } from '../../kept-documents.ts'
import { refuseFaults } from './profile-in-body.ts'
import { ProfileBodySchema } from './schema.ts'

export function registerStoredProfiles(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerKept(app, {
    noun: 'profile',
    tag: 'displays',
    schema: ProfileBodySchema,
    entryName: 'StoredProfile',
    example: 'two-lamps',
    store: (shops) => shops.profiles,
    check: async (c, profile) => {
      const { release } = await wordingFor(c, shelf, { release: profile.release })
      refuseFaults(release, profile, (path) => path)
    },
  })
}
