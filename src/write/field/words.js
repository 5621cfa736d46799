// How is anything said, and how does it get into the page? Words from the one table, in the language chosen; text as text only.

const WORDS = JSON.parse(document.getElementById('words').textContent);
const JOB = JSON.parse(document.getElementById('data').textContent);
let language = (navigator.language || '').startsWith('es') ? 'es' : 'en';

/** The words for `key`, with what stands in braces put in. */
function say(key, holes = {}) {
  return WORDS[language][key].replace(/\{(\w+)\}/g, (hole, name) => (name in holes ? holes[name] : hole));
}

/** The element of that id. */
function at(id) {
  return document.getElementById(id);
}

/** An element with its attributes and what is in it; words become text. */
function make(tag, attributes, ...inside) {
  const drawn = ['svg', 'g', 'path', 'circle', 'line', 'polygon', 'polyline', 'rect', 'text'].includes(tag);
  const element = drawn ? document.createElementNS('http://www.w3.org/2000/svg', tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value !== null && value !== undefined && value !== false) element.setAttribute(name, value === true ? '' : value);
  }
  element.append(...inside.filter((x) => x !== null && x !== undefined).map((x) => (typeof x === 'number' ? String(x) : x)));
  return element;
}

/** Puts these in place of what is in an element. */
function fillIn(id, ...inside) {
  at(id).replaceChildren(...inside.filter((x) => x !== null && x !== undefined));
}

/** Every fixed word of the page in the language chosen. */
function sayAll() {
  document.documentElement.lang = language;
  for (const element of document.querySelectorAll('[data-say]')) element.textContent = say(element.dataset.say);
  for (const element of document.querySelectorAll('[data-label]')) element.setAttribute('aria-label', say(element.dataset.label));
  for (const element of document.querySelectorAll('[data-hint]')) element.setAttribute('placeholder', say(element.dataset.hint));
  at('language').textContent = say('languageOther');
  at('language').lang = language === 'en' ? 'es' : 'en';
}

/** A remark of the program in the language chosen; one it has no words for stays as it is. */
function sayRemark(text) {
  const forms = [
    [/^also (.+)$/s, () => say('sayAlso', { what: '\u0000' })], [/^stone back to (.+)$/s, () => say('sayStone', { what: '\u0000' })],
    [/^trench bottom; invert (.+)$/s, () => say('sayTrench', { what: '\u0000' })], [/^same place as (.+)$/s, () => say('saySame', { what: '\u0000' })],
    [/^root circle of (.+): no machine$/s, () => say('sayRoots', { what: '\u0000' })], [/^(.+): hand dig$/s, () => say('sayHand', { what: '\u0000' })],
  ];
  for (const [form, words] of forms) {
    const found = form.exec(text);
    // By a function: what is put in may hold signs a replacement would read.
    if (found) return words().replace('\u0000', () => found[1]);
  }
  return text;
}

/** The sign and words of a verdict. */
const SIGNS = { high: '\u25B2', low: '\u25BC', ok: '\u2713' };
function wordOf(word) {
  return { high: say('high'), low: say('low'), ok: say('ok') }[word];
}
function doOf(word) {
  return { high: say('highDo'), low: say('lowDo'), ok: say('okDo') }[word];
}

/** The time of day as a person writes it, and sorts it. */
function now() {
  const [d, two] = [new Date(), (n) => String(n).padStart(2, '0')];
  return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())} ${two(d.getHours())}:${two(d.getMinutes())}`;
}

/** Whole unit of the job as it is printed. */
function unitSign() {
  return JOB.unit === 'm' ? 'm' : 'ft';
}

/** How the rod is read; where nothing is chosen yet, what is told is told in the job's own unit. */
function wayNow() {
  return book.way || (JOB.unit === 'm' ? 'metres' : 'tenths');
}
