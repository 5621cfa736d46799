"""What do general-purpose libraries make of the surveys in cases/? Writes values.json.

Nets by scipy (Qhull), overlay by shapely (GEOS), heights by scipy and matplotlib, contours by matplotlib; then
everything again in fractions (exact.py). The script stops where the two ways are further apart than APART. What is
written is the exact value, rounded once.

    python values.py
"""

import csv
import json
from fractions import Fraction
from math import fsum
from pathlib import Path

import matplotlib
import numpy as np
import scipy
import shapely
from matplotlib.figure import Figure
from matplotlib.tri import LinearTriInterpolator, Triangulation
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import Delaunay

import exact

HERE = Path(__file__).parent
APART = 1e-11
# Regular grids: every square cell that is not plane gets a node at the mean of its corners, place and height.
SQUARE_CELLS = {"volcano"}


def thousandths(text):
    whole = round(float(text) * 1000)
    assert f"{whole / 1000:.3f}" == text
    return whole


def read(file):
    with file.open() as rows:
        rows = [[thousandths(r[k]) for k in ("easting", "northing", "elevation")] for r in csv.DictReader(rows)]
    return [(e, n) for e, n, _ in rows], [z for _, _, z in rows]


def read_rings(file):
    rings = {}
    with file.open() as rows:
        for r in csv.DictReader(rows):
            rings.setdefault(r["ring"], []).append((thousandths(r["easting"]), thousandths(r["northing"])))
    out = []
    for i, ring in enumerate(rings.values()):
        twice = sum(exact.orient(ring[0], ring[j - 1], ring[j]) for j in range(len(ring)))
        out.append(ring if (twice > 0) == (i == 0) else ring[::-1])
    return out


def local(p, origin):
    """Places as floats about a whole-number origin, so that nothing is lost at large coordinates."""
    return np.array([[(float(x - origin[0])) / 1000, float(y - origin[1]) / 1000] for x, y in p])


def delaunay_net(p, z, origin):
    found = Delaunay(local(p, origin))
    assert len(found.coplanar) == 0
    triangles = [tuple(int(i) for i in t) for t in found.simplices]
    triangles = [t if exact.orient(*(p[i] for i in t)) > 0 else t[::-1] for t in triangles]
    exact.check_net(p, triangles, is_strictly_delaunay=True)
    return p, z, triangles


