// "Why?": where the values of a section come from, read from origin.json when somebody
// asks for the first time.
import { el } from '../dom.js';
import { json } from '../data.js';
import { word } from '../words.js';

const read = new Map(); // edition's folder → promise of its origins

function origins(edition) {
  if (!read.has(edition)) read.set(edition, json(`${edition}/origin.json`));
  return read.get(edition);
}

/** A button that shows and hides the origins of the values in a section. */
export function whyButton(edition, step, section, name) {
  const b = el('button', { type: 'button', class: 'why-button', 'aria-pressed': 'false', 'aria-label': `${word('why')} ${name}` }, word('why'));
  b.addEventListener('click', () => explain(edition, step, section, b));
  return b;
}

export async function explain(edition, step, section, pressed) {
  const shown = pressed.getAttribute('aria-pressed') === 'true';
  pressed.setAttribute('aria-pressed', String(!shown));
  section.querySelectorAll('.why').forEach((w) => w.remove());
  if (shown) return;
  let all;
  try {
    all = await origins(edition);
  } catch (e) {
    section.append(el('p', { class: 'why gap', role: 'alert' }, `origin.json ${word('failed')}: ${e.message}`));
    return;
  }
  if (pressed.getAttribute('aria-pressed') !== 'true') return; // asked back meanwhile
  for (const value of section.querySelectorAll('[data-at]')) {
    const answer = el('small', { class: 'why', lang: 'en', dir: 'ltr' }, origin(all, step, value.dataset.at));
    if (value.matches('.badge, .order')) value.after(answer); // these have no room
    else value.append(answer);
  }
}

function origin(all, step, pointer) {
  const found = all.steps[step]?.[pointer];
  if (!found) return word('noOrigin');
  const [line, column, rule] = found.split(':').map(Number);
  const place = line === 0 ? word('byRule') : `${all.file}:${line}:${column}`;
  return `${place} · ${all.rules[rule]}`;
}
