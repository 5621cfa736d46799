"""How much stands too high in a hole and how much is missing, by general-purpose libraries. Writes digcheck.json.

Four invented holes: an outline that is not convex, a plane to dig to, random stakes shot in it. Net of the shots by scipy (Qhull),
cut with the outline by shapely (GEOS), each piece split where the two cross, where they are a tolerance apart and where topsoil that
may not stay orders the dig deeper; volume of a piece = its area times the difference at its centroid, which is exact. Shares of the
stakes by shapely's half-planes. Sums by math.fsum. The program is held to 1e-9.

    python digcheck.py
"""

import json
from math import fsum, hypot
from pathlib import Path

import numpy as np
from scipy.spatial import Delaunay
from shapely.geometry import Point, Polygon

FAR = 1e4
# A difference of just the tolerance is in, and so is one a hair above it.
TIE = 1e-9
ELL = [(40.0, 30.0), (40.0, 150.0), (90.0, 150.0), (90.0, 80.0), (150.0, 80.0), (150.0, 30.0)]  # northing, easting
STRIP, BUILD_UP = 0.5, 1.0


def plane(gn, ge, z):
    return (gn, ge, z)


def value(f, n, e):
    return f[0] * n + f[1] * e + f[2]


def less(f, g):
    return tuple(a - b for a, b in zip(f, g))


def through(points):
    """The plane through three (n, e, z)."""
    (n0, e0, z0), b, c = points
    rows = np.array([[b[0] - n0, b[1] - e0], [c[0] - n0, c[1] - e0]])
    gn, ge = np.linalg.solve(rows, [b[2] - z0, c[2] - z0])
    return (gn, ge, z0 - gn * n0 - ge * e0)


def half(f):
    """Where f is not negative, as a great polygon; None where f is a constant."""
    size = hypot(f[0], f[1])
    if size < 1e-15:
        return None
    n, e = f[0] / size, f[1] / size
    on = (-f[2] * f[0] / size**2, -f[2] * f[1] / size**2)
    along = (-e, n)
    at = lambda a, b: (on[0] + a * along[0] + b * n, on[1] + a * along[1] + b * e)
    return Polygon([at(-FAR, 0), at(FAR, 0), at(FAR, FAR), at(-FAR, FAR)])


def where(polygon, f):
    """The part of a polygon where f is not negative."""
    region = half(f)
    if region is None:
        return polygon if f[2] >= 0 else Polygon()
    return polygon.intersection(region)


def integral(polygon, f):
    """Of a linear function, over polygons without curves: area times the value at the centroid."""
    if polygon.is_empty or polygon.area == 0.0:
        return 0.0
    return polygon.area * value(f, polygon.centroid.x, polygon.centroid.y)


def raised(f, by):
    return (f[0], f[1], f[2] + by)


def case(seed, may_stay, orders, tolerance):
    random = np.random.default_rng(seed)
    outline = Polygon(ELL)
    # Ground, finish and what the bucket digs to; a plane each.
    ground = plane(0.005, -0.01, 100.0)
    finish = plane(-0.02, 0.0, 100.6 + 0.02 * 40.0)
    allowance = 0.0 if may_stay else 0.25 / 12.0
    subgrade = raised(finish, -BUILD_UP)
    wanted, bottom = raised(subgrade, allowance), raised(ground, -STRIP)
    stakes = []
    while len(stakes) < 60:
        n, e = np.round(random.uniform((40.5, 30.5), (149.5, 149.5)), 3)
        if outline.buffer(-0.4).contains(Point(n, e)) and all(hypot(n - s[0], e - s[1]) > 2.0 for s in stakes):
            dig_to = value(wanted, n, e) if may_stay else min(value(wanted, n, e), value(bottom, n, e))
            stakes.append((float(n), float(e), round(float(dig_to + random.normal(-0.01, 0.06)), 3), dig_to))
    ordered = [0.0] * len(stakes)
    for k in range(orders):
        # Some of these say how deep, the others were dug to firm ground.
        n, e, z, dig_to = stakes[k]
        stakes[k] = (n, e, round(z - 0.4, 3), dig_to)
        ordered[k] = 0.3 if k % 2 else max(0.0, dig_to - stakes[k][2])
    net = Delaunay(np.array([s[:2] for s in stakes]))
    assert len(net.coplanar) == 0
    high_limit, low_limit = (t + TIE for t in tolerance)
    sums = {key: [] for key in ("area", "high", "low", "high_beyond", "low_beyond", "high_area", "low_area", "sheet", "day")}
    for t in net.simplices:
        piece = Polygon([stakes[k][:2] for k in t]).intersection(outline)
        dug = through([stakes[k][:3] for k in t])
        order = through([(*stakes[k][:2], ordered[k]) for k in t])
        floors = [(piece, wanted, None)]
        if not may_stay:
            over = less(wanted, bottom)
            near = where(where(piece, over), raised(tuple(-v for v in over), allowance))
            deep = where(piece, raised(over, -allowance))
            shallow = where(piece, tuple(-v for v in over))
            floors = [(shallow, wanted, None), (near, bottom, None), (deep, bottom, subgrade)]
        for part, floor, back in floors:
            if part.is_empty:
                continue
            d = tuple(a + o - b for a, o, b in zip(dug, order, floor))
            minus = tuple(-v for v in d)
            up, down = where(part, d), where(part, minus)
            high, low = integral(up, d), integral(down, minus)
            out, under = where(part, raised(d, -high_limit)), where(part, raised(minus, -low_limit))
            sums["area"].append(part.area)
            sums["high"].append(high)
            sums["low"].append(low)
            sums["high_beyond"].append(integral(out, d))
            sums["low_beyond"].append(integral(under, minus))
            sums["high_area"].append(out.area)
            sums["low_area"].append(under.area)
            bare = less(floor, dug)
            sums["day"] += [integral(where(part, bare), bare), -low]
            if back is not None:
                up = tuple(b - a - o for a, o, b in zip(dug, order, back))
                sums["sheet"] += [integral(where(part, up), up), -low]
    shares = []
    for n, e, *_ in stakes:
        cell = outline
        for m, f, *_ in stakes:
            if (m, f) != (n, e):
                # Nearer to (n, e) than to (m, f).
                cell = cell.intersection(half((2 * (n - m), 2 * (e - f), m * m + f * f - n * n - e * e)))
        shares.append(cell.area)
    assert abs(fsum(shares) - outline.area) < 1e-8 * outline.area
    differences = [s[2] - s[3] + o for s, o in zip(stakes, ordered)]
    return {
        "may_stay": may_stay,
        "tolerance": list(tolerance),
        "orders": orders,
        "stakes": [list(s[:3]) for s in stakes],
        "dig_to": [s[3] for s in stakes],
        "shares": shares,
        "mean": float(np.mean(differences)),
        "spread": float(np.std(differences, ddof=1)),
        **{key: fsum(values) for key, values in sums.items()},
    }


if __name__ == "__main__":
    cases = [
        case(1, True, 0, (0.04, 0.04)),
        case(2, False, 0, (0.03, 0.05)),
        case(3, False, 6, (0.04, 0.04)),
        case(4, True, 9, (0.0, 0.1)),
    ]
    for c in cases:
        print({k: v for k, v in c.items() if isinstance(v, (int, float))})
    (Path(__file__).parent / "digcheck.json").write_text(json.dumps(cases) + "\n")
