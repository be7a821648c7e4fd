// What the step consumes. A row that is drawn selects its parts in the scene, and is
// selected by them.
import { el } from '../dom.js';
import { duration, pieces, word } from '../words.js';
import { documents } from './documents.js';
import { effectivity } from './effectivity.js';
import { facts, list, value, words } from './value.js';

/** The rows of parts, for one of two lists: what the plan gives a purpose is preparation. */
export function parts(step, folder, drawn, purposed, select) {
  const rows = step.parts.map((part, i) => [part, i]).filter(([part]) => Boolean(part.purpose) === purposed);
  if (rows.length === 0) return null;
  return el('ul', { class: 'parts' }, rows.map(([part, i]) => row(part, i, folder, drawn.has(i), select)));
}

function row(part, i, folder, drawn, select) {
  const at = `/parts/${i}`;
  const title = words(part.itemTitle, `${at}/itemTitle`) ?? value(part.item, `${at}/item`) ?? value(part.operation, `${at}/operation`);
  const head = [
    el('span', { class: 'quantity' }, value(part.quantity, `${at}/quantity`), ' ', unit(part, at)),
    el('span', { class: 'name' }, title),
    el('span', { class: 'item' }, part.itemTitle && (value(part.item, `${at}/item`) ?? value(part.operation, `${at}/operation`)), part.itemRevision && [' ', value(part.itemRevision, `${at}/itemRevision`)]),
  ];
  return el('li', { 'data-part': i },
    drawn ? el('button', { type: 'button', class: 'pick', 'aria-pressed': 'false', onclick: () => select(i) }, head) : el('div', { class: 'pick still' }, head),
    part.purpose && el('p', { class: 'purpose' }, words(part.purpose, `${at}/purpose`)),
    more(part, at),
    part.documents && documents(part.documents, `${at}/documents`, folder));
}

const unit = (part, at) => value(pieces.has(part.unit) ? '×' : part.unitSymbol ?? part.unit, `${at}/unit`);

function more(part, at) {
  const capture = { lot: word('lot'), serial: word('serial') }[part.capture];
  return facts(
    [word('findNumber'), value(part.findNumber, `${at}/findNumber`)],
    [word('material'), value(part.material, `${at}/material`)],
    [word('evidence'), capture && value(capture, `${at}/capture`, { class: 'must' })],
    [word('shelfLife'), value(duration(part.shelfLife), `${at}/shelfLife`)],
    [word('references'), list(part.referenceDesignators, `${at}/referenceDesignators`)],
    [word('substitutes'), list(part.substitutes, `${at}/substitutes`)],
    [word('alternative'), value(part.alternative, `${at}/alternative`)],
    [word('total'), value(part.itemTotal, `${at}/itemTotal`)],
    [word('validFor'), effectivity(part, at)],
    [word('notes'), [...(part.notes ?? []).map((n, i) => words(n, `${at}/notes/${i}`)), ...(part.itemNotes ?? []).map((n, i) => words(n, `${at}/itemNotes/${i}`))].flatMap((n, i) => (i ? [' ', n] : [n]))],
    [word('notes'), part.partsOf && word('operationParts')],
  );
}
