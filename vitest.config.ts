import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    isolate: false,
    testTimeout: 60_000,
    hookTimeout: 120_000,
    reporters: ['./tests/support/reporter.ts'],
  },
})
