import { defineConfig } from 'tsdown'

export default defineConfig({
  entry: ['src/index.ts', 'src/testing.ts', 'src/offline.ts'],
  format: ['esm', 'cjs'],
  dts: true,
  platform: 'neutral',
  target: 'es2022',
  fixedExtension: false,
  noExternal: [/.*/],
  inputOptions: { resolve: { mainFields: ['module', 'main'] } },
})
