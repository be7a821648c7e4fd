// Hazard statements, shown by the published conventions of ANSI Z535.6 and ISO 3864-2:
// the signal word is the plan's own, in its language; only NOTICE has no alert symbol.
import { el } from '../dom.js';
import { gravity, word } from '../words.js';
import { effectivity } from './effectivity.js';
import { runs, words } from './value.js';

export function hazards(step) {
  if (!step.hazards?.length) return null;
  return el('section', { class: 'hazards', 'aria-label': word('hazards') }, step.hazards.map((h, i) => hazard(h, `/hazards/${i}`)));
}

function hazard(h, at) {
  const level = gravity(h.signalWord);
  return el('div', { class: 'hazard', 'data-level': level, role: 'note' },
    el('p', { class: 'signal' }, level !== 'notice' && alertSymbol(), words(h.signalWord, `${at}/signalWord`)),
    el('p', { class: 'statement', dir: runs(h.hazard) },
      el('strong', {}, words(h.hazard, `${at}/hazard`)), ' ', words(h.consequence, `${at}/consequence`), ' ',
      words(h.avoidance, `${at}/avoidance`, { class: 'avoidance' }),
      h.effectivity && el('small', {}, ` ${word('validFor')} `, effectivity(h, at))));
}

// The general safety alert symbol: a triangle with an exclamation mark.
function alertSymbol() {
  return el('svg', { viewBox: '0 0 24 22', class: 'alert', role: 'img', 'aria-label': word('symbol') },
    el('path', { d: 'M12 1 23 21H1z', class: 'ground' }), el('path', { d: 'M10.700 7.500h2.600l-.5 7.200h-1.600zM10.700 16.200h2.600v2.500h-2.600z', class: 'mark' }));
}
