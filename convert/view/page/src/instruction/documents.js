// Documents: pictures and film in place, anything else as a link.
import { el } from '../dom.js';
import { address, resolve } from '../data.js';
import { said, word } from '../words.js';
import { effectivity } from './effectivity.js';
import { words } from './value.js';

/** What a document is shown as, by the type that its content was found to have. */
const SHOWN = {
  image: (src, title) => el('a', { href: src, target: '_blank', rel: 'noopener' }, el('img', { src, alt: title, loading: 'lazy' })),
  video: (src, title) => el('video', { src, controls: true, preload: 'metadata', 'aria-label': title }),
};

export function documents(rows, pointer, folder) {
  return el('ul', { class: 'documents' }, rows.map((row, i) => el('li', {}, one(row, `${pointer}/${i}`, folder))));
}

function one(row, at, folder) {
  const title = said(row.title) || row.file;
  const caption = el('span', {}, words(row.title, `${at}/title`) ?? el('span', { 'data-at': `${at}/file` }, row.file),
    row.effectivity && el('small', {}, ` ${word('validFor')} `, effectivity(row, at)));
  if (!row.uri) return el('p', { class: 'gap' }, caption, ' — ', word('missingFile'));
  const src = address(resolve(folder, row.uri));
  const show = SHOWN[row.type.split('/')[0]];
  if (show) return el('figure', {}, show(src, title), el('figcaption', {}, caption));
  return el('a', { href: src, target: '_blank', rel: 'noopener', class: 'document' }, caption, el('small', {}, kind(row)));
}

const kind = (row) => `${row.type.split('/')[1].toUpperCase()}, ${Math.max(1, Math.round(row.bytes / 1024))} kB`;
