/** A probability in steps of 1e-12: nearer ones are equal, since the last digits hang on the order in which things are summed. */
export const quantised = (probability: number): number => Math.round(probability * 1e12)

/** Whether a probability is higher than another, and not just by its last digits. */
export const isHigher = (one: number, other: number): boolean => one > other && quantised(one) > quantised(other)
