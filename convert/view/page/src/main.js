// The page: which plan, edition and step the address names, and the frame around them.
import './page.css';
import { el, button, icon } from './dom.js';
import { json } from './data.js';
import { EditionFrame } from './frame/edition.js';
import { help, listen } from './frame/keys.js';
import { editionToOpen, plansPage } from './frame/plans.js';
import { apply, menu } from './settings.js';
import { said, word } from './words.js';

let catalog;
let frame = null; // the edition that is shown

function route() {
  return location.hash.replace(/^#\/?/, '').split('/').map(decoded);
}

function decoded(part) {
  try {
    return decodeURIComponent(part);
  } catch {
    return part; // then nothing has that name
  }
}

async function show() {
  const [planFolder, editionFolder, stepFolder] = route();
  const plan = catalog.plans.find((p) => p.folder === planFolder);
  const entry = plan?.editions.find((e) => e.folder === (editionFolder ?? editionToOpen(plan)));
  if (!entry) {
    close();
    fill(bar(word('plans')), plansPage(catalog));
    return;
  }
  if (frame?.entry !== entry) await open(plan, entry);
  if (frame?.entry === entry) await frame.show(stepFolder);
}

async function open(plan, entry) {
  let bundle;
  try {
    bundle = await json(`plans/${plan.folder}/${entry.folder}/bundle.json`);
  } catch (e) {
    close();
    fill(bar(plan.id), el('main', { class: 'plans-page' }, el('h1', {}, plan.id), el('p', { class: 'notice-line', role: 'alert' }, `bundle.json ${word('failed')}: ${e.message}`)));
    return;
  }
  close();
  frame = new EditionFrame(plan, entry, bundle);
  fill(bar(plan.id, bundle, entry), frame.element);
}

const MENU = 'M3 6h18M3 12h18M3 18h18';

function bar(name, bundle, entry) {
  const drawer = () => document.body.classList.toggle('drawer');
  return el('header', { class: 'bar' },
    bundle && button(word('steps'), drawer, { class: 'open-steps', 'aria-controls': 'steps' }, icon(MENU)),
    el('a', { href: '#/', class: 'home' }, word('plans')),
    bundle && el('p', { class: 'plan' }, el('strong', {}, name), ' ', said(bundle.title), el('small', {}, ` ${word('revision')} ${bundle.revision} · ${word('edition')} ${entry.edition}`)),
    menu(languagesOf(bundle), again), button(word('help'), help, { class: 'help-button' }, el('kbd', { 'aria-hidden': 'true' }, '?')));
}

const languagesOf = (bundle) => [...new Set((bundle?.title ?? []).map((t) => t.lang).filter(Boolean))];

function fill(...elements) {
  document.body.classList.remove('drawer');
  document.body.replaceChildren(...elements);
}

// Everything is made anew in the language that was chosen; the theme's colours too.
function again() {
  close();
  show();
}

function close() {
  frame?.close();
  frame = null;
}

async function start() {
  apply();
  listen(() => ({ ...(frame?.actions() ?? { search: () => document.querySelector('#search')?.focus() }), help }));
  addEventListener('hashchange', () => { document.body.classList.remove('drawer'); show(); });
  try {
    catalog = await json('catalog.json');
  } catch (e) {
    fill(el('main', { class: 'plans-page' }, el('p', { class: 'notice-line', role: 'alert' }, `catalog.json ${word('failed')}: ${e.message}`)));
    return;
  }
  const only = catalog.plans.length === 1 && location.hash.length < 3 ? catalog.plans[0] : null;
  if (only) history.replaceState(null, '', `#/${only.folder}/${editionToOpen(only)}`);
  await show();
}

start();
