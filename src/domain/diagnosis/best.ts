/** The best of what is put in by a number, best first; of equals the one that came first. */
export class Best<Item> {
  readonly list: { item: Item; worth: number }[] = []
  readonly #keep: number

  /** @param keep - how many are kept */
  constructor(keep: number) {
    this.#keep = keep
  }

  isAmong(worth: number): boolean {
    return this.list.length < this.#keep || worth > this.list[this.#keep - 1]!.worth
  }

  put(worth: number, item: Item): void {
    const { list } = this
    let place = list.length
    for (; place > 0 && list[place - 1]!.worth < worth; place--) list[place] = list[place - 1]!
    list[place] = { item, worth }
    if (list.length > this.#keep) list.pop()
  }
}
