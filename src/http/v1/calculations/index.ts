import type { OpenAPIHono } from '@hono/zod-openapi'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv } from '../../env.ts'
import { batteryHealthCalculation } from './battery-health.ts'
import { batteryRechargeCalculation } from './battery-recharge.ts'
import { batteryRuntimeCalculation } from './battery-runtime.ts'
import { batterySizeCalculation } from './battery-size.ts'
import { registerCalculation } from './calculation.ts'
import { cellLifeCalculation } from './cell-life.ts'
import { circuitLoopCalculation } from './circuit-loop.ts'
import { circuitSounderCalculation } from './circuit-sounder.ts'
import { readingCalculation } from './reading.ts'
import { resistorCalculation } from './resistor.ts'
import { supplyCheckCalculation } from './supply-check.ts'
import { wireRunCalculation } from './wire-run.ts'

/** Everything that is computed without a diagnosis, alone and as a batch. */
export function registerCalculations(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerCalculation(app, shelf, batterySizeCalculation)
  registerCalculation(app, shelf, batteryRuntimeCalculation)
  registerCalculation(app, shelf, batteryRechargeCalculation)
  registerCalculation(app, shelf, batteryHealthCalculation)
  registerCalculation(app, shelf, cellLifeCalculation)
  registerCalculation(app, shelf, circuitLoopCalculation)
  registerCalculation(app, shelf, circuitSounderCalculation)
  registerCalculation(app, shelf, wireRunCalculation)
  registerCalculation(app, shelf, resistorCalculation)
  registerCalculation(app, shelf, supplyCheckCalculation)
  registerCalculation(app, shelf, readingCalculation)
}
