import { value } from './value.js';

/** The serial numbers or dates for which something holds. */
export function effectivity(of, at) {
  return of.effectivity?.flatMap((range, i) => [i ? ', ' : null,
    value(range.from ?? '', `${at}/effectivity/${i}/from`), range.from === range.to ? null : ['–', value(range.to ?? '', `${at}/effectivity/${i}/to`)]]);
}
