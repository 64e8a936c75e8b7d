/** Words of a language that carry the grammar of a sentence and no trouble. */
export interface Grammar {
  /** Dropped before anything is compared. */
  stop: ReadonlySet<string>
  /** Turn what they reach into its opposite. */
  negators: ReadonlySet<string>
  /** End a clause, and with it the reach of a negator. */
  breakers: ReadonlySet<string>
  /** After a negator, they show that it denies something else than what follows. */
  shields: ReadonlySet<string>
  /** Who says it, where one of the saying words follows: the keypad that says a thing is seldom what it is about. */
  speakers: ReadonlySet<string>
  saying: ReadonlySet<string>
  /** After what is denied, they complete the denial: "is not lit". */
  states: ReadonlySet<string>
}

const set = (...lines: string[]): ReadonlySet<string> => new Set(lines.flatMap((line) => line.split(' ')))

const ENGLISH: Grammar = {
  stop: set(
    'a an the this that these those it its is are was were be been being am i me my mine we us our ours you your yours',
    'he she him his her hers they them their there here of to in at by for from with into onto upon as or on if when while',
    'what which who whom whose how why where have has had having do does did done will would shall should can could may',
    'might must get gets got getting go goes went put puts very really quite so too also then than please hi hello hey ok',
    'okay well um uh oh yes yeah yep some any own same such about again ever even still already',
    'says say said saying tells tell telling told shows show showing shown displays display displayed reads read reading',
    'know think guess believe seems seem looks look like maybe perhaps sort kind bit little thing things stuff something',
    'keeps keep keeping kept gives give comes come came see saw seen let make makes made want wants need needs try tried',
    'and but however although though because since while just yet except now',
    'think thought thats whats theres im ive its hes shes theyre youre message messages one ones night whatever anyway mr mrs',
  ),
  negators: set('not no never without none nothing nobody neither nor no-one nowhere'),
  breakers: set('but however although though because since while and just only yet except now'),
  shields: set(
    'stop stops quit idea sure know understand find figure doubt matter worry sound-like silence reset explain',
  ),
  speakers: set('keypad panel display screen alarm system box'),
  saying: set(
    'says say said shows show showed reads tells told lists writes wrote claims complains complained wants asks',
  ),
  states: set(
    'lit on there here present sound beep ring low open active problem issue case flash blink burn trip work',
  ),
}

const OTHERS: Readonly<Record<string, Pick<Grammar, 'stop' | 'negators' | 'breakers'>>> = {
  de: {
    stop: set(
      'der die das den dem des ein eine einen einem einer eines und oder ist sind war waren bin hat haben habe ich wir',
      'sie er es mein meine meinen unser unsere im in am an auf bei zu zum zur von vom mit seit noch auch dass steht',
    ),
    negators: set('nicht kein keine keinen keiner keines nie ohne nichts niemand'),
    breakers: set('aber sondern weil und nur jetzt'),
  },
  es: {
    stop: set(
      'el la los las un una unos unas de del al y o es son era esta estan mi mis nuestro en por para que se ha hay lo su',
    ),
    negators: set('no nunca sin ningun ninguna nada nadie'),
    breakers: set('pero sino porque y solo ahora'),
  },
  fr: {
    stop: set(
      'le la les un une des du de et ou est sont etait mon ma mes notre en au aux par pour que qui se sur il elle je nous',
    ),
    negators: set('pas jamais sans aucun aucune rien personne ni'),
    breakers: set('mais car parce et seulement maintenant'),
  },
}

const union = <T>(a: ReadonlySet<T>, b: ReadonlySet<T> = new Set()) => new Set([...a, ...b])

/** The grammar of a language beside that of English, which callers mix into any other; English alone where it is not known. */
export function grammarOf(language: string): Grammar {
  const own = OTHERS[language.split('-')[0]!.toLowerCase()]
  return {
    ...ENGLISH,
    stop: union(union(ENGLISH.stop, own?.stop), own?.breakers),
    negators: union(ENGLISH.negators, own?.negators),
    breakers: union(ENGLISH.breakers, own?.breakers),
  }
}
