// Where is it? The plan, to look at from near and far, and what was tapped on it.
//
// Drawn in job units, east to the right and north up; stakes, names and signs keep their size on the glass at every zoom. A tap within
// 26 px of a stake means the stake; a second tap on the same spot the next one that stands there; anywhere else the place itself.

const NEAR = 26;
const glass = { k: 1, n: 0, e: 0, home: null, stakes: [] };
/** Middle distance of a stake to its nearest neighbour. */
const PACE = paceOf(JOB.stakes.map((s) => s.at));

function paceOf(places) {
  const nearest = places.map((p) => places.reduce((least, q) => { const d = Math.hypot(p[0] - q[0], p[1] - q[1]); return d > 0 && d < least ? d : least; }, Infinity));
  return nearest.filter(Number.isFinite).sort((a, b) => a - b)[Math.floor(nearest.length / 2)] || 1;
}

/** Everything there is to see, in northing and easting. */
function extent() {
  const places = JOB.stakes.map((s) => s.at).concat(JOB.floors.flatMap((f) => f.rings.flat()), JOB.benches.filter((b) => b.at).map((b) => b.at));
  const [ns, es] = [places.map((p) => p[0]), places.map((p) => p[1])];
  const of = (f, list) => list.reduce((a, b) => f(a, b), list[0] || 0);
  return [of(Math.min, ns), of(Math.max, ns), of(Math.min, es), of(Math.max, es)];
}

/** A path of rings. */
function path(rings, closed) {
  return rings.map((r) => `M${r.map(([n, e]) => `${e} ${-n}`).join('L')}${closed ? 'Z' : ''}`).join('');
}

/** A thing that keeps its size: drawn about its own place. */
function pinned(n, e, attributes, ...inside) {
  const g = make('g', attributes, ...inside);
  glass.stakes.push({ g, n, e });
  return g;
}

/** The sign of a stake: what is to be done there tells itself by shape as well as colour. */
function signOf(stake) {
  const verdict = verdictOf(book, stake, JOB.tolerance);
  if (verdict && verdict.word === 'high') return make('path', { d: 'M0-10L10 8H-10Z', class: 'sign high' });
  if (verdict && verdict.word === 'low') return make('path', { d: 'M0 10L10-8H-10Z', class: 'sign low' });
  if (verdict) return make('circle', { r: 9, class: 'sign ok' });
  return make('circle', { r: stake.digTo === null ? 4 : 7, class: stake.digTo === null ? 'sign outside' : 'sign to-do' });
}

/** Draws the plan afresh. */
function drawPlan() {
  glass.stakes = [];
  const floors = JOB.floors.map((f, k) => make('path', { d: path(f.rings, true), class: `floor tone-${k % 4}` }));
  const rims = (JOB.overDig || []).map((r) => make('path', { d: path([r], true), class: 'rim' }));
  const guards = JOB.keepOff.map((k) => {
    if (k.what === 'root circle') return make('circle', { cx: k.line[0][1], cy: -k.line[0][0], r: k.radius, class: 'guard' });
    const wide = k.what === 'utility' ? make('path', { d: path([k.line], false), class: 'guard-wide', 'stroke-width': 2 * k.radius }) : null;
    return make('g', {}, ...[wide, make('path', { d: path([k.line], false), class: 'guard-line' })].filter(Boolean));
  });
  const pipes = JOB.drains.map((d) => make('path', { d: path([d.ends], false), class: d.holes ? 'pipe' : 'pipe solid' }));
  const names = JOB.labels.map((l) => pinned(l.at[0], l.at[1], { class: 'area-name' }, make('text', {}, l.code)));
  const warned = JOB.keepOff.map((k) => {
    // In the middle of its longest stretch.
    const stretches = k.line.slice(1).map((b, i) => [k.line[i], b]).sort((a, b) => Math.hypot(b[0][0] - b[1][0], b[0][1] - b[1][1]) - Math.hypot(a[0][0] - a[1][0], a[0][1] - a[1][1]));
    const middle = stretches.length ? [0, 1].map((i) => (stretches[0][0][i] + stretches[0][1][i]) / 2) : k.line[0];
    return pinned(middle[0], middle[1], { class: 'guard-name' }, make('text', { y: 19 }, k.name));
  });
  const benches = JOB.benches.filter((b) => b.at).map((b) => pinned(b.at[0], b.at[1], { class: 'bench' }, make('path', { d: 'M-8-8H8V8H-8ZM-8-8L8 8M8-8L-8 8' }), make('text', { y: 24 }, b.name)));
  const stakes = JOB.stakes.map((s) => pinned(s.at[0], s.at[1], { class: s.keepOff.length ? 'stake guarded' : 'stake' },
    s.keepOff.length ? make('circle', { r: 14, class: 'guard-ring' }) : null, signOf(s), make('text', { y: -13, 'data-name': true }, s.name)));
  const here = pinned(0, 0, { id: 'here', visibility: 'hidden' }, make('path', { d: 'M0-30V-16M0 30V16M-30 0H-16M30 0H16', class: 'halo' }), make('circle', { r: 19, class: 'halo' }), make('path', { d: 'M0-30V-16M0 30V16M-30 0H-16M30 0H16' }), make('circle', { r: 19 }));
  fillIn('drawing', ...floors, ...rims, ...guards, ...pipes, ...names, ...warned, ...benches, ...stakes, here);
  markChosen();
  fillIn('key', ...[['to-do', '\u25CB', say('keyToDo')], ['high', SIGNS.high, say('high')], ['low', SIGNS.low, say('low')], ['ok', '\u25CF', say('ok')]]
    .map(([kind, sign, word]) => make('span', { class: `key ${kind}` }, make('b', { 'aria-hidden': 'true' }, sign), ` ${word}`)));
}

