/** Digits of the minor unit by currency where they are not two, and every other code. */
const NO_MINOR = 'BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF'
const THREE = 'BHD IQD JOD KWD LYD OMR TND'
const FOUR = 'CLF UYW'
const TWO =
  'AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW CNY COP COU CRC CUC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XCD YER ZAR ZMW ZWG'

const DIGITS: ReadonlyMap<string, number> = new Map(
  [NO_MINOR, TWO, THREE, FOUR].flatMap((codes, index) => {
    const digits = [0, 2, 3, 4][index]!
    return codes.split(' ').map((code) => [code, digits] as const)
  }),
)

/**
 * Decimal digits of a currency's minor unit; undefined for what is no currency that anything is sold in.
 *
 * @param code - three capital letters
 * @validity the list of 2024-06-25; metals, funds of account and test codes are left out
 * @source ISO 4217 list one
 * @example minorDigits('JPY') // 0
 */
export function minorDigits(code: string): number | undefined {
  return DIGITS.get(code)
}
