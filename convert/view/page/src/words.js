// The page's own words, and which of the plan's languages is shown.
import table from '../../words.json';

let language = 'en';

export const ownLanguages = Object.entries(table.languages).map(([lang, words]) => [lang, words.name]);

const primary = (lang) => (lang ?? '').toLowerCase().split('-')[0];

/** One of the page's own words; English where the language has none. */
export const word = (key) => ownWord(key) ?? table.languages.en[key];

/** The same, where the language has it. */
export const ownWord = (key) => table.languages[primary(language)]?.[key];

export const direction = (lang) => (table.rightToLeft.includes(primary(lang)) ? 'rtl' : 'ltr');

/** Shows everything in a language from now on. */
export function speak(lang) {
  language = lang;
  const own = table.languages[primary(lang)] ? lang : 'en';
  document.documentElement.lang = own;
  document.documentElement.dir = direction(own);
}

export const spoken = () => language;

/** The index of the text to show of a list of texts by language: −1 of an empty one. */
export function chosen(texts = []) {
  for (const same of [(t) => t.lang?.toLowerCase() === language.toLowerCase(), (t) => primary(t.lang) === primary(language)]) {
    const at = texts.findIndex(same);
    if (at >= 0) return at;
  }
  return texts.length ? 0 : -1;
}

/** The text to show, as a string. */
export const said = (texts) => texts?.[chosen(texts)]?.text ?? '';

/** Unit codes that mean pieces. */
export const pieces = new Set(table.pieces);

/**
 * How grave a signal word is: the gravest of what is known of it in the languages that
 * it is given in; other where nothing is.
 */
export const gravity = (texts = []) => ['danger', 'warning', 'caution', 'notice'].find((level) => texts.some((t) => levelOf(t) === level)) ?? 'other';

// The same word means less in one language than in another. Without a language it must
// mean the same in all that have it.
function levelOf({ lang, text }) {
  const own = lang ? [table.signals[primary(lang)] ?? {}] : Object.values(table.signals);
  const word = text.toLowerCase().replace(/[^\p{L}]/gu, '');
  const levels = new Set(own.flatMap((l) => Object.keys(l).filter((level) => l[level].includes(word))));
  return levels.size === 1 ? [...levels][0] : 'other';
}

/** A duration of ISO 8601 in the units of the page's language; what is none stays as it is. */
export function duration(iso) {
  const n = '(\\d+(?:[.,]\\d+)?)';
  const of = (units) => [...units].map((unit) => `(?:${n}${unit})?`).join('');
  const m = new RegExp(`^P(?=.*\\d\\D$)${of('YMWD')}(?:T${of('HMS')})?$`).exec(iso ?? '');
  if (!m) return iso;
  const named = ['year', 'month', 'week', 'day', 'hour', 'minute', 'second'].map((unit, i) => m[i + 1] && inUnit(m[i + 1].replace(',', '.'), unit));
  return named.filter(Boolean).join(' ');
}

const inUnit = (count, unit) => new Intl.NumberFormat(document.documentElement.lang, { style: 'unit', unit, unitDisplay: 'long' }).format(Number(count));
