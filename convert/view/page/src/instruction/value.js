// Values as the plan has them, each knowing where it stands in step.json, so that its
// origin can be asked for.
import { el } from '../dom.js';
import { chosen, direction, spoken } from '../words.js';

/** A value as text. */
export const value = (text, pointer, attributes = {}) => (text == null || text === '' ? null : el('span', { 'data-at': pointer, ...attributes }, text));

/** A text in the reader's language, or the first it is given in. */
export function words(texts, pointer, attributes = {}) {
  const at = chosen(texts);
  if (at < 0) return null;
  const { lang, text, rich } = texts[at];
  const other = lang && lang !== spoken();
  return el('span', { 'data-at': `${pointer}/${at}/text`, lang: other ? lang : null, dir: other ? direction(lang) : null, ...attributes }, rich ? safely(rich) : text);
}

/** In which direction a text runs that is shown of a list. */
export const runs = (texts) => direction(texts?.[chosen(texts)]?.lang ?? spoken());

const ALLOWED = new Set(['P', 'BR', 'B', 'STRONG', 'I', 'EM', 'U', 'SUB', 'SUP', 'UL', 'OL', 'LI', 'TABLE', 'THEAD', 'TBODY', 'TR', 'TH', 'TD', 'H3', 'H4']);

/** Rich text: its plain elements without any attribute, of all others the text. */
function safely(rich) {
  const copy = (from) => [...from.childNodes].map((node) => {
    if (node.nodeType === Node.TEXT_NODE) return node.data;
    if (node.nodeType !== Node.ELEMENT_NODE) return null;
    return ALLOWED.has(node.tagName) ? el(node.tagName.toLowerCase(), {}, copy(node)) : copy(node);
  });
  return copy(new DOMParser().parseFromString(rich, 'text/html').body);
}

/** A list of short facts beside a value: pairs of a name and what it is. */
export function facts(...pairs) {
  const shown = pairs.filter(([, what]) => what != null && what !== false && what !== '' && !(Array.isArray(what) && !what.some(Boolean)));
  return shown.length === 0 ? null : el('dl', { class: 'facts' }, shown.map(([name, what]) => el('div', {}, el('dt', {}, name), el('dd', {}, what))));
}

/** Values side by side, with a comma between. */
export const list = (texts, pointer) => texts?.flatMap((text, i) => [i ? ', ' : null, value(text, `${pointer}/${i}`)]);
