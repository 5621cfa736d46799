// What does the person read and type? The set-up, the card of one stake, the list, the day's progress, the sheet for paper.

/** Word of a side, from a sign: above 0 is above. */
function sideOf(off) {
  return off >= 0 ? say('above') : say('below');
}

/** A rod or length said the chosen way. */
function said(length) {
  const [first, unit] = bothWays(length, wayNow(), JOB.unit);
  return `${first} ${unit}`.trim();
}

/** A verdict as a badge: sign, word, how far, what to do. */
function badge(verdict, long) {
  const off = howFar(verdict.off, wayNow(), JOB.unit);
  const size = long ? [make('span', { class: 'off' }, off), make('span', { class: 'do' }, doOf(verdict.word))] : [];
  return make('span', { class: `verdict ${verdict.word}` }, make('b', {}, make('span', { 'aria-hidden': 'true' }, SIGNS[verdict.word]), ` ${wordOf(verdict.word)}`), ...size);
}

/** The name of the area of a stake or place. */
function areaOf(of) {
  return of.area || (of.digTo === null ? say('outside') : JOB.floors.some((f) => f.area) ? say('noArea') : '');
}

/** Everything that hangs on the set-up. */
function showLevel() {
  const setUp = standing(book);
  const text = setUp && (setUp.bench === null
    ? say('standingHeight', { hi: height(setUp.hi, JOB.unit) })
    : say('standingBench', { hi: height(setUp.hi, JOB.unit), rod: said(setUp.rod), bench: setUp.bench }));
  fillIn('standing', make('b', {}, text || say('noSetUp')), setUp ? make('span', {}, setUp.time.slice(11)) : null);
  at('standing').classList.toggle('none', !setUp);
  for (const button of document.querySelectorAll('[data-way]')) button.setAttribute('aria-pressed', String(button.dataset.way === book.way));
  for (const keys of document.querySelectorAll('.keys')) keys.hidden = book.way !== 'inches';
  for (const id of ['bench-rod', 'second-rod', 'dug-rod']) {
    at(id).inputMode = book.way === 'inches' ? 'text' : 'decimal';
    at(id).placeholder = { tenths: '5.36', inches: '5-4 3/8', metres: '1.635' }[book.way] || '';
  }
  at('hi-label').textContent = say('hiIn', { unit: unitSign() });
  at('on-bench').hidden = JOB.benches.length === 0;
  if (JOB.benches.length === 0) at('by-height').open = true;
  const others = JOB.benches.filter((b) => setUp && b.name !== setUp.bench);
  at('prove').hidden = others.length === 0;
  options('bench', JOB.benches.map((b) => [b.name, `${b.name}  ${height(b.z, JOB.unit)}${b.note ? `, ${b.note}` : ''}`]));
  options('second', others.map((b) => [b.name, `${b.name}  ${height(b.z, JOB.unit)}${b.note ? `, ${b.note}` : ''}`]));
  const last = setUp && setUp.proofs[setUp.proofs.length - 1];
  fillIn('proof-said', last ? proofSaid(last) : null);
  const head = [say('number'), say('time'), say('on'), say('rod'), 'HI', say('proof')];
  const rows = book.setUps.map((s, k) => [k + 1, s.time.slice(11), s.bench === null ? '' : s.bench, s.rod === null ? '' : said(s.rod), height(s.hi, JOB.unit),
    s.proofs.length ? s.proofs.map((p) => `${p.bench} ${proofHolds(p, JOB.unit) ? say('agrees') : say('differs')} ${p.off < 0 ? '' : '+'}${height(p.off, JOB.unit)}`).join('; ') : say('notProved')]);
  fillIn('set-ups', ...(rows.length ? [make('h3', {}, say('setUps')), table(head, rows)] : []));
  showDials();
}

/** A proof in words and colour. */
function proofSaid(proof) {
  const holds = proofHolds(proof, JOB.unit);
  const even = eighths(proof.off, JOB.unit) === 0 && Math.abs(proof.off) < TIE;
  const where = even ? say('comesOutEven', { bench: proof.bench }) : say('comesOut', { bench: proof.bench, off: howFar(proof.off, wayNow(), JOB.unit), side: sideOf(proof.off) });
  return make('p', { class: `verdict ${holds ? 'ok' : 'bad'}` }, make('b', {}, `${holds ? SIGNS.ok : '\u2715'} ${holds ? say('agrees') : say('differs')}`), make('span', { class: 'do' }, holds ? where : `${where} ${say('stopProve')}`));
}

