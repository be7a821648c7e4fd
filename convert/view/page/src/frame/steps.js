// The list of an edition's steps with their precedence, and a search in it.
import { el } from '../dom.js';
import { address, json, resolve } from '../data.js';
import { chosen, said, word } from '../words.js';
import { runs } from '../instruction/value.js';
import { lanes } from './graph.js';

const LANE = 14; // pixels
const MOST = 7; // lanes shown; more would leave no room for the titles

/** Makes the list; current() marks a step, filter() shows those that match. */
export function stepList(bundle, edition, hrefOf) {
  const graph = lanes(bundle.steps);
  const width = LANE * Math.min(MOST, Math.max(1, ...graph.map((g) => g.count)));
  const seen = new IntersectionObserver((entries) => entries.filter((e) => e.isIntersecting).forEach((e) => {
    seen.unobserve(e.target);
    fill(e.target, edition);
  }), { rootMargin: '200px' });
  const rows = bundle.steps.map((step, i) => {
    const head = i === 0 || bundle.steps[i - 1].operation !== step.operation;
    const row = el('li', { 'data-folder': step.folder, class: head ? 'first' : null },
      head && el('p', { class: 'operation' }, rail(passing(graph, i), width, 30), el('span', { class: 'operation-title' }, step.operation)),
      el('a', { href: hrefOf(step) }, rail(graph[i], width, 72), el('span', { class: 'number' }, String(step.sequence)), el('span', { class: 'title' }, step.title || step.id)));
    seen.observe(row);
    return row;
  });
  const list = el('ol', { class: 'steps' }, rows);
  return { list, current: (folder) => mark(rows, folder), filter: (text) => filter(rows, bundle.steps, text) };
}

// Between two rows all lanes pass.
const passing = (graph, i) => ({ own: -1, into: [], down: false, pass: i === 0 ? [] : [...graph[i - 1].pass, ...(graph[i - 1].down ? [graph[i - 1].own] : [])] });

function rail(g, width, height) {
  const x = (lane) => LANE * (Math.min(lane, MOST - 1) + 0.5);
  const middle = height / 2;
  const lines = [
    ...g.pass.map((l) => `M${x(l)} 0V${height}`),
    ...g.into.map((l) => (l === g.own ? `M${x(l)} 0V${middle}` : `M${x(l)} 0C${x(l)} ${middle * 0.7} ${x(g.own)} ${middle * 0.3} ${x(g.own)} ${middle}`)),
    g.down ? `M${x(g.own)} ${middle}V${height}` : '',
  ].join('');
  return el('svg', { class: 'rail', viewBox: `0 0 ${width} ${height}`, width, height, 'aria-hidden': 'true' },
    lines && el('path', { d: lines }), g.own >= 0 && el('circle', { cx: x(g.own), cy: middle, r: 4.5 }));
}

// What only step.json says: the title in the reader's language, the picture.
async function fill(row, edition) {
  const folder = `${edition}/steps/${row.dataset.folder}`;
  let step;
  try {
    step = await json(`${folder}/step.json`);
  } catch {
    row.classList.add('damaged');
    return;
  }
  const title = row.querySelector('.title');
  if (step.title) title.textContent = said(step.title);
  if (step.title) title.lang = step.title[chosen(step.title)].lang ?? '';
  title.dir = runs(step.title);
  const operation = row.querySelector('.operation-title');
  if (operation) operation.dir = runs(step.operation.title);
  if (operation && step.operation.title) operation.textContent = `${step.operation.number ?? step.operation.id}  ${said(step.operation.title)}`;
  if (step.picture) row.querySelector('a').append(el('img', { src: address(resolve(folder, step.picture.uri)), alt: '', width: 80, height: 60, loading: 'lazy' }));
}

function mark(rows, folder) {
  for (const row of rows) {
    const is = row.dataset.folder === folder;
    const link = row.querySelector('a');
    if (is) link.setAttribute('aria-current', 'step');
    else link.removeAttribute('aria-current');
    if (is) link.scrollIntoView({ block: 'nearest' });
  }
}

function filter(rows, steps, text) {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  let shown = 0;
  rows.forEach((row, i) => {
    const all = `${steps[i].id} ${steps[i].operation} ${steps[i].title ?? ''} ${row.textContent}`.toLowerCase();
    const is = words.every((w) => all.includes(w));
    row.hidden = !is;
    shown += is;
  });
  rows[0]?.parentElement.classList.toggle('filtered', words.length > 0);
  return shown;
}
