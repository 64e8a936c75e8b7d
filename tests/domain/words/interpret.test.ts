import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { absent, dangers, hearSmall, present, SMALL_LEXICON } from '../../support/words.ts'

describe('words', () => {
  test.each([
    ['The battery is low.', 'condition/battery'],
    ['low bat', 'condition/battery'],
    ['BATTERIES LOW', 'condition/battery'],
    ['AC lost since noon', 'condition/mains'],
    ['the phone line has a fault', 'condition/line'],
    ['a thunderstorm last night', 'context/storm'],
    ['the breaker had tripped', 'check/breaker=tripped'],
  ])('%j speaks for %s', (text, key) => {
    expect(present(text)[0]).toBe(key)
  })

  test('several troubles of one sentence are all suggested', () => {
    expect(present('no power, battery low and the sensor tamper too')).toEqual(
      expect.arrayContaining(['condition/mains', 'condition/battery', 'condition/tamper']),
    )
  })

  test('the finding that needs more of the words comes before the one that needs fewer', () => {
    expect(present('the sensor battery is low').slice(0, 2)).toEqual(['condition/sensor-battery', 'condition/battery'])
  })

  test('a last resort gives way to a trouble that is named', () => {
    expect(present('it is beeping')).toEqual(['condition/unspecified'])
    expect(present('it is beeping, no power')[0]).toBe('condition/mains')
  })

  test('are never joined across two sentences', () => {
    expect(present('I have a battery. The door is low.')).toEqual([])
  })

  test('half a phrase of two words says nothing', () => {
    expect(hearSmall('the sensor and the phone').suggestions).toEqual([])
  })

  test('that speak for nothing are listed once each, as they were written', () => {
    expect(hearSmall('Purple battery low, purple Elephant 7').unmatched).toEqual(['Purple', 'purple', 'Elephant'])
  })

  test('that speak for something are given with it', () => {
    expect(hearSmall('Battery is LOW').suggestions[0]).toMatchObject({ matched: ['Battery', 'LOW'] })
  })
})

describe('a slip of the keyboard', () => {
  test.each([
    ['batery low', 'condition/battery'],
    ['bttery low', 'condition/battery'],
    ['battrey low', 'condition/battery'],
    ['sensro batery low', 'condition/sensor-battery'],
  ])('in %j is forgiven', (text, key) => {
    expect(present(text)[0]).toBe(key)
  })

  test('lowers the score', () => {
    const score = (text: string) => hearSmall(text).suggestions[0]!.score
    expect(score('batery low')).toBeLessThan(score('battery low'))
  })

  test('is not suspected in a common word', () => {
    expect(hearSmall('phone like missing').suggestions.flatMap(({ matched }) => matched)).not.toContain('like')
  })

  test('is not suspected in a word of three letters', () => {
    expect(present('battery lwo')).toEqual([])
  })
})

describe('a denial', () => {
  test.each([
    ['no beeping', 'condition/unspecified'],
    ['there is no sensor tamper', 'condition/tamper'],
    ['the trouble light is not lit', 'condition/unspecified'],
    ["the trouble light isn't on", 'condition/unspecified'],
    ['the battery is not low', 'condition/battery'],
    ['without any thunderstorm', 'context/storm'],
    ['we never had a bad thunderstorm', 'context/storm'],
    ['it was not a sensor tamper', 'condition/tamper'],
  ])('%j makes %s absent', (text, key) => {
    expect([present(text), absent(text)]).toEqual([[], [key]])
  })

  test.each([
    ['no beeping but the battery is low', 'condition/battery', 'condition/unspecified'],
    ['no sensor tamper, battery low', 'condition/battery', 'condition/tamper'],
    ['not a thunderstorm and the battery is low', 'condition/battery', 'context/storm'],
  ])('of %j ends with its clause', (text, stands, denied) => {
    expect([present(text), absent(text)]).toEqual([[stands], [denied]])
  })

  test.each([
    ['it will not arm', 'condition/arming'],
    ["it won't arm", 'condition/arming'],
    ['there is no power', 'condition/mains'],
    ['mains not responding', 'condition/mains'],
  ])('that belongs to the trouble is none: %j', (text, key) => {
    expect([present(text), absent(text)]).toEqual([[key], []])
  })

  test.each(["it won't stop beeping", 'no idea why it is beeping', 'I am not sure, it is beeping'])(
    'that another word takes is none: %j',
    (text) => {
      expect(present(text)).toContain('condition/unspecified')
    },
  )

  test('of half a phrase says neither that it is nor that it is not', () => {
    expect(hearSmall('no phone line at all').suggestions.map(({ id, state }) => [id, state])).not.toContainEqual([
      'condition/line',
      'absent',
    ])
  })

  test('comes after everything that stands', () => {
    const states = hearSmall('no sensor tamper and no beeping but the battery is low').suggestions.map(
      ({ state }) => state,
    )
    expect(states).toEqual(['present', 'absent', 'absent'])
  })
})

