// The precedence of steps as lanes beside their list: a branch has a lane of its own from
// where it begins to where another step needs it.

/**
 * Lays steps into lanes. Of each row: its own lane, the lanes that come in to it from
 * above, those that pass it by, those that leave it below, and how many there are.
 */
export function lanes(steps) {
  const left = new Map(steps.map((s) => [s.id, 0])); // successors to come
  const known = new Set(left.keys());
  const before = (s) => (s.predecessors ?? []).filter((p) => known.has(p));
  for (const s of steps) for (const p of before(s)) left.set(p, left.get(p) + 1);
  const open = []; // of each lane the step whose successors it leads to, or null
  return steps.map((s) => {
    const top = open.slice();
    const into = [];
    for (const p of before(s)) {
      left.set(p, left.get(p) - 1);
      const lane = open.indexOf(p);
      if (lane < 0) continue;
      into.push(lane);
      if (left.get(p) === 0) open[lane] = null;
    }
    const ended = into.filter((lane) => open[lane] === null);
    const own = ended.length ? Math.min(...ended) : free(open);
    open[own] = left.get(s.id) > 0 ? s.id : null;
    while (open.length && open.at(-1) === null) open.pop();
    const pass = top.map((_, lane) => lane).filter((lane) => lane !== own && top[lane] !== null && open[lane] === top[lane]);
    return { own, into, pass, down: left.get(s.id) > 0, count: Math.max(top.length, own + 1, open.length) };
  });
}

function free(open) {
  const at = open.indexOf(null);
  return at < 0 ? open.length : at;
}
