// Where does the laser stand today, what was shot, and is it right? The day's book, and how a browser keeps it.
//
// A set-up is a height of instrument (HI): bench plus rod, or typed. The last one counts for every rod number; a shot keeps the
// set-up it was made from. Signs: difference = shot - dig-to, above 0 HIGH; a proof is found - known. A shot on the tolerance is in.

/** An empty day. */
function emptyBook() {
  return { way: null, setUps: [], shots: {} };
}

/** A set-up on a bench. */
function setUpOn(bench, rod, time) {
  return { bench: bench.name, rod, hi: bench.z + rod, time, proofs: [] };
}

/** A set-up by its height alone. */
function setUpAt(hi, time) {
  return { bench: null, rod: null, hi, time, proofs: [] };
}

/** The set-up every rod number hangs on now, or null. */
function standing(book) {
  return book.setUps.length ? book.setUps[book.setUps.length - 1] : null;
}

/** What the rod reads when the dig is right. */
function rodFor(setUp, digTo) {
  return setUp && digTo !== null && digTo !== undefined ? setUp.hi - digTo : null;
}

/** A second bench read from a set-up: how far it comes out from its own height. */
function proofOn(setUp, bench, rod, time) {
  return { bench: bench.name, rod, off: setUp.hi - rod - bench.z, time };
}

/** How far a second bench may come out: two readings of a hundredth each, or 5 mm. */
function proofAllowed(unit) {
  return unit === 'm' ? 0.005 : 0.02;
}

/** Whether a proof holds; one on the limit does. */
function proofHolds(proof, unit) {
  return Math.abs(proof.off) <= proofAllowed(unit) + TIE;
}

/** Keeps a shot of a stake; an earlier one of it gives way. */
function keepShot(book, name, rod, time) {
  const setUp = book.setUps.length - 1;
  book.shots[name] = { rod, elevation: book.setUps[setUp].hi - rod, setUp, time };
}

/** `{ off, word }` of a dug height: word is high, low or ok. */
function judge(elevation, digTo, tolerance) {
  const off = elevation - digTo;
  const word = off > tolerance.high + TIE ? 'high' : off < -(tolerance.low + TIE) ? 'low' : 'ok';
  return { off, word };
}

/** The verdict on a stake, or null where it was not shot or is not dug. */
function verdictOf(book, stake, tolerance) {
  const shot = book.shots[stake.name];
  return shot && stake.digTo !== null ? judge(shot.elevation, stake.digTo, tolerance) : null;
}

/** Mean and spread (standard deviation; 0 of one) of numbers. */
function meanAndSpread(values) {
  const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
  const squares = values.reduce((sum, v) => sum + (v - mean) ** 2, 0);
  return { mean, spread: values.length > 1 ? Math.sqrt(squares / (values.length - 1)) : 0 };
}

/**
 * By how much shots are off together, or null: the middle one, where it is out of tolerance and two in three of five or more lie within
 * tolerance of it, as the dig check has it. Digging misses this way and that; a wrong bench or HI moves every shot by one amount.
 */
function slipOf(offs, tolerance) {
  if (offs.length < 5) return null;
  const sorted = [...offs].sort((a, b) => a - b);
  const half = Math.floor(sorted.length / 2);
  const middle = sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  const near = sorted.filter((d) => judge(d - middle, 0, tolerance).word === 'ok').length;
  return judge(middle, 0, tolerance).word !== 'ok' && near >= (2 / 3) * sorted.length ? middle : null;
}

/** The day so far: counts, the worst first, the mean, and set-ups whose shots are all off alike. */
function tally(job, book) {
  const judged = job.stakes.map((stake) => ({ stake, verdict: verdictOf(book, stake, job.tolerance) })).filter((j) => j.verdict);
  const count = (word) => judged.filter((j) => j.verdict.word === word).length;
  const out = judged.filter((j) => j.verdict.word !== 'ok').sort((a, b) => Math.abs(b.verdict.off) - Math.abs(a.verdict.off));
  const offs = judged.map((j) => j.verdict.off);
  const slips = book.setUps.map((_, k) => {
    const of = judged.filter((j) => book.shots[j.stake.name].setUp === k).map((j) => j.verdict.off);
    return { setUp: k, count: of.length, by: slipOf(of, job.tolerance) };
  });
  return {
    dug: job.stakes.filter((s) => s.digTo !== null).length,
    shot: judged.length, ok: count('ok'), high: count('high'), low: count('low'), worst: out,
    ...(offs.length ? meanAndSpread(offs) : { mean: null, spread: null }),
    slips: slips.filter((s) => s.by !== null),
  };
}

/** Where the browser keeps this job's book. */
function keepPlace(job) {
  return `field page ${job.key}`;
}

/** The book as it was kept, or an empty one; `cannot` where the browser keeps nothing. */
function kept(job) {
  try {
    const text = window.localStorage.getItem(keepPlace(job));
    return { book: text ? { ...emptyBook(), ...JSON.parse(text) } : emptyBook(), cannot: false };
  } catch {
    return { book: emptyBook(), cannot: true };
  }
}

/** Keeps the book; false where the browser cannot. */
function keep(job, book) {
  try {
    window.localStorage.setItem(keepPlace(job), JSON.stringify(book));
    return true;
  } catch {
    return false;
  }
}
