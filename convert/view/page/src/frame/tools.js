// The tools below the scene.
import { el, button, icon } from '../dom.js';
import { word } from '../words.js';

const PLAY = 'M7 4v16l13-8z';
const PAUSE = 'M6 4h4v16H6zM14 4h4v16h-4z';

/** Makes the tools of a stage; refresh() shows what is so now. */
export function tools(stage, act) {
  const play = el('button', { type: 'button', class: 'play', onclick: act.play }, icon(PLAY), el('span', {}, word('play')));
  const slider = (key, oninput, attributes = {}) => el('label', { class: 'slider' }, el('span', {}, word(key)), el('input', { type: 'range', min: 0, max: 1000, value: 0, id: key, oninput: (e) => oninput(e.target.value / 1000), ...attributes }));
  const scrub = slider('scrub', (share) => { stage.motion?.set(share * stage.motion.length); stage.invalidate(); });
  scrub.classList.add('motion');
  const explode = slider('explode', (share) => stage.explode(share));
  const toggle = (key, onclick) => button(word(key), onclick, { 'aria-pressed': 'false', 'data-tool': key });
  const focusOnly = toggle('focusOnly', act.focusOnly);
  const everything = toggle('everything', act.everything);
  const materials = toggle('materials', () => { stage.set({ ownColours: !stage.options.ownColours }); refresh(); });
  const locator = toggle('locator', () => { stage.locator.on = !stage.locator.on; stage.invalidate(); refresh(); });
  const edges = toggle('alignedEdges', act.edges);
  const reset = button(word('resetView'), act.reset, { 'data-tool': 'resetView' });
  const axis = el('select', { id: 'section', onchange: () => cut() }, ['', 'x', 'y', 'z'].map((a) => el('option', { value: a }, a ? a.toUpperCase() : word('none'))));
  const at = slider('cutAt', () => cut(), { value: 500 });
  const cut = () => { stage.cut(axis.value, at.querySelector('input').value / 1000); refresh(); };

  function refresh() {
    const m = stage.motion;
    const some = Boolean(m?.some);
    for (const part of [play, scrub.querySelector('input')]) part.disabled = !some;
    play.replaceChildren(icon(m?.playing ? PAUSE : PLAY), el('span', {}, word(m?.playing ? 'pause' : 'play')));
    scrub.querySelector('input').value = some ? 1000 * m.time / m.length : 0;
    focusOnly.setAttribute('aria-pressed', String(stage.options.focusOnly));
    materials.setAttribute('aria-pressed', String(stage.options.ownColours));
    everything.setAttribute('aria-pressed', String(Boolean(act.whole())));
    everything.hidden = !act.hasWhole;
    locator.hidden = !stage.locator.scene;
    locator.setAttribute('aria-pressed', String(stage.locator.on));
    at.hidden = axis.value === '';
    edges.hidden = !act.aligned();
    edges.setAttribute('aria-pressed', String(stage.edges.on));
    if (!stage.model) explode.querySelector('input').value = 0;
  }
  // What shows the scene otherwise: always there where there is room, else unfolded.
  const others = el('div', { class: 'others', id: 'others' },
    explode, el('label', { class: 'slider' }, el('span', {}, word('section')), axis), at, focusOnly, locator, edges, materials, reset);
  const unfold = button(word('view'), () => unfold.setAttribute('aria-expanded', String(others.classList.toggle('unfolded'))), { class: 'unfold', 'aria-expanded': 'false', 'aria-controls': 'others' });
  const element = el('div', { class: 'controls', role: 'group', 'aria-label': word('scene') }, play, scrub, everything, unfold, others);
  return { element, refresh, rest: () => { explode.querySelector('input').value = 0; } };
}
