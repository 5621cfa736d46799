// What happens when something is touched? The page's state, and the way from every button to it.

let { book, cannot } = kept(JOB);
/** `{ at, stake }` or `{ at, dig }`, or nothing yet. */
let chosen = null;

/** Keeps the book and shows everything afresh. */
function changed() {
  cannot = !keep(JOB, book);
  showAll();
}

/** Shows everything. */
function showAll() {
  sayAll();
  const tolerance = { high: howFar(JOB.tolerance.high, wayNow(), JOB.unit), low: howFar(JOB.tolerance.low, wayNow(), JOB.unit), usual: JOB.tolerance.said ? '' : say('usual') };
  at('said-of-job').textContent = say('saidOfJob', { unit: unitSign(), ...tolerance });
  showLevel();
  drawPlan();
  showCard();
  showList();
  showDone();
  showSheet();
}

/** Goes to a part of the page. On a wide screen all of them are there already. */
function show(view) {
  document.body.dataset.view = view;
  for (const button of document.querySelectorAll('[data-go]')) {
    if (button.dataset.go === view) button.setAttribute('aria-current', 'page');
    else button.removeAttribute('aria-current');
  }
  if (view === 'dig') {
    if (glass.home === null) lookAtAll();
    markChosen();
    window.scrollTo(0, 0);
  }
}

function chooseStake(stake) {
  chosen = { at: stake.at, stake };
  at('dug-rod').value = '';
  showCard();
  showList();
  markChosen();
}

function choosePlace(n, e) {
  chosen = { at: [n, e], dig: digAt(JOB, n, e) };
  at('dug-rod').value = '';
  showCard();
  markChosen();
}

/** The next stake a person walks to, or the one before; what is not dug is passed by. */
function walk(step) {
  const dug = JOB.stakes.filter((s) => s.digTo !== null);
  if (!dug.length) return;
  const k = dug.indexOf(chosen && chosen.stake);
  chooseStake(k < 0 ? dug[0] : dug[(k + step + dug.length) % dug.length]);
}

/** The rod typed in a field, or null with the reason put where it is heard. */
function typedRod(id, told) {
  const text = at(id).value;
  const rod = book.way ? readRod(text, book.way, JOB.unit) : null;
  const why = { tenths: () => say('badTenths', { text }), inches: () => say('badInches', { text }), metres: () => say('badMetres', { text }) };
  if (rod === null) {
    fillIn(told, make('span', { class: 'bad' }, book.way ? why[book.way]() : say('wayFirst')));
    at(id).setAttribute('aria-invalid', 'true');
    at(id).focus();
  } else at(id).removeAttribute('aria-invalid');
  return rod;
}

/** A new set-up; an HI that no rod could read to is asked about. */
function setUp(made) {
  book.setUps.push(made);
  changed();
  at('level-said').textContent = say('nowHi', { number: book.setUps.length, hi: height(made.hi, JOB.unit) });
  // The longest rods in common use: 16 ft, 5 m.
  const limit = JOB.unit === 'm' ? 5 : 16;
  const far = JOB.stakes.find((s) => s.digTo !== null && (made.hi - s.digTo < 0 || made.hi - s.digTo > limit));
  if (far) at('level-said').append(' ', make('span', { class: 'bad' }, say('farHi', { rod: said(made.hi - far.digTo), stake: far.name })));
}

function onSubmit(id, act) {
  at(id).addEventListener('submit', (event) => {
    event.preventDefault();
    act();
  });
}

onSubmit('on-bench', () => {
  const rod = typedRod('bench-rod', 'level-said');
  const bench = JOB.benches.find((b) => b.name === at('bench').value);
  if (rod === null || !bench) return;
  at('bench-rod').value = '';
  setUp(setUpOn(bench, rod, now()));
});

onSubmit('at-height', () => {
  const hi = readHeight(at('hi').value);
  if (hi === null) {
    fillIn('level-said', make('span', { class: 'bad' }, say('badHeight', { text: at('hi').value })));
    return;
  }
  at('hi').value = '';
  setUp(setUpAt(hi, now()));
});