/** Choices of a select; the one chosen stays. */
function options(id, pairs) {
  const was = at(id).value;
  fillIn(id, ...pairs.map(([value, text]) => make('option', { value }, text)));
  if (pairs.some(([value]) => value === was)) at(id).value = was;
}

/** A table of text and elements. */
function table(head, rows) {
  return make('div', { class: 'wide', tabindex: '0', role: 'group', 'aria-label': head.filter(Boolean).join(', ') }, make('table', {}, make('thead', {}, make('tr', {}, ...head.map((h) => make('th', { scope: 'col' }, h)))),
    make('tbody', {}, ...rows.map((row) => make('tr', {}, ...row.map((c) => make('td', {}, c)))))));
}

/** Dials of the slope laser, area by area. */
function showDials() {
  const placed = JOB.benches.filter((b) => b.at);
  const bench = placed.find((b) => standing(book) && b.name === standing(book).bench) || placed[0];
  const parts = JOB.floors.map((floor) => {
    const title = make('h3', {}, floor.area || JOB.job);
    if (!floor.plane) return make('div', {}, title, make('p', {}, say('noDials')));
    const [north, east] = floor.plane.rise.map((r) => -100 * r);
    const fall = (percent, up, down) => {
      const size = fixed(Math.abs(percent), 2);
      return make('b', {}, Number(size) === 0 ? say('noFall', { percent: size, side: up }) : say('falls', { percent: size, side: percent < 0 ? down : up }));
    };
    const deeper = JOB.stakes.filter((s) => s.area === floor.area && s.digTo < subgradeOf(floor, ...s.at) + floor.up - LOWER).map((s) => s.name);
    const below = bench ? planeBelow(floor, bench) : null;
    const id = `dial-${JOB.floors.indexOf(floor)}`;
    const input = make('input', { id, autocomplete: 'off', inputmode: book.way === 'inches' ? 'text' : 'decimal' });
    const result = make('output', { for: id, class: 'one-rod' });
    input.addEventListener('input', () => {
      const rod = book.way ? readRod(input.value, book.way, JOB.unit) : null;
      result.replaceChildren(rod === null ? (book.way ? '' : say('wayFirst')) : `${say('oneRod', { area: floor.area || JOB.job })}: ${bothWays(rod + below, wayNow(), JOB.unit).slice(0, 2).join(' ').trim()}`);
    });
    return make('div', {}, title, make('p', {}, fall(north, say('north'), say('south')), ', ', fall(east, say('east'), say('west'))),
      below === null ? null : make('label', {}, make('span', {}, say('dialRod', { bench: bench.name })), input), below === null ? null : result,
      deeper.length ? make('p', { class: 'small' }, say('someDeeper', { stakes: deeper.join(', ') })) : null);
  });
  fillIn('dial-rows', make('p', { class: 'small' }, say('dialsHow')), ...parts, bench ? null : make('p', {}, say('noPlacedBench')));
}

/** The card of the stake or place chosen. */
function showCard() {
  const stake = chosen && chosen.stake;
  at('card').classList.toggle('empty', !chosen);
  at('card-title').textContent = stake ? stake.name : chosen ? say('aPlace') : say('tapFirst');
  const here = chosen && (stake || chosen.dig);
  const place = chosen && !stake ? `  N ${fixed(chosen.at[0], 1)}  E ${fixed(chosen.at[1], 1)}` : '';
  at('card-area').textContent = here ? `${areaOf(here)}${place}` : '';
  const guards = !chosen ? [] : stake ? stake.keepOff.map(sayRemark) : keptOff(JOB, ...chosen.at).map((k) => (k.what === 'utility' ? say('sayHand', { what: k.name }) : say('sayRoots', { what: k.name })));
  at('keep-off').hidden = guards.length === 0;
  fillIn('keep-offs', ...guards.map((g) => make('li', {}, g)));
  fillIn('numbers', ...(here ? numbersOf(here) : []));
  fillIn('more', here ? heightsOf(here) : null);
  const dug = Boolean(here && here.digTo !== null && standing(book));
  at('dug').hidden = !dug;
  const verdict = stake && verdictOf(book, stake, JOB.tolerance);
  const shot = stake && book.shots[stake.name];
  fillIn('verdict', ...(verdict ? [badge(verdict, true), make('p', { class: 'small' }, shot.setUp === null ? say('shotRead', { height: height(shot.elevation, JOB.unit) }) : say('shotFrom', { height: height(shot.elevation, JOB.unit), number: shot.setUp + 1 }))] : []));
  at('take-back').hidden = !verdict;
  fillIn('remarks', ...(stake ? stake.notes.map((n) => make('li', {}, sayRemark(n))) : []));
}

