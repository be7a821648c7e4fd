// The keyboard: each key names what it does in the list that ? shows.
import { el } from '../dom.js';
import { word } from '../words.js';

/** Keys by what they do; actions are given by the frame that is shown. */
const KEYS = [
  ['keyNext', ['→', '←'], { ArrowRight: 'forward', ArrowLeft: 'back', n: 'next', p: 'previous' }],
  ['keyPlay', ['Space'], { ' ': 'play' }],
  ['keyFocus', ['f'], { f: 'focusOnly' }],
  ['keyEverything', ['e'], { e: 'everything' }],
  ['keyEdges', ['a'], { a: 'edges' }],
  ['keyReset', ['r'], { r: 'reset' }],
  ['keyWhy', ['w'], { w: 'why' }],
  ['keySearch', ['/'], { '/': 'search' }],
  ['keyHelp', ['?'], { '?': 'help' }],
];

/** Listens for all that there is; actions() gives those that can be done now. */
export function listen(actions) {
  document.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.target.closest('input, select, textarea, dialog')) return;
    if (e.key === ' ' && e.target.closest('button, summary, a')) return;
    const name = KEYS.map(([, , keys]) => keys[e.key]).find(Boolean);
    const act = actions()[alongReading(name)];
    if (!act) return;
    e.preventDefault();
    act();
  });
}

// Where text runs from right to left, the next step is to the left.
function alongReading(name) {
  const leftwards = document.documentElement.dir === 'rtl';
  if (name === 'forward') return leftwards ? 'previous' : 'next';
  if (name === 'back') return leftwards ? 'next' : 'previous';
  return name;
}

/** Shows the list of keys. */
export function help() {
  const row = (keys, what) => el('div', {}, el('dt', {}, keys.map((k) => el('kbd', {}, k))), el('dd', {}, word(what)));
  const dialog = el('dialog', { class: 'help', 'aria-labelledby': 'help-title' },
    el('h2', { id: 'help-title' }, word('help')),
    el('dl', {}, KEYS.map(([what, keys]) => row(keys, what)), row(['←', '→', '↑', '↓'], 'keyTurn')),
    el('form', { method: 'dialog' }, el('button', {}, word('close'))));
  dialog.addEventListener('close', () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
}
