// The first page: every plan of the tree with its editions.
import { el } from '../dom.js';
import { json } from '../data.js';
import { said, word } from '../words.js';

const SHOWN = 200; // plans in the list at once; a search finds the others

/** Makes the page of plans. */
export function plansPage(catalog) {
  const list = el('ul', { class: 'plans' });
  const note = el('p', { role: 'status' });
  const show = (text) => {
    const found = catalog.plans.filter((p) => p.id.toLowerCase().includes(text.toLowerCase()));
    list.replaceChildren(...found.slice(0, SHOWN).map(planRow));
    note.textContent = found.length === 0 ? word(catalog.plans.length ? 'noneFound' : 'noEditions') : found.length > SHOWN ? `${SHOWN} ${word('of')} ${found.length}` : '';
  };
  show('');
  return el('main', { class: 'plans-page' }, el('h1', {}, word('plans')),
    el('label', { class: 'search' }, el('span', {}, word('search')), el('input', { type: 'search', id: 'search', oninput: (e) => show(e.target.value) })),
    list, note);
}

/** The edition to open of a plan: the current one, else the last, which is held. */
export const editionToOpen = (plan) => plan.current ?? plan.editions.at(-1).folder;

function planRow(plan) {
  const title = el('span', { class: 'title' });
  const open = editionToOpen(plan);
  const row = el('li', {},
    el('a', { href: `#/${plan.folder}/${open}` }, el('strong', {}, plan.id), title, !plan.current && el('span', { class: 'badge held' }, word('held'))),
    plan.editions.length > 1 && el('details', {}, el('summary', {}, `${word('edition')}: ${plan.editions.length}`),
      el('ul', {}, plan.editions.map((e) => el('li', {}, el('a', { href: `#/${plan.folder}/${e.folder}` }, `${e.revision} @${e.edition}`), ` ${e.cause}`, e.held ? ` — ${word('held')}` : '')))));
  const seen = new IntersectionObserver(([entry]) => {
    if (!entry.isIntersecting) return;
    seen.disconnect();
    json(`plans/${plan.folder}/${open}/bundle.json`).then((b) => { title.textContent = said(b.title); }, (e) => { title.textContent = `${word('failed')}: ${e.message}`; });
  });
  seen.observe(row);
  return row;
}
