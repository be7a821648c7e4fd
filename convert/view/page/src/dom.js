// Elements, made in one line.

/**
 * Makes an element. Attributes that are null or false are left out; "on…" are listeners;
 * children that are null or false are left out, so that they can be conditional.
 */
export function el(tag, attributes = {}, ...children) {
  const made = tag === 'svg' || SVG.has(tag) ? document.createElementNS('http://www.w3.org/2000/svg', tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value == null || value === false) continue;
    if (name.startsWith('on')) made.addEventListener(name.slice(2), value);
    else made.setAttribute(name, value === true ? '' : value);
  }
  made.append(...children.flat(Infinity).filter((child) => child != null && child !== false && child !== ''));
  return made;
}

const SVG = new Set(['path', 'circle', 'rect']);

/** A drawing of one path in a square of 24. */
export function icon(d, attributes = {}) {
  return el('svg', { viewBox: '0 0 24 24', 'aria-hidden': 'true', class: 'icon', ...attributes }, el('path', { d }));
}

/** A button that says what it does. */
export function button(label, onclick, attributes = {}, ...before) {
  return el('button', { type: 'button', onclick, ...attributes }, ...before, el('span', {}, label));
}
