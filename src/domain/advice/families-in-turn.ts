/** Families in the order in which they are put right: a battery is judged once its supply is back. Common practice, no source. */
export const SUPPLY = 'power'
export const BATTERY = 'storage-battery'
export const CLOCK = 'clock-and-configuration'
/** What is closed last. */
export const ENCLOSURE = 'tamper-and-enclosure'
