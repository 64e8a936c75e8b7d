import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    isolate: false,
    testTimeout: 60_000,
    hookTimeout: 120_000,
    setupFiles: ['./tests/support/setup.ts'],
    reporters: ['./tests/support/reporter.ts'],
  },
})
