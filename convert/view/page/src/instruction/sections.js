// The sections of an instruction, in the order in which the work needs them. One that
// has nothing to say is null.
import { el } from '../dom.js';
import { duration, word } from '../words.js';
import { documents } from './documents.js';
import { effectivity } from './effectivity.js';
import { parts } from './parts.js';
import { facts, list, runs, value, words } from './value.js';

/** Every section: its name, and what is in it for a step. */
export const sections = [
  ['instruction', (s) => s.text && el('div', { class: 'text', dir: runs(s.text) }, words(s.text, '/text'))],
  ['before', before],
  ['parts', (s, c) => s.parts && parts(s, c.folder, c.drawn, false, c.select)],
  ['consumables', (s, c) => s.parts && parts(s, c.folder, c.drawn, true, c.select)],
  ['tools', (s) => s.tools && rows(s.tools, (t, at) => [words(t.title, `${at}/title`), ' ', value(t.id, `${at}/id`, { class: 'item' }), validity(t, at)], '/tools')],
  ['tightening', tightening],
  ['characteristics', (s) => s.characteristics && rows(s.characteristics, characteristic, '/characteristics', 'characteristics')],
  ['signOffs', (s) => s.signOffs && rows(s.signOffs, (o, at) => [value(o.role, `${at}/role`), validity(o, at)], '/signOffs', 'todo')],
  ['evidence', (s) => s.evidence && rows(s.evidence, (e, at) => [value(word(e.kind), `${at}/kind`, { class: 'badge' }), ' ', words(e.title, `${at}/title`), validity(e, at)], '/evidence', 'todo')],
  ['attachments', (s, c) => s.attachments && documents(s.attachments, '/attachments', c.folder)],
  ['registration', registration],
  ['notCarried', (s) => s.notCarried && el('ul', { class: 'gaps' }, s.notCarried.map((n) => el('li', {}, n.message, ' ', el('small', {}, el('code', {}, n.code), n.line ? ` ${word('line')} ${n.line}` : ''))))],
];

const rows = (of, show, pointer, kind = '') => el('ul', { class: `rows ${kind}` }, of.map((row, i) => el('li', {}, show(row, `${pointer}/${i}`))));
const validity = (row, at) => row.effectivity && facts([word('validFor'), effectivity(row, at)]);

function before(step) {
  const o = step.operation;
  return facts(
    [word('operation'), [value(o.number ?? o.id, o.number ? '/operation/number' : '/operation/id'), ' ', words(o.title, '/operation/title')]],
    [word('workCentre'), value(o.workCentre, '/operation/workCentre')],
    [word('equipment'), list(o.equipment, '/operation/equipment')],
    [word('qualification'), value(o.qualification, '/operation/qualification')],
    [word('duration'), value(duration(o.plannedDuration), '/operation/plannedDuration')],
    [word('builds'), value(o.builds, '/operation/builds')],
    [word('howOften'), o.quantity && [value(o.quantity, '/operation/quantity'), ' ×']],
    [word('operation'), o.alternative && [word('oneOf'), ': ', value(o.alternative, '/operation/alternative')]],
    [word('step'), step.alternative && [word('oneOf'), ': ', value(step.alternative, '/alternative')]],
    [`${word('operation')}: ${word('validFor')}`, effectivity(o, '/operation')],
    [`${word('step')}: ${word('validFor')}`, effectivity(step, '')],
    [word('notes'), (o.notes ?? []).flatMap((n, i) => [i ? ' ' : null, words(n, `/operation/notes/${i}`)])],
    [word('status'), value(step.plan.status, '/plan/status')],
    [word('approver'), value(step.plan.approver, '/plan/approver')],
  );
}

function characteristic(c, at) {
  const symbol = () => value(c.unitSymbol ?? c.unit, `${at}/unit`, { class: 'unit' });
  const limit = (name) => c[name] != null && el('div', {}, el('dt', {}, word(name)), el('dd', {}, value(c[name], `${at}/${name}`), ' ', symbol()));
  return [
    el('p', { class: 'name' }, words(c.title, `${at}/title`), ' ', c.point && value(word(c.point), `${at}/point`, { class: 'badge strong' })),
    el('dl', { class: 'limits' }, limit('lower'), limit('nominal'), limit('upper')),
    (c.notes ?? []).map((n, i) => el('p', {}, words(n, `${at}/notes/${i}`))),
    validity(c, at),
    value(c.id, `${at}/id`, { class: 'item' }),
  ];
}

function tightening(step, c) {
  return step.tightening && el('div', { class: 'tightening' }, inTurn(step).map(({ part, places }) => [
    part >= 0 && el('p', { class: 'name' }, words(step.parts[part].itemTitle, `/parts/${part}/itemTitle`) ?? value(step.parts[part].item ?? step.parts[part].operation, `/parts/${part}/${step.parts[part].item ? 'item' : 'operation'}`)),
    el('ol', {}, places.map((i) => place(step.tightening[i], `/tightening/${i}`, c))),
  ]));
}

// The places in the order, together as long as they are of one part.
function inTurn({ tightening: all, parts = [] }) {
  const runs = [];
  all.forEach(({ occurrence }, i) => {
    const part = parts.findIndex((p) => p.occurrences?.includes(occurrence));
    if (runs.at(-1)?.part === part) runs.at(-1).places.push(i);
    else runs.push({ part, places: [i] });
  });
  return runs;
}

function place(t, at, c) {
  const what = [value(t.order, `${at}/order`, { class: 'order' }), ' ', value(t.occurrence, `${at}/occurrence`)];
  return el('li', {}, c.occurrences.has(t.occurrence)
    ? el('button', { type: 'button', class: 'pick', 'data-occurrence': t.occurrence, 'aria-pressed': 'false', onclick: () => c.selectOccurrence(t.occurrence) }, what)
    : what);
}

// What makes it doubtful whether an overlay lies right.
const doubts = { SCENE_REGISTRATION_SYMMETRIC: 'alignedTurned', SCENE_REGISTRATION_TO_COME: 'alignedLater', SCENE_REGISTRATION_HIDDEN: 'alignedHidden' };

function registration(step) {
  const r = step.registration;
  if (!r) return null;
  const number = new Intl.NumberFormat(document.documentElement.lang);
  const light = r.uri && [`${number.format(r.triangles)} ${word('triangles')}`, r.edges && `${number.format(r.edges)} ${word('edges')}`, r.deviation && `${word('deviation')} ${number.format(r.deviation)} mm`];
  const doubtful = new Set((step.notCarried ?? []).map((n) => doubts[n.code]).filter(Boolean));
  return el('p', {}, words(r.itemTitle, '/registration/itemTitle'), ' ', value(r.occurrence, '/registration/occurrence', { class: 'item' }), [...doubtful].map((key) => el('span', { class: 'gaps' }, ` – ${word(key)}`)), light && el('small', {}, ` · ${light.filter(Boolean).join(' · ')}`));
}
