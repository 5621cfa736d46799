"""The second way: everything again in whole numbers and fractions, without any rounding.

A place is a pair of whole thousandths, a net a list of corner triples, counter-clockwise. Volumes are in cubic
thousandths as fractions until the very end. Nothing here knows numpy, scipy, shapely or matplotlib.
"""

from fractions import Fraction
from math import fsum, sqrt


def orient(a, b, c):
    """Twice the signed area; positive counter-clockwise."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def in_circle(a, b, c, d):
    """Positive where d lies inside the circle of a, b, c (counter-clockwise); zero where on it."""
    rows = [(p[0] - d[0], p[1] - d[1]) for p in (a, b, c)]
    (ax, ay), (bx, by), (cx, cy) = rows
    aa, bb, cc = (x * x + y * y for x, y in rows)
    return ax * (by * cc - bb * cy) - ay * (bx * cc - bb * cx) + aa * (bx * cy - by * cx)


def neighbours(triangles):
    """Directed edge to the corner opposite it."""
    across = {}
    for a, b, c in triangles:
        for u, v, w in ((a, b, c), (b, c, a), (c, a, b)):
            assert (u, v) not in across, "an edge has two triangles on one side"
            across[u, v] = w
    return across


def check_net(p, triangles, is_strictly_delaunay, kept=frozenset()):
    """Every place used, no gap, no overlap, a convex hull; and, if asked, one Delaunay triangulation only.

    `kept` edges (either direction) must be there and bound what a circle has to be empty of.
    """
    across = neighbours(triangles)
    assert {i for t in triangles for i in t} == set(range(len(p)))
    assert all((u, v) in across or (v, u) in across for u, v in kept), "a kept edge is missing"
    assert all(orient(*(p[i] for i in t)) > 0 for t in triangles)
    hull = {u: v for (v, u) in across if (u, v) not in across}
    hull = {v: u for u, v in hull.items()}
    at = start = next(iter(hull))
    ring = []
    while True:
        ring.append(at)
        at = hull[at]
        if at == start:
            break
    assert len(ring) == len(hull), "the hull is more than one ring"
    turns = [orient(p[ring[i - 2]], p[ring[i - 1]], p[ring[i]]) for i in range(len(ring))]
    assert all(t >= 0 for t in turns), "the hull is not convex"
    assert len(triangles) == 2 * len(p) - 2 - len(ring)
    o = p[ring[0]]
    assert sum(orient(o, p[u], p[v]) for u, v in hull.items()) == sum(orient(*(p[i] for i in t)) for t in triangles)
    if is_strictly_delaunay:
        for (u, v), w in across.items():
            if (v, u) in across and (u, v) not in kept and (v, u) not in kept:
                assert in_circle(p[u], p[v], p[w], p[across[v, u]]) < 0, "four places lie on one empty circle"


def plane(a, b, c, za, zb, zc):
    """(gx, gy, z0) of the plane through three corners."""
    twice = orient(a, b, c)
    gx = Fraction((zb - za) * (c[1] - a[1]) - (zc - za) * (b[1] - a[1]), twice)
    gy = Fraction((zc - za) * (b[0] - a[0]) - (zb - za) * (c[0] - a[0]), twice)
    return gx, gy, za - gx * a[0] - gy * a[1]


def value(f, p):
    return f[0] * p[0] + f[1] * p[1] + f[2]


def keep(ring, f):
    """The part of a convex ring where the linear function f is not negative."""
    out = []
    values = [value(f, p) for p in ring]
    for i, (p, v) in enumerate(zip(ring, values)):
        q, w = ring[i - 1], values[i - 1]
        if (v < 0 < w) or (w < 0 < v):
            t = Fraction(w) / (w - v)
            out.append((q[0] + t * (p[0] - q[0]), q[1] + t * (p[1] - q[1])))
        if v >= 0:
            out.append(p)
    return out if len(out) > 2 else []


def within(ring, triangle):
    """The part of a convex ring inside a counter-clockwise triangle."""
    for i in range(3):
        a, b = triangle[i - 1], triangle[i]
        if ring:
            ring = keep(ring, (a[1] - b[1], b[0] - a[0], a[0] * b[1] - a[1] * b[0]))
    return ring


def moments(ring, f):
    """(area, integral of f, greatest f) over a convex ring."""
    area = total = 0
    values = [value(f, p) for p in ring]
    for i in range(1, len(ring) - 1):
        twice = orient(ring[0], ring[i], ring[i + 1])
        area += twice
        total += twice * (values[0] + values[i] + values[i + 1])
    return Fraction(area, 2), Fraction(total, 6), max(values, default=0)


def fan(rings):
    """A region as a sum of triangles from one place, each with a sign: (sign, triangle)."""
    o = rings[0][0]
    for ring in rings:
        for i in range(len(ring)):
            twice = orient(o, ring[i - 1], ring[i])
            if twice > 0:
                yield 1, (o, ring[i - 1], ring[i])
            elif twice < 0:
                yield -1, (o, ring[i], ring[i - 1])


def overlay(before, after, pairs, rings):
    """Cut, fill and areas over the pairs of triangles that may touch, inside the rings (outside first) if any.

    cut is the integral of max(0, before - after).
    """
    p, z, triangles = before
    q, h, others = after
    parts = list(fan(rings)) if rings else [(1, None)]
    planes_p = [plane(*(p[i] for i in t), *(z[i] for i in t)) for t in triangles]
    planes_q = [plane(*(q[i] for i in t), *(h[i] for i in t)) for t in others]
    sums = dict.fromkeys(("cut", "fill", "area", "cut_area", "fill_area"), Fraction(0))
    most = {"max_cut": Fraction(0), "max_fill": Fraction(0)}
    for s, t in pairs:
        shared = within([p[i] for i in triangles[s]], [q[i] for i in others[t]])
        if not shared:
            continue
        d = tuple(a - b for a, b in zip(planes_p[s], planes_q[t]))
        for sign, part in parts:
            ring = within(shared, part) if part else shared
            if not ring:
                continue
            sums["area"] += sign * moments(ring, d)[0]
            for name, f in (("cut", d), ("fill", tuple(-a for a in d))):
                area, volume, greatest = moments(keep(ring, f), f)
                sums[name] += sign * volume
                if greatest > 0:
                    sums[f"{name}_area"] += sign * area
                if not rings:
                    most[f"max_{name}"] = max(most[f"max_{name}"], greatest)
    scale = {"cut": 10**9, "fill": 10**9}
    out = {name: float(v / scale.get(name, 10**6)) for name, v in sums.items()}
    if not rings:
        out |= {name: float(v / 1000) for name, v in most.items()}
    return out


def area(p, triangles):
    return float(Fraction(sum(orient(*(p[i] for i in t)) for t in triangles), 2 * 10**6))


def height(surface, place):
    """Height at a place (thousandths, may be fractions) by trying every triangle."""
    p, z, triangles = surface
    for t in triangles:
        a, b, c = (p[i] for i in t)
        if orient(a, b, place) >= 0 and orient(b, c, place) >= 0 and orient(c, a, place) >= 0:
            return float(value(plane(a, b, c, *(z[i] for i in t)), place) / 1000)
    raise AssertionError("the place is off the surface")


def contour(surface, level):
    """(length, lines, closed lines) of a level that no corner has."""
    p, z, triangles = surface
    assert level not in z
    crossing, joined, lengths = {}, {}, []
    for t in triangles:
        ends = []
        for u, v in ((t[0], t[1]), (t[1], t[2]), (t[2], t[0])):
            if (z[u] < level) != (z[v] < level):
                edge = (min(u, v), max(u, v))
                if edge not in crossing:
                    a, b = edge
                    s = Fraction(level - z[a], z[b] - z[a])
                    crossing[edge] = (p[a][0] + s * (p[b][0] - p[a][0]), p[a][1] + s * (p[b][1] - p[a][1]))
                ends.append(edge)
        if ends:
            (a, b), (c, d) = (crossing[e] for e in ends)
            lengths.append(sqrt((c - a) ** 2 + (d - b) ** 2) / 1000)
            for e, f in (ends, ends[::-1]):
                joined.setdefault(e, []).append(f)
    lines = closed = 0
    seen = set()
    for start in joined:
        if start in seen:
            continue
        lines += 1
        stack, is_open = [start], False
        while stack:
            e = stack.pop()
            if e not in seen:
                seen.add(e)
                is_open |= len(joined[e]) == 1
                stack += joined[e]
        closed += not is_open
    return fsum(lengths), lines, closed
