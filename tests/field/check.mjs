// Does the field page work in a true browser, as a person uses it? Two widths, a phone's and a desk's, without a network.
//
//   node check.mjs CHROMIUM SPADEWORK JOB FOLDER [AXE.js]
//
// FOLDER is an empty one to work in. Set-ups, rods and saved shots are held against the program itself; hostile names come from a job
// made here. With AXE.js (axe-core) the page is looked over for those who hear it or use keys. Ends with 1 and says what failed.

import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { open, openPage } from './browser.mjs';

const [chromium, spadework, job, folder, axe] = process.argv.slice(2);
const failed = [];
let held = 0;
function hold(what, got, want) {
  held += 1;
  if (JSON.stringify(got) !== JSON.stringify(want)) failed.push(`${what}: found ${JSON.stringify(got)}, expected ${JSON.stringify(want)}`);
}
/** What the program prints; a finding of the design (3) is no failure here. */
function program(...args) {
  try {
    return execFileSync(spadework, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
  } catch (error) {
    if (error.status !== 3) throw error;
    return error.stdout;
  }
}
const wait = async (until, tries = 100) => {
  for (let k = 0; k < tries; k += 1) {
    if (await until()) return true;
    await new Promise((resolve) => { setTimeout(resolve, 50); });
  }
  return false;
};

mkdirSync(folder, { recursive: true });
const page = join(folder, 'field.html');
program('stakes', job, '--field', page);
const url = pathToFileURL(page).href;

/** Every rod the sheet for paper shows, by stake. */
const sheetRods = (p) => p.run(`Object.fromEntries([...document.querySelectorAll('#sheet-rows tbody tr')].map((r) => { const t = [...r.cells].map((c) => c.textContent); return [t[0], t[t.length - 4]]; }))`);
/** A way of reading, what is typed, and the same for the program. */
const WAYS = [['tenths', '5.62', '5.62'], ['inches', '5-7 1/2', '5-7 1/2'], ['metres', '1.713', '1.713 m'], ['tenths', '0.05', '0.05'], ['inches', '0-0 3/8', '0-0 3/8'],
  ['tenths', '11.98', '11.98'], ['metres', '2.005', '2.005 m'], ['inches', '6-11 7/8', '6-11 7/8'], ['tenths', '4.125', '4.125'], ['inches', "7' 3/4\"", "7' 3/4\""]];

async function setUpAs(p, way, bench, rod) {
  await p.click('[data-go=level]');
  await p.click(`[data-way=${way}]`);
  await p.choose('#bench', bench);
  await p.type('#bench-rod', rod);
  await p.press('Enter');
}
async function chooseStake(p, name) {
  await p.click('[data-go=stakes]');
  await p.choose('#area', '');
  await p.choose('#show', '');
  await p.type('#search', name);
  await p.run(`[...document.querySelectorAll('#list button')].find((b) => b.querySelector('.name').firstChild.textContent === ${JSON.stringify(name)}).click()`);
}
async function dig(p, name, rod) {
  await chooseStake(p, name);
  await p.type('#dug-rod', rod);
  await p.press('Enter');
  return p.text('#verdict');
}

/** Axe's findings that matter, in each state. */
async function heard(p, state) {
  if (!axe) return;
  const found = await p.run(`axe.run(document, { resultTypes: ['violations'] }).then((r) => r.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical').map((v) => v.id + ' ' + v.nodes.map((n) => n.target.join(' ')).slice(0, 4).join(', ')))`);
  hold(`${state}: what axe finds serious`, found, []);
}

/**
 * What a glove, the sun or a screen reader would stumble over: numbers with less than 7 to 1 between their ink and what lies behind them (W3C,
 * WCAG 2.2, relative luminance); things to touch under 48 px; fields with no label of their own; a page wider than the glass.
 */
const LOOK_OVER = `(() => {
  const rgb = (c) => { const m = c.match(/[\\d.]+/g).map(Number); return m.length < 4 ? [...m, 1] : m; };
  const light = (c) => { const [r, g, b] = c.slice(0, 3).map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const behind = (e) => { for (let x = e; x; x = x.parentElement) { const c = rgb(getComputedStyle(x).backgroundColor); if (c[3] === 1) return c; } return [255, 255, 255, 1]; };
  const seen = (e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== 'hidden';
  const pale = [], small = [];
  for (const e of document.querySelectorAll('body *:not(svg *):not(script):not(option)')) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && /\\d/.test(n.textContent)) || (e.matches('input, select') && e.type !== 'file');
    if (!own || !seen(e)) continue;
    const [a, b] = [light(rgb(getComputedStyle(e).color)), light(behind(e))].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < 7) pale.push(e.tagName + '#' + e.id + '.' + e.className + ' ' + ratio.toFixed(2) + ' ' + e.textContent.slice(0, 20));
  }
  for (const e of document.querySelectorAll('button, select, input, summary, label.button')) {
    if (!seen(e)) continue;
    const box = e.getBoundingClientRect();
    if (box.height < 48 || box.width < 48) small.push(e.tagName + '#' + e.id + ' ' + box.width + 'x' + box.height);
  }
  const unnamed = [...document.querySelectorAll('input, select, textarea')].filter((e) => seen(e) && !e.ariaLabel && ![...e.labels].some((l) => l.textContent.trim()));
  const wide = document.documentElement.scrollWidth > window.innerWidth ? ['the page is wider than the glass'] : [];
  return { pale: [...new Set(pale)].slice(0, 8), small: [...new Set(small)].slice(0, 8), unnamed: unnamed.map((e) => e.id), wide };
})()`;
async function lookOver(p, state) {
  hold(`${state}: pale, small, unnamed, too wide`, await p.run(LOOK_OVER), { pale: [], small: [], unnamed: [], wide: [] });
  await heard(p, state);
}

async function oneWidth(browser, width, height) {
  const p = await openPage(browser, url, width, height);
  const at = (what) => `${width} px, ${what}`;
  const withAxe = async () => { if (axe) await p.run(readFileSync(axe, 'utf8')); };
  await p.run('localStorage.clear()');
  await p.reload();
  await withAxe();
  await lookOver(p, at('empty'));
  hold(at('no rod number before a set-up'), await p.run(`document.getElementById('rod-number')`), null);

  // Nothing is guessed: no way of reading chosen, or a text of another way.
  await p.choose('#bench', 'TBM2');
  await p.type('#bench-rod', '5.62');
  await p.press('Enter');
  hold(at('a rod before a way is chosen'), await p.text('#level-said'), 'First choose how the rod is read.');
  await p.click('[data-way=inches]');
  await p.type('#bench-rod', '5.62');
  await p.press('Enter');
  hold(at('tenths typed as inches'), (await p.text('#level-said')).startsWith('“5.62” is no rod in feet and inches'), true);
  hold(at('no set-up yet'), await p.text('#standing'), 'No set-up yet. Tap here.');

  // Ten set-ups: every rod number as the program's own.
  for (const [k, [way, typed, asked]] of WAYS.entries()) {
    const bench = k % 3 === 1 ? 'BM1' : 'TBM2';
    await setUpAs(p, way, bench, typed);
    const stakes = JSON.parse(program('stakes', job, '--bench', bench, '--rod', asked, '--json')).stakes;
    const rods = await p.run(`Object.fromEntries(JSON.parse(document.getElementById('data').textContent).stakes.map((s) => [s.name, s.digTo]))`);
    const hi = await p.run(`(() => { const b = JSON.parse(localStorage.getItem(Object.keys(localStorage)[0])); return b.setUps[b.setUps.length - 1].hi; })()`);
    const wrong = stakes.filter((s) => s.rod !== undefined && hi - rods[s.stake] !== s.rod).map((s) => s.stake);
    hold(at(`rods from ${asked} on ${bench}`), wrong, []);
    const [shown, told] = [await sheetRods(p), program('stakes', job, '--bench', bench, '--rod', asked)];
    const off = stakes.filter((s) => s.rod !== undefined).filter((s) => {
      if (way === 'tenths') {
        const printed = told.split('\n').find((line) => line.trimStart().startsWith(`${s.stake} `) && line.includes(` ${shown[s.stake]} `));
        return !printed || Math.abs(Number(shown[s.stake]) - s.rod) > 0.005 + 1e-9;
      }
      const value = way === 'metres' ? Number(shown[s.stake]) / 0.3048 : shown[s.stake].replace(/^(-?)(\d+)-(\d+)( (\d)\/(\d))?$/, (_, m, f, i, _p, a, b) => Number(`${m}1`) * (Number(f) + (Number(i) + (a ? a / b : 0)) / 12));
      return !(Math.abs(Number(value) - s.rod) <= (way === 'metres' ? 0.0005 / 0.3048 : 1 / 192) + 1e-9);
    }).map((s) => `${s.stake} ${shown[s.stake]}`);
    hold(at(`printed rods, ${way}`), off, []);
  }
  hold(at('set-ups kept'), await p.run(`document.querySelectorAll('#set-ups tbody tr').length`), 10);

  // The set-up of the day, proved; one that does not agree is told so.
  await p.click('#clear');
  await p.click('#sure-yes');
  await setUpAs(p, 'tenths', 'TBM2', '5.62');
  hold(at('the set-up'), (await p.text('#level-said')), 'Set-up 1: HI 107.00. Every rod number now follows it.');
  await p.choose('#second', 'BM1');
  await p.type('#second-rod', '2.98');
  await p.press('Enter');
  hold(at('a bench that differs'), (await p.text('#proof-said')).includes('DIFFERS') && (await p.text('#proof-said')).includes('0.10 ft'), true);
  await p.type('#second-rod', '2.87');
  await p.press('Enter');
  hold(at('a bench that agrees'), (await p.text('#proof-said')).replace(/\s+/g, ' '), '✓ AGREES BM1 comes out 0.01 ft · 1/8 in above its height.');
  await p.run(`document.getElementById('dials').open = true`);
  // The terrace is dug to 102.658 along N 500 and falls 2 % north: carried on to TBM2 at N 530 it lies 0.678 above it.
  await p.type('#dial-0', '5.62');
  hold(at('dials'), /2\.00 % down to the north/.test(await p.text('#dial-rows')) && /One rod number for dining terrace: 4\.94 ft/.test(await p.text('#dial-rows')), true);
  await lookOver(p, at('set up'));

  // One stake, and as dug: high, low, in.
  await chooseStake(p, 'B8');
  hold(at('B8'), [await p.text('#rod-number'), await p.text('.big.rod .second'), await p.text('#cut-number'), await p.text('.big.cut .second')], ['5.33', '5-4', '0.63', '0-7 5/8']);
  hold(at('below BM1'), /Below BM1\s+2\.45 ft/.test(await p.text('#more')), true);
  await lookOver(p, at('stake'));
  hold(at('B7 dug'), (await dig(p, 'B7', '4.65')).replace(/\s+/g, ' '), '▲ HIGH 0.07 ft · 7/8 in trim Dug to 102.35, set-up 1');
  await lookOver(p, at('HIGH'));
  hold(at('B4 dug'), (await dig(p, 'B4', '4.83')).replace(/\s+/g, ' '), '▼ LOW 0.29 ft · 3 1/2 in stone Dug to 102.17, set-up 1');
  await lookOver(p, at('LOW'));
  hold(at('A2 dug'), (await dig(p, 'A2', '4.37')).includes('OK'), true);
  await lookOver(p, at('OK'));
  hold(at('a rod that is none'), (await dig(p, 'C3', '4,x')).startsWith('“4,x” is no rod'), true);
  await chooseStake(p, 'E1');
  hold(at('keep off'), (await p.text('#keep-off')).replace(/\s+/g, ' '), 'KEEP OFF root circle of oak: no machine');
  await lookOver(p, at('keep off'));

  // After lunch the laser moved: new numbers, old shots as they were.
  await setUpAs(p, 'tenths', 'BM1', '3.13');
  hold(at('old shots keep theirs'), (await p.click('[data-go=dig]'), await chooseStake(p, 'B7'), (await p.text('#verdict')).includes('set-up 1')), true);
  hold(at('rods follow'), await p.text('#rod-number'), '4.97');
  await dig(p, 'B8', '5.62');
  // An HI by itself, and a rod in inches.
  await p.click('[data-go=level]');
  await p.run(`document.getElementById('by-height').open = true`);
  await p.type('#hi', '106.50');
  await p.press('Enter');
  hold(at('an HI by itself'), await p.text('#level-said'), 'Set-up 3: HI 106.50. Every rod number now follows it.');
  await p.click('[data-way=inches]');
  await dig(p, 'C6', '4-10 1/8');
  await p.click('[data-way=tenths]');
  await setUpAs(p, 'tenths', 'BM1', '3.13');

  // Between stakes, and outside.
  const tapAt = async (n, e) => {
    const [x, y] = await p.run(`(() => { const s = document.getElementById('drawing'), m = s.getScreenCTM(); return [m.a * ${e} + m.e, m.d * ${-n} + m.f]; })()`);
    await p.tap(x, y);
  };
  await p.click('[data-go=dig]');
  await p.click('#all');
  for (let k = 0; k < 4; k += 1) await p.click('#nearer');
  await chooseStake(p, 'B3');
  await tapAt(514.6, 1025.3);
  const between = (await p.text('#card')).replace(/\s+/g, ' ');
  hold(at('between stakes'), [/Between stakes dining terrace/.test(between), /Rod when dug 4\.8\d ft/.test(between)], [true, true]);
  await p.type('#dug-rod', '4.86');
  await p.press('Enter');
  hold(at('a shot between stakes'), (await p.text('#verdict')).includes('Not kept'), true);
  // By keys alone.
  await p.run(`document.getElementById('drawing').focus()`);
  const before = await p.run(`document.getElementById('drawing').getAttribute('viewBox')`);
  await p.press('ArrowLeft');
  await p.press('+');
  hold(at('keys move the plan'), before !== await p.run(`document.getElementById('drawing').getAttribute('viewBox')`), true);
  await p.press('Enter');
  hold(at('Enter takes the middle'), (await p.text('#card-title')) !== '', true);

  // The list.
  await p.click('[data-go=stakes]');
  await p.type('#search', '');
  await p.choose('#area', '=dining terrace');
  hold(at('by area'), await p.run(`[...document.querySelectorAll('#list .where')].every((e) => e.textContent === 'dining terrace') && document.querySelectorAll('#list li').length > 5`), true);
  await p.choose('#show', 'out');
  hold(at('out of tolerance'), await p.run(`[...document.querySelectorAll('#list .name')].map((e) => e.textContent)`), ['B4']);
  await lookOver(p, at('list'));
  await p.choose('#show', '');
  await p.choose('#area', '');

  // Kept over a reload.
  await p.reload();
  await withAxe();
  await chooseStake(p, 'B4');
  hold(at('kept over a reload'), [(await p.text('#verdict')).includes('LOW'), await p.text('#rod-number')], [true, '4.79']);
  await p.click('[data-go=done]');
  hold(at('progress'), (await p.text('#counts')).includes('5 of 97 shot'), true);
  await lookOver(p, at('done'));

  // The file.
  await browser.send('Browser.setDownloadBehavior', { behavior: 'allow', downloadPath: folder });
  const file = join(folder, 'asdug-alderwick-community-hall-courtyard.csv');
  const asText = (await p.run(`document.getElementById('as-text').value`));
  if (!existsSync(file)) await p.click('#save');
  hold(at('the file is saved'), await wait(() => existsSync(file) && readFileSync(file, 'utf8').length > 0), true);
  const saved = readFileSync(file, 'utf8');
  const bare = (text) => text.replace(/\d{4}-\d\d-\d\d \d\d:\d\d/g, 'T').trim().split('\n');
  hold(at('what is in the file'), bare(asText), ['stake,rod,elevation,setup,time,note', 'TBM2,5.62,,1,T,set up; HI 107.00', 'BM1,2.98,,1,T,close; -0.10', 'BM1,2.87,,1,T,close; +0.01',
    'A2,4.37,102.63,1,T,', 'B7,4.65,102.35,1,T,', 'B4,4.83,102.17,1,T,', 'BM1,3.13,,2,T,set up; HI 107.25', 'B8,5.62,101.63,2,T,',
    'HI,,106.5,3,T,set up', 'C6,4.84375,101.65625,3,T,', 'BM1,3.13,,4,T,set up; HI 107.25']);
  hold(at('the file and the text'), bare(saved), bare(asText));
  // The program judges the file as the page does.
  const judged = JSON.parse(program('digcheck', job, '--shots', file, '--json')).digcheck;
  const words = { ok: 'ok', HIGH: 'high', LOW: 'low' };
  hold(at('verdicts of the program'), judged.stakes.map((s) => [s.stake, words[s.verdict]]).sort(), [['A2', 'ok'], ['B4', 'low'], ['B7', 'high'], ['B8', 'ok'], ['C6', 'ok']]);
  // Wiped, and read again.
  await p.click('#clear');
  await p.click('#sure-yes');
  hold(at('wiped'), (await p.text('#counts')).includes('0 of 97 shot'), true);
  const { root } = await p.send('DOM.getDocument');
  const { nodeId } = await p.send('DOM.querySelector', { nodeId: root.nodeId, selector: '#load' });
  await p.send('DOM.setFileInputFiles', { nodeId, files: [file] });
  await wait(() => p.run(`document.getElementById('file-said').textContent.length > 0`));
  hold(at('read again'), await p.text('#file-said'), '5 shots and 4 set-ups read.');
  hold(at('the same text'), bare(await p.run(`document.getElementById('as-text').value`)), bare(asText));

  // A bench misread by a tenth moves all shots alike, and is told as that.
  await setUpAs(p, 'tenths', 'TBM2', '5.72');
  for (const [name, rod] of [['C2', '4.73'], ['C3', '4.73'], ['C4', '4.72'], ['C5', '4.71'], ['D2', '5.12'], ['D4', '5.12']]) await dig(p, name, rod);
  await p.click('[data-go=done]');
  hold(at('a bench slip'), (await p.text('#slips')).startsWith('Set-up 5: most of its 6 shots are HIGH by about 0.1'), true);

  // The other language, and paper.
  await p.click('#language');
  hold(at('Spanish'), [await p.run('document.documentElement.lang'), await p.text('#done-title')], ['es', 'Avance']);
  await chooseStake(p, 'B4');
  hold(at('Spanish verdict'), (await p.text('#verdict')).includes('BAJO') && (await p.text('#remarks')) === 'piedra otra vez hasta 102.48', true);
  await lookOver(p, at('Spanish'));
  await p.send('Emulation.setEmulatedMedia', { media: 'print' });
  hold(at('on paper'), await p.run(`[getComputedStyle(document.getElementById('sheet')).display, getComputedStyle(document.querySelector('nav')).display, document.querySelectorAll('#sheet-rows tbody tr').length]`), ['block', 'none', 97]);
  hold(at('nothing was asked of the network'), [...new Set(p.requests)], [url]);
  hold(at('complaints of the browser'), p.complaints, []);
}

/** A job whose every name is a trap. */
async function hostile(browser) {
  const nasty = ['<script>alert(1)</script>', '=1+2', `"&'<b>`, '{hi} $& \\u003c', '@SCRIPT@'];
  const rows = nasty.map((name, k) => `"${name.replace(/"/g, '""')}",${(k % 3) * 10},${Math.floor(k / 3) * 10},${100 + k}`);
  const table = (up) => `stake,northing,easting,elevation,kind\n${rows.map((r, k) => r.replace(/[^,]*$/, String(100 + k * 0.1 - up))).map((r) => `${r},ground`).join('\n')}\nZ,20,20,${99 - up},ground\n`;
  const files = [join(folder, 'a.csv'), join(folder, 'b.csv')];
  writeFileSync(files[0], `${table(0)}"<img src=x onerror=alert(2)>",5,5,101.5,bench\n`);
  writeFileSync(files[1], table(1));
  const out = join(folder, 'hostile.html');
  program('stakes', ...files, '--name', '</script><script>alert(3)</script>', '--field', out);
  const p = await openPage(browser, pathToFileURL(out).href, 390, 844);
  await p.run('localStorage.clear()');
  await p.reload();
  hold('hostile job name', [await p.text('#job'), await p.run('document.title')], ['</script><script>alert(3)</script>', '</script><script>alert(3)</script>']);
  await p.click('[data-way=tenths]');
  await p.type('#bench-rod', '4.5');
  await p.press('Enter');
  hold('hostile bench', (await p.text('#standing')).includes('<img src=x onerror=alert(2)>'), true);
  for (const name of nasty) {
    hold(`hostile stake ${name}`, (await dig(p, name, '7.11'), await p.text('#card-title')), name);
    hold(`hostile stake ${name} shot`, (await p.text('#verdict')).includes('Dug to 98.89'), true);
  }
  hold('no element of theirs', await p.run(`document.querySelectorAll('img, b script, main script').length`), 0);
  const text = await p.run(`document.getElementById('as-text').value`);
  hold('formula guarded in the file', text.includes("\n'=1+2,") && !/\n=/.test(text), true);
  const tolerated = p.complaints;
  hold('hostile: complaints of the browser', tolerated, []);
}

/** A browser that keeps nothing says so. */
async function forgetful(browser) {
  const p = await openPage(browser, url, 390, 844);
  await p.send('Page.addScriptToEvaluateOnNewDocument', { source: `Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } });` });
  await p.reload();
  await p.click('[data-way=tenths]');
  hold('a browser that keeps nothing', (await p.text('#cannot-keep')).startsWith('This browser cannot keep'), true);
}

const browser = await open(chromium);
try {
  await oneWidth(browser, 390, 844);
  await oneWidth(browser, 1280, 800);
  await hostile(browser);
  await forgetful(browser);
} catch (error) {
  failed.push(`went no further: ${error.message}`);
} finally {
  await browser.close();
}
if (failed.length) {
  console.log(`${failed.length} of ${held} do not hold\n${failed.join('\n')}`);
  process.exit(1);
}
console.log(`${held} hold${axe ? ', axe-core among them' : ''}`);
