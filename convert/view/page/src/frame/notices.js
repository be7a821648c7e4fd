// What must be known of an edition before any of its steps: that it is held, or not the
// current one; and at its end what was remarked when it was made.
import { el } from '../dom.js';
import { word } from '../words.js';

export function notices(plan, entry, bundle) {
  const holding = (bundle.diagnostics ?? []).filter((d) => d.holds);
  const later = plan.current === entry.folder && plan.editions.slice(plan.editions.indexOf(entry) + 1).findLast((e) => e.held);
  return el('div', { class: 'notices' },
    entry.held && el('div', { class: 'notice-line held', role: 'alert' }, el('strong', {}, word('held')), holding.length > 0 && list(holding)),
    later && el('p', { class: 'notice-line', role: 'status' }, `${word('heldLater')}: `, el('a', { href: `#/${plan.folder}/${later.folder}` }, `${later.revision} @${later.edition}`)),
    !entry.held && plan.current !== entry.folder && el('p', { class: 'notice-line', role: 'alert' }, word('notCurrent')));
}

/** What was remarked of the whole edition. */
export function remarks({ diagnostics = [] }) {
  return diagnostics.length > 0 && el('details', { class: 'remarks' }, el('summary', {}, `${word('diagnostics')}: ${diagnostics.length}`), list(diagnostics));
}

const SHOWN = 100;

const list = (remarks) => el('ul', {}, remarks.slice(0, SHOWN).map((d) => el('li', {}, d.step && el('strong', {}, `${d.step} `), d.message, ' ', el('small', {}, el('code', {}, d.code), ' ', place(d.position)))),
  remarks.length > SHOWN && el('li', {}, `+ ${remarks.length - SHOWN} ${word('more')}`));

const place = (p) => (p?.file ? `${p.file}${p.line ? `:${p.line}:${p.column ?? 1}` : ''}` : '');
