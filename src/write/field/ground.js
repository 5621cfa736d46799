// What is dug to at any place? The floors of the areas and the ground, asked as the program asks them for its stakes.
//
// Places are northing and easting. In an area, dig-to is its plane, or the plane of the triangle the place lies in, plus what is left
// for compaction; where topsoil must come out it is not above the ground less the strip. Borders belong to their area; of two areas
// the lower counts, within 0.005 the first. Outside all of them only the ground is known.

/** Lower by less than this is a tie. */
const LOWER = 0.005;
/** A place this near to a border, in the job's unit, lies on it. */
const ON_BORDER = 1e-6;

/** Height of a net at a place; off the net null, or with `beside` the nearest triangle carried on. */
function netHeight(net, n, e, beside) {
  const { nodes, triangles } = net;
  let [best, z] = [-Infinity, null];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const [bn, be] = [nodes[b] - nodes[a], nodes[b + 1] - nodes[a + 1]];
    const [cn, ce] = [nodes[c] - nodes[a], nodes[c + 1] - nodes[a + 1]];
    const [pn, pe] = [n - nodes[a], e - nodes[a + 1]];
    const whole = bn * ce - be * cn;
    if (whole === 0) continue;
    const v = (pn * ce - pe * cn) / whole;
    const w = (bn * pe - be * pn) / whole;
    const inside = Math.min(v, w, 1 - v - w);
    if (inside > best) {
      best = inside;
      z = nodes[a + 2] + v * (nodes[b + 2] - nodes[a + 2]) + w * (nodes[c + 2] - nodes[a + 2]);
      if (inside >= 0) break;
    }
  }
  return beside || best >= -1e-9 ? z : null;
}

/** Distance of a place to a stretch of line. */
function offLine(n, e, a, b) {
  const [dn, de] = [b[0] - a[0], b[1] - a[1]];
  const long = dn * dn + de * de;
  const part = long === 0 ? 0 : Math.min(1, Math.max(0, ((n - a[0]) * dn + (e - a[1]) * de) / long));
  return Math.hypot(n - a[0] - part * dn, e - a[1] - part * de);
}

/** Whether a place lies in an odd number of rings, or on one of them. */
function inRings(rings, n, e) {
  let odd = false;
  for (const ring of rings) {
    for (let k = 0; k < ring.length; k += 1) {
      const [a, b] = [ring[k], ring[(k + 1) % ring.length]];
      if (offLine(n, e, a, b) <= ON_BORDER) return true;
      if ((a[0] > n) !== (b[0] > n) && e < a[1] + ((n - a[0]) / (b[0] - a[0])) * (b[1] - a[1])) odd = !odd;
    }
  }
  return odd;
}

/** Subgrade of a floor, its plane carried on. */
function subgradeOf(floor, n, e) {
  if (!floor.plane) return netHeight(floor.net, n, e, true);
  const { at, height, rise } = floor.plane;
  return height + rise[0] * (n - at[0]) + rise[1] * (e - at[1]);
}

/** The dig at a place: the area, the ground, and what is dug to; what is not known there is null. */
function digAt(job, n, e) {
  const existing = netHeight(job.ground, n, e, false);
  let best = null;
  for (const floor of job.floors) {
    if (!inRings(floor.rings, n, e)) continue;
    const wanted = subgradeOf(floor, n, e) + floor.up;
    const digTo = floor.noTopsoil && existing !== null ? Math.min(wanted, existing - job.strip) : wanted;
    if (best === null || digTo < best.digTo - LOWER) best = { area: floor.area, digTo };
  }
  const cut = best && existing !== null ? existing - best.digTo : null;
  return { area: best && best.area, digTo: best && best.digTo, existing, cut };
}

/** What must be kept off at a place: roots and buried lines. */
function keptOff(job, n, e) {
  return job.keepOff.filter((k) => {
    if (k.what === 'root circle') return Math.hypot(n - k.line[0][0], e - k.line[0][1]) <= k.radius + TIE;
    if (k.what !== 'utility') return false;
    return k.line.slice(1).some((b, i) => offLine(n, e, k.line[i], b) <= k.radius + TIE);
  });
}

/**
 * One rod number for a whole plane, with the dials set to its falls: what the rod reads on the bench then, plus how far the plane,
 * carried on to the bench, lies below it. Null where the floor is no plane or the place of the bench is not known.
 */
function planeBelow(floor, bench) {
  return floor.plane && bench.at ? bench.z - (subgradeOf(floor, bench.at[0], bench.at[1]) + floor.up) : null;
}
