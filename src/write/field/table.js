// How does the day's book become a table, and a table the book? CSV as the dig check reads it.
//
// Columns `stake,rod,elevation,setup,time,note`, numbers in the job's unit with a decimal point (9 places at most: finer than any
// limit asks). A set-up comes before its shots: the bench's name, the rod, and the note `set up; HI 107.00`; of an HI alone the stake is
// `HI` and the elevation the HI. A second bench is a row with the note `close; +0.01`. A name that a sheet of cells would take for a
// formula has an apostrophe before it, which is taken off again when it is read.

const COLUMNS = ['stake', 'rod', 'elevation', 'setup', 'time', 'note'];

/** A number without needless zeros. */
function plainNumber(value) {
  const text = value.toFixed(9).replace(/\.?0+$/, '');
  return text === '-0' ? '0' : text;
}

/** A cell, guarded and quoted where need be. */
function cell(text) {
  const guarded = /^[=+\-@\t\r\n]/.test(text) && !/^[-+]?(\d+\.?\d*|\.\d+)$/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(guarded) || guarded !== guarded.trim() ? `"${guarded.replace(/"/g, '""')}"` : guarded;
}

/** The book as CSV. */
function bookToTable(job, book) {
  const rows = [COLUMNS];
  const shots = (k) => {
    for (const { name } of job.stakes) {
      const shot = book.shots[name];
      if (!shot || shot.setUp !== k) continue;
      const rod = shot.rod === null ? '' : plainNumber(shot.rod);
      rows.push([name, rod, plainNumber(shot.elevation), k === null ? '' : String(k + 1), shot.time, '']);
    }
  };
  shots(null);
  book.setUps.forEach((s, k) => {
    const number = String(k + 1);
    const row = s.bench === null
      ? ['HI', '', plainNumber(s.hi), number, s.time, 'set up']
      : [s.bench, plainNumber(s.rod), '', number, s.time, `set up; HI ${height(s.hi, job.unit)}`];
    rows.push(row);
    for (const p of s.proofs) {
      const off = `${p.off < 0 ? '' : '+'}${height(p.off, job.unit)}`;
      rows.push([p.bench, plainNumber(p.rod), '', number, p.time, `close; ${off}`]);
    }
    shots(k);
  });
  return rows.map((row) => row.map(cell).join(',')).join('\n') + '\n';
}

/** Rows of cells; quotes as in RFC 4180. */
function cells(text) {
  const [rows, clean] = [[[]], text.replace(/^\ufeff/, '')];
  let [at, quoted] = ['', false];
  const end = () => { rows[rows.length - 1].push(at); at = ''; };
  for (let k = 0; k < clean.length; k += 1) {
    const c = clean[k];
    if (quoted) {
      if (c !== '"') at += c;
      else if (clean[k + 1] === '"') { at += c; k += 1; } else quoted = false;
    } else if (c === '"' && at === '') quoted = true;
    else if (c === ',') end();
    else if (c === '\n') { end(); rows.push([]); } else if (c !== '\r') at += c;
  }
  end();
  return rows.filter((row) => row.some((c) => c !== ''));
}

/** The thing of that name, as it stands or without the guard against formulas. */
function named(things, name) {
  const of = (text) => things.find((t) => t.name === text);
  return of(name) || (name.startsWith("'") ? of(name.slice(1)) : undefined);
}

/** The book a table tells, with the way of reading kept, and what was not understood: `{ book, left }`; null for another kind of file. */
function tableToBook(job, text, way) {
  const [head, ...rows] = cells(text);
  const columns = (head || []).map((c) => c.trim().toLowerCase());
  if (!columns.includes('stake') || !(columns.includes('rod') || columns.includes('elevation'))) return null;
  const [book, left, numbers] = [{ ...emptyBook(), way }, [], {}];
  for (const row of rows) {
    const get = (name) => (row[columns.indexOf(name)] || '').trim();
    const number = (name) => (/^[-+]?(\d+\.?\d*|\.\d+)$/.test(get(name)) ? Number(get(name)) : null);
    const [name, rod, elevation, note, time] = [row[columns.indexOf('stake')] || '', number('rod'), number('elevation'), get('note'), get('time')];
    const bench = named(job.benches, name);
    const k = numbers[get('setup')] ?? (book.setUps.length ? book.setUps.length - 1 : null);
    if (note.startsWith('set up')) {
      if (bench && rod !== null) book.setUps.push(setUpOn(bench, rod, time));
      else if (elevation !== null) book.setUps.push(setUpAt(elevation, time));
      else { left.push(name); continue; }
      if (get('setup') !== '') numbers[get('setup')] = book.setUps.length - 1;
    } else if (note.startsWith('close') && bench && rod !== null && k !== null) {
      book.setUps[k].proofs.push(proofOn(book.setUps[k], bench, rod, time));
    } else {
      const stake = named(job.stakes, name);
      if (stake && rod !== null && k !== null) {
        book.shots[stake.name] = { rod, elevation: book.setUps[k].hi - rod, setUp: k, time };
      } else if (stake && elevation !== null) {
        book.shots[stake.name] = { rod: null, elevation, setUp: null, time };
      } else left.push(name);
    }
  }
  return { book, left };
}
