// The page's own words, and which of the plan's languages is shown.
import table from '../../words.json';

let language = 'en';

export const ownLanguages = Object.entries(table.languages).map(([lang, words]) => [lang, words.name]);

const primary = (lang) => (lang ?? '').toLowerCase().split('-')[0];

/** One of the page's own words; English where the language has none. */
export const word = (key) => table.languages[primary(language)]?.[key] ?? table.languages.en[key];

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
  for (const same of [(t) => t.lang === language, (t) => primary(t.lang) === primary(language), (t) => primary(t.lang) === 'en']) {
    const at = texts.findIndex(same);
    if (at >= 0) return at;
  }
  return texts.length ? 0 : -1;
}

/** The text to show, as a string. */
export const said = (texts) => texts?.[chosen(texts)]?.text ?? '';

/**
 * How grave a signal word is: danger, warning, caution, notice, or null for a word that
 * is not known. Of the languages it is given in, the gravest that is known.
 */
export function gravity(texts = []) {
  const words = texts.map((t) => t.text.trim().toLowerCase().replace(/[^\p{L}]/gu, ''));
  return Object.keys(table.signals).find((level) => words.some((w) => table.signals[level].includes(w))) ?? null;
}
