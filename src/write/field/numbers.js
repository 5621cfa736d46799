// What was read off the rod, and how is a length said? The rules of the program's own `units`, to the last digit printed.
//
// Lengths are numbers of the job's unit (ft, us-ft, m). Rounding happens once, when a length is said: eighths of an inch and decimals
// from the unrounded value, ties away from zero, with the same nudge of 1e-9 the program gives, so that a value on the half does not
// fall off it by the last bit of a division. A rod is read in the way that was chosen (tenths, inches, metres) and in no other.

const METRES = { ft: 0.3048, 'us-ft': 1200 / 3937, m: 1 };
const INCHES = { ft: 12, 'us-ft': 12, m: 1 / 0.0254 };
const FRACTIONS = ['', ' 1/8', ' 1/4', ' 3/8', ' 1/2', ' 5/8', ' 3/4', ' 7/8'];
/** What counts as equal when a number stands on its limit. */
const TIE = 1e-9;

/** `value` of one unit in another; unchanged to the last bit where the two are the same. */
function convert(value, from, to) {
  return from === to ? value : value * (METRES[from] / METRES[to]);
}

/** A whole number of eighths of an inch, ties away from zero. */
function eighths(length, unit) {
  const exact = length * INCHES[unit] * 8;
  const nudged = exact + (exact < 0 ? -1e-9 : 1e-9);
  return Math.sign(nudged) * Math.round(Math.abs(nudged));
}

/** `5-4 3/8`: feet, a hyphen, inches to 1/8. */
function feetInches(length, unit) {
  const all = eighths(length, unit);
  const size = Math.abs(all);
  const [feet, rest] = [Math.floor(size / 96), size % 96];
  return `${all < 0 ? '-' : ''}${feet}-${Math.floor(rest / 8)}${FRACTIONS[rest % 8]}`;
}

/** A small length in inches, `2 1/2 in`; from a foot on in feet and inches. Its sign is said in words elsewhere. */
function inchesOnly(length, unit) {
  const all = Math.abs(eighths(length, unit));
  if (all >= 96) return feetInches(Math.abs(length), unit);
  const whole = Math.floor(all / 8);
  const part = FRACTIONS[all % 8].trim();
  return `${[whole || !part ? whole : '', part].filter((t) => t !== '').join(' ')} in`;
}

/** A number with that many decimals, half away from zero on the decimal a person reads, no minus on a zero. */
function fixed(value, decimals) {
  let nudge = 1e-9;
  for (let k = 0; k < decimals; k += 1) nudge *= 0.1;
  const text = (value + (value < 0 ? -nudge : nudge)).toFixed(decimals);
  return /^-[0.]*$/.test(text) ? text.slice(1) : text;
}

/** The unit a way of reading is in: feet of the job's own kind, or metres. */
function unitOf(way, unit) {
  if (way === 'metres') return 'm';
  return unit === 'm' ? 'ft' : unit;
}

/** A decimal without sign, with a point or a comma. */
function decimal(text) {
  return /^(\d+([.,]\d*)?|[.,]\d+)$/.test(text) ? Number(text.replace(',', '.')) : null;
}

/** `2`, `2.5`, `3/8`, `2 3/8`, `2-3/8`. */
function mixed(text) {
  const parts = /^(?:(\d+)\s*[ -]\s*)?(\d+)\/(\d+)$/.exec(text);
  if (!parts) return decimal(text);
  const [whole, top, bottom] = [Number(parts[1] || 0), Number(parts[2]), Number(parts[3])];
  return bottom > 0 && (top < bottom || whole === 0) ? whole + top / bottom : null;
}

/** A rod in the job's unit, read in the way chosen; null where the text is not of that way. */
function readRod(text, way, unit) {
  const typed = text.trim().replace(/[\u2032\u2019]/g, "'").replace(/[\u2033\u201d]/g, '"').replace(/[\u2010-\u2013]/g, '-');
  if (way === 'inches') {
    const parts = /^(\d{1,3})\s*[-']\s*-?\s*([^'"]*?)\s*"?$/.exec(typed);
    if (!parts) return null;
    const inches = parts[2] === '' && typed.endsWith("'") ? 0 : mixed(parts[2]);
    return inches === null || inches >= 12 ? null : (Number(parts[1]) * 12 + inches) / INCHES[unit];
  }
  const value = decimal(typed);
  return value === null ? null : convert(value, unitOf(way, unit), unit);
}

/** A height in the job's unit; null where the text is none. */
function readHeight(text) {
  const typed = text.trim().replace(/^\u2212/, '-');
  const value = decimal(typed.replace(/^[-+]/, ''));
  return value === null ? null : (typed.startsWith('-') ? -value : value);
}

/** A length as the rod shows it, with its unit, and the same in the other way: `['5.33', 'ft', '5-4', '']`; feet-inches name none. */
function bothWays(length, way, unit) {
  const inches = [feetInches(length, unit), ''];
  if (way === 'metres') return [fixed(convert(length, unit, 'm'), 3), 'm', ...inches];
  const tenths = [fixed(convert(length, unit, unitOf('tenths', unit)), 2), 'ft'];
  return way === 'inches' ? [...inches, ...tenths] : [...tenths, ...inches];
}

/** How far off, in both ways, without a sign: `0.07 ft · 7/8 in`, `21 mm · 7/8 in`. */
function howFar(difference, way, unit) {
  const size = Math.abs(difference);
  const inches = inchesOnly(size, unit);
  if (way === 'metres') return `${fixed(convert(size, unit, 'm') * 1000, 0)} mm \u00b7 ${inches}`;
  const tenths = `${fixed(convert(size, unit, unitOf('tenths', unit)), 2)} ft`;
  return way === 'inches' ? `${inches} \u00b7 ${tenths}` : `${tenths} \u00b7 ${inches}`;
}

/** A height in the job's unit, as the program prints it. */
function height(value, unit) {
  return fixed(value, unit === 'm' ? 3 : 2);
}