/** One big number, its unit, and the same the other way. */
function big(label, length, kind) {
  const [first, unit, second, other] = bothWays(length, wayNow(), JOB.unit);
  return make('div', { class: `big ${kind}${first.length > 6 ? ' long' : ''}` }, make('span', { class: 'label' }, label), make('b', { id: `${kind}-number` }, first), make('i', {}, unit), make('span', { class: 'second' }, `${second} ${other}`.trim()));
}

/** The numbers of a stake or place. */
function numbersOf(here) {
  const out = [];
  if (here.digTo === null) {
    out.push(make('p', {}, here.existing === null ? say('unknown') : say('onlyExisting')));
  } else {
    const rod = rodFor(standing(book), here.digTo);
    if (rod === null) out.push(make('p', { class: 'need' }, say('needSetUp')));
    else out.push(big(say('rodToDig'), rod, 'rod'));
    if (rod !== null && rod < 0) out.push(make('p', { class: 'need' }, say('aboveSight')));
    const cut = here.existing === null ? null : here.existing - here.digTo;
    if (cut !== null) out.push(big(cut < 0 ? say('fill') : say('cut'), Math.abs(cut), 'cut'));
  }
  return out;
}

/** How far below each bench, and the heights themselves. */
function heightsOf(here) {
  const rows = here.digTo === null ? [] : JOB.benches.map((b) => {
    const drop = b.z - here.digTo;
    const [first, unit, second, other] = bothWays(Math.abs(drop), wayNow(), JOB.unit);
    return [drop < 0 ? say('above1', { bench: b.name }) : say('below1', { bench: b.name }), `${first} ${unit}`, `${second} ${other}`];
  });
  if (here.digTo !== null) rows.push([say('digTo'), height(here.digTo, JOB.unit), '']);
  if (here.existing !== null) rows.push([say('existing'), height(here.existing, JOB.unit), '']);
  return make('dl', {}, ...rows.map(([name, first, second]) => make('div', {}, make('dt', {}, name), make('dd', {}, make('b', {}, first), second ? ` ${second}` : ''))));
}

/** The stakes the list shows, in walking order. */
function listed() {
  const [text, area, kind] = [at('search').value.trim().toLowerCase(), at('area').value, at('show').value];
  return JOB.stakes.filter((s) => {
    const verdict = verdictOf(book, s, JOB.tolerance);
    const state = kind === '' || (kind === 'to-do' ? s.digTo !== null && !verdict : kind === 'out' ? verdict && verdict.word !== 'ok' : verdict && verdict.word === kind);
    return state && (area === '' || (area === '-' ? !s.area : s.area === area.slice(1))) && s.name.toLowerCase().includes(text);
  });
}

/** The list. */
function showList() {
  const names = JOB.floors.map((f) => f.area).filter(Boolean);
  at('area-label').hidden = names.length === 0;
  options('area', [['', say('allAreas')], ...names.map((n) => [`=${n}`, n]), ['-', say('noArea')]]);
  options('show', [['', say('allStakes')], ['to-do', say('toDo')], ['out', say('outOf')], ['high', say('high')], ['low', say('low')], ['ok', say('ok')]]);
  const stakes = listed();
  at('found').textContent = stakes.length ? say('found', { count: stakes.length, all: JOB.stakes.length }) : say('none');
  fillIn('list', ...stakes.map((s) => {
    const rod = rodFor(standing(book), s.digTo);
    const verdict = verdictOf(book, s, JOB.tolerance);
    const cut = s.digTo === null || s.existing === null ? null : s.existing - s.digTo;
    const way = wayNow();
    const button = make('button', { type: 'button', 'aria-current': chosen && chosen.stake === s ? 'true' : null },
      make('span', { class: 'name' }, s.name, s.keepOff.length ? make('em', {}, ` ! ${say('keepOff')}`) : null),
      make('span', { class: 'where' }, areaOf(s)),
      make('span', { class: 'cut' }, cut === null ? '' : `${cut < 0 ? say('fill') : say('cut')} ${bothWays(Math.abs(cut), way, JOB.unit)[0]}`),
      make('span', { class: 'rod' }, rod === null ? '' : make('small', {}, `${say('rod')} `), rod === null ? '' : bothWays(rod, way, JOB.unit)[0]),
      verdict ? badge(verdict, false) : null);
    button.addEventListener('click', () => { chooseStake(s); show('dig'); });
    return make('li', {}, button);
  }));
}