/** Shows the plan at its zoom, and hides names that would lie on each other or on a sign. */
function look() {
  const box = at('drawing').getBoundingClientRect();
  if (box.width === 0) return;
  const [w, h] = [box.width / glass.k, box.height / glass.k];
  at('drawing').setAttribute('viewBox', `${glass.e - w / 2} ${-glass.n - h / 2} ${w} ${h}`);
  // Signs shrink where the stakes come close on the glass, to six tenths at most; their names grow smaller once, not more.
  const size = Math.min(1, Math.max(0.6, (PACE * glass.k) / 36));
  at('drawing').classList.toggle('tight', size < 1);
  const [letter, lift] = size < 1 ? [4.2, 8] : [5, 11];
  const signs = glass.stakes.filter(({ g }) => g.classList.contains('stake')).map(({ n, e }) => [e * glass.k, -n * glass.k]);
  const taken = [];
  for (const { g, n, e } of glass.stakes) {
    g.setAttribute('transform', `translate(${e} ${-n}) scale(${(g.classList.contains('stake') ? size : 1) / glass.k})`);
    const name = g.querySelector('[data-name]');
    if (!name) continue;
    name.setAttribute('transform', `scale(${1 / size})`);
    name.setAttribute('y', String(-8 * size - 4));
    const [x, y, half] = [e * glass.k, -n * glass.k - 8 * size - lift, letter * name.textContent.length + 3];
    const clear = (t, wide, high) => Math.abs(t[0] - x) > wide || Math.abs(t[1] - y) > high;
    const free = taken.every((t) => clear(t, t[2] + half, 15)) && signs.every((s) => clear(s, half + 5 * size, 4 + 6 * size));
    name.setAttribute('visibility', free ? 'visible' : 'hidden');
    if (free) taken.push([x, y, half]);
  }
}

/** The whole plan in view. */
function lookAtAll() {
  const box = at('drawing').getBoundingClientRect();
  if (box.width === 0) return;
  const [south, north, west, east] = extent();
  glass.k = Math.min(Math.max(box.width - 104, 40) / Math.max(east - west, 1e-3), Math.max(box.height - 60, 40) / Math.max(north - south, 1e-3));
  // The buttons stand on the right.
  [glass.n, glass.e, glass.home] = [(south + north) / 2, (west + east) / 2 + 34 / glass.k, glass.k];
  look();
}

/** Nearer by a factor, the place under (x, y) of the glass held still. */
function zoom(factor, x, y) {
  const box = at('drawing').getBoundingClientRect();
  const [dx, dy] = [x === undefined ? 0 : x - box.left - box.width / 2, y === undefined ? 0 : y - box.top - box.height / 2];
  const k = Math.min(Math.max(glass.k * factor, glass.home / 2), glass.home * 40);
  glass.e += dx / glass.k - dx / k;
  glass.n -= dy / glass.k - dy / k;
  glass.k = k;
  look();
}

