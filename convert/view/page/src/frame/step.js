// One step: its hazard statements, its scene, its instruction, joined so that choosing a
// part in one chooses it in the other.
import { el } from '../dom.js';
import { bytes, json, resolve } from '../data.js';
import { hazards } from '../instruction/hazards.js';
import { sections } from '../instruction/sections.js';
import { whyButton } from '../instruction/why.js';
import { runs, words } from '../instruction/value.js';
import { ownWord, said, word } from '../words.js';

/** Reads a step's document. */
export const readStep = (edition, folder) => json(`${edition}/steps/${folder}/step.json`);

/** The instruction's sections as elements; choose is told of a part or occurrence. */
export function instruction(step, edition, folder, choose) {
  const nodes = step.scene?.nodes ?? [];
  const context = {
    folder: `${edition}/steps/${folder}`,
    drawn: new Set(nodes.map((n) => n.part).filter((p) => p != null)),
    occurrences: new Set(nodes.map((n) => n.occurrence)),
    select: (part) => choose((n) => n.part === part),
    selectOccurrence: (name) => choose((n) => n.occurrence === name),
  };
  const shown = sections.map(([name, make]) => {
    const content = make(step, context);
    if (!content) return null;
    const section = el('section', { 'data-section': name, 'aria-labelledby': `s-${name}` });
    section.append(el('header', {}, el('h2', { id: `s-${name}` }, word(name)), whyButton(edition, folder, section, word(name))), content);
    return section;
  });
  return [...shown, el('p', { class: 'precedence' }, ownWord('precedence') ?? step.precedence)];
}

/** The hazard statements, with the origins of what they say. */
export function hazardStatements(step, edition, folder) {
  const section = hazards(step);
  section?.append(whyButton(edition, folder, section, word('hazards')));
  return section;
}

export const titleOf = (step) => el('span', { dir: runs(step.title) }, words(step.title, '/title') ?? step.id);

/** Marks the rows that stand for the selected parts. */
export function markRows(panel, nodes) {
  const parts = new Set(nodes.map((n) => String(n.part)));
  const occurrences = new Set(nodes.map((n) => n.occurrence));
  for (const b of panel.querySelectorAll('button.pick')) {
    const is = b.dataset.occurrence ? occurrences.has(b.dataset.occurrence) : parts.has(b.closest('[data-part]').dataset.part);
    b.setAttribute('aria-pressed', String(is));
  }
  panel.querySelector('button.pick[aria-pressed="true"]')?.scrollIntoView({ block: 'nearest' });
}

/** Reads ahead what a step needs, so that it opens at once. */
export async function readAhead(edition, folder) {
  const step = await readStep(edition, folder);
  const needed = step.resources.filter((r) => /\.(gltf|bin)$/.test(r.uri));
  await Promise.all(needed.map((r) => bytes(resolve(`${edition}/steps/${folder}`, r.uri))));
}

/** What the picture is, and what is not in it. */
export function caption({ scene, locator: { places } = {} }) {
  if (!scene) return '';
  const number = new Intl.NumberFormat(document.documentElement.lang);
  return [
    `${number.format(scene.triangles)} ${word('triangles')}`,
    `${word('deviation')} ${number.format(scene.deviation)} mm`,
    scene.hidden?.length && `${word('hiddenParts')}: ${scene.hidden.length}`,
    scene.enclosed?.length && `${scene.enclosed.length} ${word('enclosed')}`,
    places && `${word('places')}: ${places}`,
  ].filter(Boolean).join(' · ');
}

/** What must be known of the scene before one goes by it: that nothing says where a part
    goes, that nobody drew the motion, or that it leads through something. */
export function sceneNotes({ scene, parts }) {
  const motions = scene?.motions ?? [];
  const aside = (scene?.nodes ?? []).filter((n) => !n.occurrence && n.triangles > 0).map((n) => said(parts[n.part].itemTitle) || n.name);
  const inferred = motions.filter((m) => m.from === 'inferred').map((m) => m.occurrence);
  const through = Map.groupBy(motions.filter((m) => m.through), (m) => m.through);
  return [
    aside.length > 0 && note('aside', [...new Set(aside)]),
    inferred.length > 0 && note('inferred', inferred),
    ...[...through].map(([what, led]) => note('through', led.map((m) => m.occurrence), what)),
  ].filter(Boolean);
}

const NAMED = 6;

function note(kind, names, what) {
  const first = names.slice(0, NAMED).join(', ') + (names.length > NAMED ? ` + ${names.length - NAMED}` : '');
  return el('li', { class: kind }, el('strong', {}, first), `: ${word(kind)} `, what && el('strong', {}, what));
}