describe('a sign of danger', () => {
  test('stands apart, before every suggestion', () => {
    const { dangers: found, suggestions } = hearSmall('battery low, mains fault, and I smell smoke')
    expect(found.map(({ id }) => id)).toEqual(['check/smoke'])
    expect(suggestions.map(({ kind }) => kind)).not.toContain('danger')
  })

  test('is never crowded out by other troubles', () => {
    const many = 'no power, battery low, sensor battery low, will not arm, cover open, phone line fault, wire broken, '
    expect(dangers(`${many.repeat(8)} something is burning, siren sounding`)).toEqual(
      expect.arrayContaining(['check/smoke=burning', 'check/siren=sounding']),
    )
  })

  test('that is denied is neither reported nor taken as absent', () => {
    const { dangers: found, suggestions } = hearSmall('I do not smell smoke')
    expect([found, suggestions]).toEqual([[], []])
  })

  test.each(['no beeping but I smell smoke', 'not only beeping, I smell smoke', 'I cannot stop the siren sounding'])(
    'stays although something else is denied: %j',
    (text) => {
      expect(dangers(text)).toHaveLength(1)
    },
  )
})

describe('a word of two meanings', () => {
  test('gives both and one question', () => {
    const { suggestions, questions } = hearSmall('line trouble')
    expect(suggestions.map(({ id }) => id).sort()).toEqual(['condition/line', 'condition/loop'])
    expect(questions).toEqual([{ word: 'line', between: ['condition/line', 'condition/loop'] }])
  })

  test('is not asked about where other words settle it', () => {
    expect(hearSmall('phone line fault').questions).toEqual([])
  })

  test('that is denied is not asked about and suggests neither', () => {
    const text = 'there is no line trouble'
    expect([present(text), hearSmall(text).questions]).toEqual([[], []])
  })

  test('is asked about once, however often it is said', () => {
    expect(hearSmall('line. line! the line, line').questions).toHaveLength(1)
  })
})

describe('a number', () => {
  const readings = (text: string) =>
    hearSmall(text)
      .suggestions.filter(({ kind }) => kind === 'reading')
      .map(({ id, quantity }) => [id, quantity?.value, quantity?.unit])

  test.each([
    ['the battery has 11.4 volts', 11.4, 'V'],
    ['battery 11.4V', 11.4, 'V'],
    ['battery 11,4 V', 11.4, 'V'],
    ['battery reads 11.4', 11.4, 'V'],
    ['measured the battery: 11400 mV', 11400, 'mV'],
  ])('in %j is a reading of the battery', (text, value, unit) => {
    expect(readings(text)).toEqual([['reading/battery', value, unit]])
  })

  test.each([
    ['loop is 5.6k', 5.6, 'kOhm'],
    ['the loop has 2,200 ohms', 2200, 'Ohm'],
    ['sensor wire 2.2 kOhm', 2.2, 'kOhm'],
  ])('in %j is a reading of the loop', (text, value, unit) => {
    expect(readings(text)).toEqual([['reading/loop', value, unit]])
  })

  test.each([
    ['without a unit or a meter', 'the battery is 4'],
    ['of another dimension', 'the battery has 7 ohms'],
    ['that the reading cannot have', 'the battery has 230 volts'],
    ['of a zone', 'battery voltage of zone 4'],
    ['of a year', 'battery from 2019'],
  ])('%s is none', (_, text) => {
    expect(readings(text)).toEqual([])
  })

  test('is never corrected into another', () => {
    expect(present('301 battery 310 low')).toEqual(['condition/battery'])
  })
})

describe('of any text', () => {
  const vocabulary = SMALL_LEXICON.entries.flatMap(({ phrases }) => phrases.flatMap(({ text }) => text.split(' ')))
  const spoken = fc
    .array(fc.oneof(fc.constantFrom(...vocabulary, 'not', 'no', 'but', ',', '.', 'is', 'line'), fc.string()), {
      maxLength: 40,
    })
    .map((words) => words.join(' '))
  const anything = fc.oneof(spoken, fc.string({ unit: 'binary', maxLength: 200 }), fc.string({ maxLength: 200 }))

  test('the same is made every time', () => {
    fc.assert(
      fc.property(anything, (text) => {
        expect(hearSmall(text)).toEqual(hearSmall(text))
      }),
    )
  })

  test('every score lies between 0 and 1 and falls, those of the denied last', () => {
    fc.assert(
      fc.property(anything, (text) => {
        const { suggestions, dangers: found } = hearSmall(text)
        for (const { score } of [...suggestions, ...found]) expect(score > 0 && score <= 1).toBe(true)
        const order = suggestions.map(({ state, score }) => (state === 'absent' ? score - 1 : score))
        expect(order).toEqual([...order].sort((a, b) => b - a))
      }),
    )
  })

  test('only words of the redacted text are repeated', () => {
    fc.assert(
      fc.property(anything, (text) => {
        const { redacted, suggestions, dangers: found, unmatched } = hearSmall(text)
        const repeated = [...unmatched, ...[...suggestions, ...found].flatMap(({ matched }) => matched)]
        for (const word of repeated) expect(redacted).toContain(word)
      }),
    )
  })

  test('nothing is present and absent at once', () => {
    fc.assert(
      fc.property(spoken, (text) => {
        const ids = hearSmall(text).suggestions.flatMap(({ id, kind }) => (kind === 'reading' ? [] : [id]))
        expect(new Set(ids).size).toBe(ids.length)
      }),
    )
  })

  test('no code that was said is repeated', () => {
    fc.assert(
      fc.property(spoken, fc.integer({ min: 1000, max: 99_999_999 }), (text, code) => {
        const heard = JSON.stringify(hearSmall(`battery low, my code is ${code}. ${text}`))
        if (!text.includes(String(code))) expect(heard).not.toContain(String(code))
      }),
    )
  })
})