/** Moves the plan by so many pixels. */
function pan(dx, dy) {
  glass.e -= dx / glass.k;
  glass.n += dy / glass.k;
  look();
}

/** Puts the mark on what is chosen, and into view if it is not. */
function markChosen() {
  const mark = glass.stakes.find((s) => s.g.id === 'here');
  if (!mark || !chosen) return;
  [mark.n, mark.e] = chosen.at;
  mark.g.setAttribute('visibility', 'visible');
  const box = at('drawing').getBoundingClientRect();
  const far = Math.abs((mark.e - glass.e) * glass.k) > box.width / 2 - 30 || Math.abs((mark.n - glass.n) * glass.k) > box.height / 2 - 30;
  if (far && box.width > 0) [glass.n, glass.e] = chosen.at;
  look();
}

/** What a tap at (x, y) of the glass means. */
function tapped(x, y) {
  const box = at('drawing').getBoundingClientRect();
  const e = glass.e + (x - box.left - box.width / 2) / glass.k;
  const n = glass.n - (y - box.top - box.height / 2) / glass.k;
  const off = (s) => Math.hypot(s.at[0] - n, s.at[1] - e) * glass.k;
  const near = JOB.stakes.filter((s) => off(s) <= NEAR).sort((a, b) => off(a) - off(b));
  if (!near.length) return choosePlace(n, e);
  const there = near.filter((s) => s.at[0] === near[0].at[0] && s.at[1] === near[0].at[1]);
  return chooseStake(there[(there.indexOf(chosen && chosen.stake) + 1) % there.length]);
}

/** Fingers, mouse, wheel and keys. */
function listenToPlan() {
  const [svg, down] = [at('drawing'), new Map()];
  let [moved, apart] = [0, 0];
  const spread = () => { const [a, b] = [...down.values()]; return Math.hypot(a.x - b.x, a.y - b.y); };
  svg.addEventListener('pointerdown', (event) => {
    if (down.size === 0) moved = 0;
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    svg.setPointerCapture(event.pointerId);
    if (down.size === 2) apart = spread();
  });
  svg.addEventListener('pointermove', (event) => {
    const last = down.get(event.pointerId);
    if (!last) return;
    const [dx, dy] = [event.clientX - last.x, event.clientY - last.y];
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    moved += Math.hypot(dx, dy);
    if (down.size === 2) {
      const [a, b] = [...down.values()];
      const wide = spread();
      zoom(wide / apart, (a.x + b.x) / 2, (a.y + b.y) / 2);
      apart = wide;
    }
    // A glove is never still: the first few pixels are a tap.
    if (moved > 8) pan(dx / down.size, dy / down.size);
  });
  const up = (event) => {
    const was = down.size;
    if (!down.delete(event.pointerId)) return;
    if (event.type === 'pointerup' && was === 1 && moved <= 8) tapped(event.clientX, event.clientY);
    if (was === 2) moved = Infinity;
  };
  svg.addEventListener('pointerup', up);
  svg.addEventListener('pointercancel', up);
  svg.addEventListener('wheel', (event) => {
    event.preventDefault();
    zoom(1.0015 ** -event.deltaY, event.clientX, event.clientY);
  }, { passive: false });
  svg.addEventListener('keydown', (event) => {
    const keys = {
      ArrowLeft: () => pan(60, 0), ArrowRight: () => pan(-60, 0), ArrowUp: () => pan(0, 60), ArrowDown: () => pan(0, -60),
      '+': () => zoom(1.4), '=': () => zoom(1.4), '-': () => zoom(1 / 1.4), 0: () => lookAtAll(),
      Enter: () => { const box = svg.getBoundingClientRect(); tapped(box.left + box.width / 2, box.top + box.height / 2); },
    };
    if (!keys[event.key]) return;
    event.preventDefault();
    keys[event.key]();
  });
  at('nearer').addEventListener('click', () => zoom(1.6));
  at('farther').addEventListener('click', () => zoom(1 / 1.6));
  at('all').addEventListener('click', lookAtAll);
}
