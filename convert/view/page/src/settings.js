// What the reader has chosen, kept in the browser.
import { el, icon } from './dom.js';
import { ownLanguages, speak, spoken, word } from './words.js';

const initial = { language: navigator.language, theme: 'auto', glove: false };
const settings = { ...initial, ...stored() };

function stored() {
  try {
    return JSON.parse(localStorage.getItem('planfold')) ?? {};
  } catch {
    return {}; // storage may be refused
  }
}

function change(values) {
  Object.assign(settings, values);
  try {
    localStorage.setItem('planfold', JSON.stringify(settings));
  } catch { /* then it holds for this page */ }
  apply();
}

/** Puts the choices into effect. */
export function apply() {
  speak(settings.language);
  const root = document.documentElement;
  root.dataset.theme = settings.theme;
  root.classList.toggle('glove', settings.glove);
}

/** The menu; languages are those that the plan speaks, besides the page's own. */
export function menu(languages, changed) {
  const all = new Map([...ownLanguages, ...languages.filter((l) => !ownLanguages.some(([own]) => own === l)).map((l) => [l, nameOf(l)])]);
  const select = (key, options) => el('label', {}, el('span', {}, word(key)),
    el('select', { id: `set-${key}`, onchange: (e) => { change({ [key]: e.target.value }); changed(); } },
      options.map(([value, text]) => el('option', { value, selected: value === current(key) }, text))));
  const current = (key) => (key === 'language' ? [...all.keys()].find((l) => l === spoken()) ?? [...all.keys()].find((l) => l === spoken().split('-')[0]) : settings[key]);
  return el('details', { class: 'menu' },
    el('summary', { 'aria-label': word('settings') }, icon(GEAR), el('span', {}, word('settings'))),
    el('div', { class: 'sheet' },
      select('language', [...all]),
      select('theme', ['auto', 'light', 'dark'].map((t) => [t, word(t)])),
      el('label', { class: 'check' }, el('input', { type: 'checkbox', id: 'set-glove', checked: settings.glove, onchange: (e) => change({ glove: e.target.checked }) }), el('span', {}, word('glove')))));
}

const GEAR = 'M12 8a4 4 0 1 0 0 8 4 4 0 0 0 0-8zm9 2.6-2.3-.5-.7-1.6 1.3-2-2.1-2.1-2 1.3-1.6-.7L13.4 2h-2.9l-.5 2.300-1.600.7-2-1.300L4.300 5.800l1.300 2-.7 1.600-2.300.5v2.900l2.300.5.7 1.600-1.300 2 2.100 2.100 2-1.300 1.600.7.5 2.300h2.900l.5-2.300 1.600-.7 2 1.300 2.100-2.100-1.300-2 .7-1.600 2.300-.5z';

function nameOf(lang) {
  try {
    return new Intl.DisplayNames([lang], { type: 'language' }).of(lang);
  } catch {
    return lang;
  }
}