onSubmit('prove', () => {
  const rod = typedRod('second-rod', 'proof-said');
  const bench = JOB.benches.find((b) => b.name === at('second').value);
  if (rod === null || !bench) return;
  at('second-rod').value = '';
  standing(book).proofs.push(proofOn(standing(book), bench, rod, now()));
  changed();
});

onSubmit('dug', () => {
  const rod = typedRod('dug-rod', 'verdict');
  if (rod === null || !standing(book)) return;
  if (chosen.stake) {
    keepShot(book, chosen.stake.name, rod, now());
    changed();
  } else {
    fillIn('verdict', badge(judge(standing(book).hi - rod, chosen.dig.digTo, JOB.tolerance), true), make('p', { class: 'small' }, say('notKept')));
  }
  at('dug-rod').value = '';
  at('verdict').scrollIntoView({ block: 'nearest' });
});

at('take-back').addEventListener('click', () => {
  delete book.shots[chosen.stake.name];
  changed();
});
at('before').addEventListener('click', () => walk(-1));
at('next').addEventListener('click', () => walk(1));

for (const button of document.querySelectorAll('[data-way]')) {
  button.addEventListener('click', () => {
    book.way = button.dataset.way;
    fillIn('level-said');
    changed();
  });
}
for (const button of document.querySelectorAll('[data-go]')) button.addEventListener('click', () => show(button.dataset.go));
at('standing').addEventListener('click', () => { show('level'); at('level').scrollIntoView(); });
at('language').addEventListener('click', () => {
  language = language === 'en' ? 'es' : 'en';
  showAll();
});
// A phone's number pad has no hyphen and no stroke.
for (const keys of document.querySelectorAll('.keys')) {
  const input = at(keys.dataset.for);
  for (const key of ['-', '1/8', '1/4', '3/8', '1/2', '5/8', '3/4', '7/8']) {
    const button = make('button', { type: 'button' }, key);
    button.addEventListener('click', () => { input.value += key === '-' || /[-\s]$/.test(input.value) ? key : ` ${key}`; });
    keys.append(button);
  }
}
at('search').addEventListener('input', showList);
at('area').addEventListener('change', showList);
at('show').addEventListener('change', showList);

/** Asks before anything is lost; at once where nothing is. */
function sure(what, yes, act) {
  const lost = Object.keys(book.shots).length + book.setUps.length;
  if (lost === 0) return act();
  at('sure').hidden = false;
  at('sure-what').textContent = what;
  at('sure-yes').textContent = yes;
  at('sure-yes').onclick = () => { at('sure').hidden = true; act(); };
  at('sure-yes').focus();
  return undefined;
}
at('sure-no').addEventListener('click', () => { at('sure').hidden = true; });
at('clear').addEventListener('click', () => {
  const count = Object.keys(book.shots).length;
  sure(say('sureClear', { count }), say('yesClear'), () => {
    book = { ...emptyBook(), way: book.way };
    fillIn('level-said');
    fillIn('file-said');
    changed();
  });
});
at('save').addEventListener('click', () => {
  const name = JOB.job.toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '').slice(0, 40);
  const file = `asdug${name ? `-${name}` : ''}.csv`;
  const link = make('a', { href: URL.createObjectURL(new Blob([bookToTable(JOB, book)], { type: 'text/csv' })), download: file });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  at('file-said').textContent = say('saved', { file });
});
at('load').addEventListener('change', async () => {
  const [file] = at('load').files;
  if (!file) return;
  const read = tableToBook(JOB, await file.text(), book.way);
  at('load').value = '';
  if (!read) {
    at('file-said').textContent = say('noTable');
    return;
  }
  const count = Object.keys(book.shots).length;
  sure(say('sureLoad', { count }), say('yesLoad'), () => {
    book = read.book;
    changed();
    const told = say('loaded', { count: Object.keys(book.shots).length, setUps: book.setUps.length });
    at('file-said').textContent = read.left.length ? `${told} ${say('notRead', { names: read.left.join(', ') })}` : told;
  });
});

document.title = JOB.job;
at('job').textContent = JOB.job;
listenToPlan();
showAll();
lookAtAll();
show(standing(book) ? 'dig' : 'level');
window.addEventListener('resize', () => { lookAtAll(); markChosen(); });
window.addEventListener('beforeprint', lookAtAll);
window.addEventListener('afterprint', lookAtAll);