def square_net(p, z):
    """Cell by cell: four triangles about a centre node, or two where the four corners are in one plane."""
    at = {place: i for i, place in enumerate(p)}
    xs, ys = sorted({x for x, _ in p}), sorted({y for _, y in p})
    p, z, triangles = list(p), list(z), []
    for x0, x1 in zip(xs, xs[1:]):
        for y0, y1 in zip(ys, ys[1:]):
            a, b, c, d = (at[corner] for corner in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
            if z[a] + z[c] == z[b] + z[d]:
                triangles += [(a, b, c), (a, c, d)]
            else:
                m = len(p)
                p.append((Fraction(x0 + x1, 2), Fraction(y0 + y1, 2)))
                z.append(Fraction(z[a] + z[b] + z[c] + z[d], 4))
                triangles += [(a, b, m), (b, c, m), (c, d, m), (d, a, m)]
    exact.check_net(p, triangles, is_strictly_delaunay=False)
    return p, z, triangles


def positive_parts(d, areas):
    """Volume and area where a linear difference is positive, triangle by triangle (closed form)."""
    low, mid, high = np.sort(d, axis=1).T
    with np.errstate(divide="ignore", invalid="ignore"):
        top = np.where(high > 0, high**2 / ((high - low) * (high - mid)), 0.0)
        pit = np.where(low < 0, low**2 / ((mid - low) * (high - low)), 0.0)
    mean = (low + mid + high) / 3
    one_up, two_up = (high > 0) & (mid <= 0), (mid > 0) & (low < 0)
    share = np.select([low >= 0, two_up, one_up], [(high > 0) * 1.0, 1 - pit, top], 0.0)
    depth = np.select([low >= 0, two_up, one_up], [mean, mean - pit * low / 3, top * high / 3], 0.0)
    return fsum(areas * depth), fsum(areas * share)


def planes(places, heights, triangles):
    """Gradient and one corner of each triangle, in floats."""
    a, b, c = (places[triangles[:, k]] for k in range(3))
    za, zb, zc = (heights[triangles[:, k]] for k in range(3))
    u, v = b - a, c - a
    twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    gx = ((zb - za) * v[:, 1] - (zc - za) * u[:, 1]) / twice
    gy = ((zc - za) * u[:, 0] - (zb - za) * v[:, 0]) / twice
    return a, za, gx, gy


def overlay(before, after, pairs, rings, origin, base):
    """Cut, fill and areas by shapely: pairs intersected, pieces cut into triangles, closed form on each."""
    nets = []
    for p, z, triangles in (before, after):
        places, triangles = local(p, origin), np.array(triangles)
        heights = np.array([float(h - base) / 1000 for h in z])
        nets.append((shapely.polygons(places[triangles]), planes(places, heights, triangles)))
    (first, planes_p), (second, planes_q) = nets
    s, t = pairs
    pieces = shapely.intersection(first[s], second[t])
    if rings:
        outline = shapely.Polygon(local(rings[0], origin), [local(r, origin) for r in rings[1:]])
        pieces = shapely.intersection(pieces, outline)
    pieces, which = shapely.get_parts(pieces, return_index=True)
    is_face = shapely.get_type_id(pieces) == 3
    pieces, which = pieces[is_face], which[is_face]
    corners, owner = [], []
    for piece, k in zip(pieces, which):
        faces = [piece] if len(piece.exterior.coords) == 4 and not piece.interiors else None
        for face in faces or shapely.get_parts(shapely.constrained_delaunay_triangles(piece)):
            corners.append(face.exterior.coords[:3])
            owner.append(k)
    corners, owner = np.array(corners), np.array(owner)
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    areas = abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2

    def heights(of, index):
        a, z, gx, gy = (column[index] for column in of)
        return z[:, None] + gx[:, None] * (corners[..., 0] - a[:, :1]) + gy[:, None] * (corners[..., 1] - a[:, 1:])

    d = heights(planes_p, s[owner]) - heights(planes_q, t[owner])
    cut, cut_area = positive_parts(d, areas)
    fill, fill_area = positive_parts(-d, areas)
    out = {"cut": cut, "fill": fill, "area": fsum(areas), "cut_area": cut_area, "fill_area": fill_area}
    if not rings:
        out |= {"max_cut": max(0.0, d.max()), "max_fill": max(0.0, -d.min())}
    return out


def touching(before, after, origin):
    """Pairs of triangles whose boxes touch (shapely's tree)."""
    first, second = (shapely.polygons(local(p, origin)[np.array(t)]) for p, _, t in (before, after))
    return shapely.STRtree(second).query(first)


class Gap:
    """The greatest relative distance between the two ways."""

    def __init__(self):
        self.worst = 0.0

    def same(self, library, exactly, what):
        apart = abs(library - exactly) / max(abs(exactly), 1e-300) if library != exactly else 0.0
        assert apart < APART, f"{what}: {library!r} is not {exactly!r}"
        self.worst = max(self.worst, apart)
        return exactly


def heights_at(name, surface, origin, random, gap):
    p, z, triangles = surface
    places, h = local(p, origin), np.array([float(v) / 1000 for v in z])
    tri = Triangulation(*places.T, triangles=np.array(triangles))
    by_matplotlib = LinearTriInterpolator(tri, h)
    by_scipy = None if name in SQUARE_CELLS else LinearNDInterpolator(Delaunay(places), h)
    out = []
    for t in random.choice(len(triangles), 20):
        share = 0.1 + 0.7 * random.dirichlet((1, 1, 1))
        # Whole millionths, counted in thousandths.
        x, y = (fsum(w * float(p[i][k]) for w, i in zip(share, triangles[t])) for k in (0, 1))
        x, y = (Fraction(round(1000 * v), 1000) for v in (x, y))
        value = exact.height(surface, (x, y))
        (u, v), = local([(x, y)], origin)
        gap.same(float(by_matplotlib(u, v)), value, f"{name}: height by matplotlib")
        if by_scipy is not None:
            gap.same(float(by_scipy(u, v)), value, f"{name}: height by scipy")
        out.append({"northing": float(y / 1000), "easting": float(x / 1000), "height": value})
    return out


def contours_of(name, surface, origin, gap):
    p, z, triangles = surface
    places, h = local(p, origin), np.array([float(v) / 1000 for v in z])
    tri = Triangulation(*places.T, triangles=np.array(triangles))
    out = []
    for share in (0.1, 0.3, 0.5, 0.7, 0.9):
        # Half a thousandth beside a shot's height, or 0.3 above whole and quarter metres: no corner is on the line.
        level = sorted(z)[int(share * len(z))]
        level = level // 1000 * 1000 + 300 if name in SQUARE_CELLS else level + Fraction(1, 2)
        length, lines, closed = exact.contour(surface, level)
        found = Figure().subplots().tricontour(tri, h, levels=[float(level / 1000)]).allsegs[0]
        gap.same(fsum(fsum(np.hypot(*np.diff(s, axis=0).T)) for s in found), length, f"{name}: contour length")
        assert len(found) == lines, f"{name}: {len(found)} contour lines, {lines} expected"
        assert sum(bool((s[0] == s[-1]).all()) for s in found) == closed, f"{name}: closed contour lines"
        out.append({"level": float(level / 1000), "length": length, "lines": lines, "closed": closed})
    return out


def case(name):
    gap = Gap()
    raw = [read(HERE / "cases" / f"{name}.{part}.csv") for part in ("before", "after")]
    origin = tuple(min(p[k] for places, _ in raw for p in places) for k in (0, 1))
    base = min(min(z) for _, z in raw)
    if name in SQUARE_CELLS:
        before, after = (square_net(p, z) for p, z in raw)
    else:
        before, after = (delaunay_net(p, z, origin) for p, z in raw)
    pairs = touching(before, after, origin)
    out = {"name": name, "cells": "centre nodes" if name in SQUARE_CELLS else "none"}
    out["before_area"], out["after_area"] = exact.area(*before[::2]), exact.area(*after[::2])
    limit = HERE / "cases" / f"{name}.limit.csv"
    for key, rings in (("whole", None), ("limited", read_rings(limit) if limit.exists() else None)):
        if key == "whole" or rings:
            found = overlay(before, after, pairs, rings, origin, base)
            exactly = exact.overlay(before, after, pairs.T.tolist(), rings)
            out[key] = {k: gap.same(found[k], v, f"{name}: {key} {k}") for k, v in exactly.items()}
    random = np.random.default_rng(20)
    out["heights"] = heights_at(name, before, origin, random, gap)
    out["contours"] = contours_of(name, before, origin, gap)
    out["libraries_apart"] = float(f"{gap.worst:.1e}")
    print(f"{name:12} {len(before[2]):5} x {len(after[2]):5} triangles, ways apart {gap.worst:.1e}", out["whole"])
    return out


if __name__ == "__main__":
    names = sorted(f.name.split(".")[0] for f in (HERE / "cases").glob("*.before.csv"))
    made_with = {"numpy": np.__version__, "scipy": scipy.__version__, "shapely": shapely.__version__}
    made_with |= {"geos": shapely.geos_version_string, "matplotlib": matplotlib.__version__}
    result = {"made_with": made_with, "tolerance": 1e-9, "cases": [case(name) for name in names]}
    (HERE / "values.json").write_text(json.dumps(result, indent=1) + "\n")