/** Progress, the mean, what is worst. */
function showDone() {
  const t = tally(JOB, book);
  const part = t.dug ? Math.round((100 * t.shot) / t.dug) : 0;
  const bar = make('progress', { max: 100, value: part, 'aria-label': say('progress') });
  const mean = t.mean === null ? say('meanNone') : say('mean', { off: howFar(t.mean, wayNow(), JOB.unit), side: sideOf(t.mean), spread: howFar(t.spread, wayNow(), JOB.unit) });
  fillIn('counts', make('p', { class: 'big-count' }, say('counts', { shot: t.shot, dug: t.dug })), bar,
    make('p', { class: 'tally' }, ...['ok', 'high', 'low'].map((w) => make('span', { class: `verdict ${w}` }, make('b', {}, `${SIGNS[w]} ${wordOf(w)} ${t[w]}`)))), make('p', {}, mean));
  fillIn('slips', ...t.slips.map((s) => make('p', { class: 'warn' }, say('slip', { number: s.setUp + 1, count: s.count, side: s.by > 0 ? say('high') : say('low'), off: howFar(s.by, wayNow(), JOB.unit) }))));
  const worst = t.worst.slice(0, 8).map(({ stake, verdict }) => {
    const button = make('button', { type: 'button' }, make('span', { class: 'name' }, stake.name), badge(verdict, true));
    button.addEventListener('click', () => { chooseStake(stake); show('dig'); });
    return make('li', {}, button);
  });
  fillIn('worst', ...(t.shot === 0 ? [] : [make('h3', {}, say('worst')), worst.length ? make('ol', { class: 'worst' }, ...worst) : make('p', {}, say('noneOut'))]));
  at('as-text').value = bookToTable(JOB, book);
  at('keeping').textContent = cannot ? say('cannotKeep') : say('keepingHere');
  at('cannot-keep').hidden = !cannot;
}

/** The sheet for paper: every stake in a row, with room to write. */
function showSheet() {
  const [way, setUp] = [wayNow(), standing(book)];
  const first = (length) => (length === null ? '' : bothWays(length, way, JOB.unit)[0]);
  const head = [say('stake'), say('area'), say('cut'), '', ...JOB.benches.map((b) => say('below1', { bench: b.name })), setUp ? `${say('rod')} (HI ${height(setUp.hi, JOB.unit)})` : `${say('rod')} (HI ______)`, say('asDug'), say('result'), say('remarks')];
  const rows = JOB.stakes.filter((s) => s.digTo !== null).map((s) => {
    const verdict = verdictOf(book, s, JOB.tolerance);
    const cut = s.existing === null ? null : s.existing - s.digTo;
    const [, , second] = cut === null ? [] : bothWays(Math.abs(cut), way, JOB.unit);
    return [make('b', {}, s.name), areaOf(s), cut === null ? '' : `${cut < 0 ? 'F ' : 'C '}${first(Math.abs(cut))}`, second || '', ...JOB.benches.map((b) => first(b.z - s.digTo)),
      make('b', {}, first(rodFor(setUp, s.digTo))), verdict ? height(book.shots[s.name].elevation, JOB.unit) : '', verdict ? `${wordOf(verdict.word)} ${howFar(verdict.off, way, JOB.unit)}` : '',
      [...s.keepOff.map((k) => `${say('keepOff')}: ${sayRemark(k)}`), ...s.notes.map(sayRemark)].join('; ')];
  });
  fillIn('sheet-rows', table(head, rows));
}
