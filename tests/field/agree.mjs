// Do the page and the program print the same digits? The program's own values come in as JSON, the page's functions are read from the
// page's own files and asked the same.
//
//   node agree.mjs CASES.json
//
// CASES: { lengths: [{ unit, value, inches, fixed: [[decimals, text], …], eighths }], rods: [{ text, way, unit, value }], verdicts: [{ … }] }

import { readFileSync } from 'node:fs';
import vm from 'node:vm';

const here = new URL('../../src/write/field/', import.meta.url);
const code = ['numbers.js', 'ground.js', 'book.js', 'table.js'].map((name) => readFileSync(new URL(name, here), 'utf8')).join('\n');
const page = vm.runInNewContext(`${code}\n;({ feetInches, fixed, eighths, readRod, judge, setUpOn, rodFor, digAt, bookToTable, tableToBook, cells, emptyBook, keepShot, proofOn })`);
const cases = JSON.parse(readFileSync(process.argv[2], 'utf8'));

const wrong = [];
let held = 0;
function same(got, want, what) {
  held += 1;
  if (got !== want) wrong.push(`${what}: the page says ${JSON.stringify(got)}, the program ${JSON.stringify(want)}`);
}
for (const c of cases.lengths) {
  same(page.feetInches(c.value, c.unit), c.inches, `${c.value} ${c.unit} in inches`);
  for (const [decimals, text] of c.fixed) same(page.fixed(c.value, decimals), text, `${c.value} to ${decimals}`);
  same(page.eighths(c.value, c.unit), c.eighths, `${c.value} ${c.unit} in eighths`);
}
for (const c of cases.rods) same(page.readRod(c.text, c.way, c.unit), c.value, `rod ${c.text} as ${c.way} in ${c.unit}`);
for (const c of cases.stakes) {
  const setUp = page.setUpOn({ name: 'BM', z: c.bench }, c.on, '');
  same(setUp.hi, c.hi, 'the height of instrument');
  same(page.rodFor(setUp, c.digTo), c.rod, `rod of ${c.digTo} from ${c.hi}`);
}
for (const c of cases.verdicts) same(page.judge(c.elevation, c.digTo, c.tolerance).word, c.word, `${c.elevation} over ${c.digTo}`);
for (const c of cases.places) {
  const got = page.digAt(cases.job, c.at[0], c.at[1]);
  same(got.area, c.area, `area at ${c.at}`);
  for (const key of ['digTo', 'existing']) {
    const near = c[key] === null ? got[key] === null : Math.abs(got[key] - c[key]) < 1e-9;
    same(near ? c[key] : got[key], c[key], `${key} at ${c.at}`);
  }
}
// A table goes out and comes back the same, whatever the names.
const names = ['=1+2', '+3', '-B 2', '@x', '\tq', 'a,"b"\n', "'k", '  s', '<script>', '-1.5', ...cases.job.stakes.map((s) => s.name)];
const job = { ...cases.job, stakes: names.map((name) => ({ name, digTo: 100 })), benches: [{ name: '=BM', z: 104.12 }, { name: 'HI', z: 99 }] };
const book = page.emptyBook();
book.setUps.push(page.setUpOn(job.benches[0], 5.62, '2030-01-02 07:40'), { bench: null, rod: null, hi: 107.25, time: 't', proofs: [] });
book.setUps[1].proofs.push(page.proofOn(book.setUps[1], job.benches[1], 8.26, 't'));
names.forEach((name, k) => page.keepShot(book, name, 4 + k / 96, 'x'));
const text = page.bookToTable(job, book);
const back = page.tableToBook(job, text, null);
same(page.bookToTable(job, back.book), text, 'the table read and written again');
same(back.left.length, 0, 'what was left out');
same(Object.keys(back.book.shots).length, new Set(names).size, 'the shots');
for (const name of names) same(Math.abs(back.book.shots[name].elevation - book.shots[name].elevation) < 1e-8, true, `shot of ${name}`);
// A number with a sign is a number to a sheet of cells too.
same(page.cells(text).flat().some((c) => /^[=@\t]|^[-+](?![\d.])/.test(c)), false, "a cell that begins like a formula");
same(page.tableToBook(job, 'a,b\n1,2\n', null), null, 'another kind of table');

if (wrong.length) {
  console.log(`${wrong.length} of ${held} differ\n${wrong.slice(0, 20).join('\n')}`);
  process.exit(1);
}
console.log(`${held} agree`);
