/** Below this a running product is turned into its logarithm, far from where doubles lose digits. */
const LOG_BELOW = 1e-100

/** ln of a product of many numbers in (0, 1], without a logarithm of each. */
export class LogProduct {
  #log = 0
  #product = 1

  multiply(factor: number): void {
    this.#product *= factor
    if (this.#product < LOG_BELOW) {
      this.#log += Math.log(this.#product)
      this.#product = 1
    }
  }

  get log(): number {
    return this.#log + Math.log(this.#product)
  }
}
