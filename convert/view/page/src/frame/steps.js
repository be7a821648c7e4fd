// The list of an edition's steps with their precedence, and a search in it.
import { el } from '../dom.js';
import { address, json, resolve } from '../data.js';
import { chosen, said, word } from '../words.js';
import { runs } from '../instruction/value.js';
import { lanes } from './graph.js';

const LANE = 14; // pixels
const MOST = 7; // lanes shown; more would leave no room for the titles

/** Makes the list; current() marks a step, filter() shows those that hold all words of a
    text, and tells by found() how many they are so far, and whether all have been read. */
export function stepList(bundle, edition, hrefOf, found) {
  const graph = lanes(bundle.steps);
  const width = LANE * Math.min(MOST, Math.max(1, ...graph.map((g) => g.count)));
  const heads = new Map(); // operation → the places of its title
  const rows = bundle.steps.map((step, i) => {
    const head = i === 0 || bundle.steps[i - 1].operation !== step.operation ? el('span', { class: 'operation-title' }, step.operation) : null;
    if (head) heads.set(step.operation, [...(heads.get(step.operation) ?? []), head]);
    return el('li', { 'data-folder': step.folder, class: head ? 'first' : null },
      head && el('p', { class: 'operation' }, rail(passing(graph, i), width, 30), head),
      el('a', { href: hrefOf(step) }, rail(graph[i], width, 72), el('span', { class: 'number' }, String(step.sequence)), el('span', { class: 'title' }, step.title || step.id)));
  });
  const list = el('ol', { class: 'steps' }, rows);
  const says = bundle.steps.map((step) => [step.id, step.operation, step.title].join('\n').toLowerCase()); // more once it is read
  const readings = [];
  const read = (i) => (readings[i] ??= fill(rows[i], edition, heads.get(bundle.steps[i].operation)).then((text) => { says[i] += text.toLowerCase(); }, () => rows[i].classList.add('damaged')));
  const seen = new IntersectionObserver((entries) => entries.filter((e) => e.isIntersecting).forEach((e) => {
    seen.unobserve(e.target);
    read(rows.indexOf(e.target));
  }), { rootMargin: '200px' });
  rows.forEach((row) => seen.observe(row));
  return { list, current: (folder) => mark(rows, folder), filter: search(list, rows, says, read, found) };
}

const AT_ONCE = 6; // documents that a search reads: the step that is shown must not wait

// A search looks into every step's document, and shows what it finds as they are read.
function search(list, rows, says, read, found) {
  let words = [];
  let reading = null;
  let next = 0;
  let done = false;
  const show = (i) => { rows[i].hidden = !words.every((w) => says[i].includes(w)); };
  const tell = () => found(rows.filter((r) => !r.hidden).length, done);
  const readOn = async () => {
    while (next < rows.length) {
      const i = next++;
      await read(i);
      show(i);
      tell();
    }
  };
  return (text) => {
    words = text.toLowerCase().split(/\s+/).filter(Boolean);
    list.classList.toggle('filtered', words.length > 0);
    rows.forEach((_, i) => show(i));
    tell();
    if (words.length > 0) reading ??= Promise.all(Array.from({ length: AT_ONCE }, readOn)).then(() => { done = true; tell(); });
  };
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

// What only step.json says: the title in the reader's language, the picture, the
// operation's title. Gives what a search looks into.
async function fill(row, edition, heads) {
  const folder = `${edition}/steps/${row.dataset.folder}`;
  let step;
  try {
    step = await json(`${folder}/step.json`);
  } catch {
    row.classList.add('damaged');
    return '';
  }
  const title = row.querySelector('.title');
  if (step.title) title.textContent = said(step.title);
  if (step.title) title.lang = step.title[chosen(step.title)].lang ?? '';
  title.dir = runs(step.title);
  for (const head of heads) {
    head.dir = runs(step.operation.title);
    if (step.operation.title) head.textContent = `${step.operation.number ?? step.operation.id}  ${said(step.operation.title)}`;
  }
  if (step.picture) row.querySelector('a').append(el('img', { src: address(resolve(folder, step.picture.uri)), alt: '', width: 80, height: 60, loading: 'lazy' }));
  return told(step);
}

// All that a step is looked for by, a line each.
function told({ operation, parts = [], tools = [], hazards = [], characteristics = [], ...step }) {
  return ['', step.number, said(step.title), said(step.text), operation.number, said(operation.title),
    ...parts.flatMap((p) => [p.item, p.operation, said(p.itemTitle)]),
    ...tools.flatMap((t) => [t.id, said(t.title)]),
    ...hazards.flatMap((h) => [said(h.signalWord), said(h.hazard), said(h.consequence), said(h.avoidance)]),
    ...characteristics.flatMap((c) => [c.id, said(c.title)])].join('\n');
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
