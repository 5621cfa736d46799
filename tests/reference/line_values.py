"""What does a general-purpose constrained triangulation make of the surveys in lines/? Writes line-values.json.

Lines are parted where they cross, touch, overlap or pass through a place, here in fractions and by shapely (GEOS), nets are made
by triangle (Shewchuk), proved in whole numbers, and overlaid by shapely and in fractions as in values.py. A crossing goes to the
nearest whole millionth, at the mean height of its lines there.

    python line_values.py
"""

import csv
import json
from fractions import Fraction
from importlib.metadata import version
from pathlib import Path

import numpy as np
import shapely
import triangle

import exact
from values import APART, Gap, overlay, read, thousandths, touching

HERE = Path(__file__).parent
LINES = HERE / "lines"


def read_lines(file, p, z):
    """Pieces as pairs of place numbers; places that are no shots are added to p and z."""
    number = {place: k for k, place in enumerate(p)}
    lines = {}
    if file.exists():
        with file.open() as rows:
            for r in csv.DictReader(rows):
                if r["point"]:
                    k = int(r["point"]) - 1
                else:
                    e, n, h = (thousandths(r[key]) for key in ("easting", "northing", "elevation"))
                    k = number.setdefault((e, n), len(p))
                    if k == len(p):
                        p.append((e, n))
                        z.append(h)
                    assert z[k] == h, "two heights at one place"
                lines.setdefault(r["line"], []).append(k)
    return [piece for line in lines.values() for piece in zip(line, line[1:])]


def share(a, b, q):
    """How far along from a to b a place is."""
    (ax, ay), (bx, by) = a, b
    return Fraction((q[0] - ax) * (bx - ax) + (q[1] - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)


def to_micro(v):
    """Thousandths to the nearest whole millionth, still in thousandths; no case may depend on how a half is rounded."""
    assert abs(v * 1000 % 1 - Fraction(1, 2)) > Fraction(1, 100)
    return Fraction(round(v * 1000), 1000)


def noded(p, z, pieces):
    """Edges that meet only at their ends; crossings are added to p and z."""
    number = {place: k for k, place in enumerate(p)}
    cuts = [{a, b} for a, b in pieces]
    true_places = []
    for i, (a, b) in enumerate(pieces):
        for k in range(len(p)):
            if exact.orient(p[a], p[b], p[k]) == 0 and 0 < share(p[a], p[b], p[k]) < 1:
                assert z[k] == z[a] + share(p[a], p[b], p[k]) * (z[b] - z[a]), "two heights at one place"
                cuts[i].add(k)
    given = list(p)
    for i, (a, b) in enumerate(pieces):
        for j, (c, d) in enumerate(pieces[:i]):
            fa, fb = (exact.orient(given[c], given[d], given[k]) for k in (a, b))
            fc, fd = (exact.orient(given[a], given[b], given[k]) for k in (c, d))
            if fa * fb < 0 and fc * fd < 0:
                t = Fraction(fa, fa - fb)
                true = tuple(u + t * (v - u) for u, v in zip(given[a], given[b]))
                place = tuple(to_micro(v) for v in true)
                heights = [z[u] + share(given[u], given[v], place) * (z[v] - z[u]) for u, v in ((a, b), (c, d))]
                assert abs(heights[0] - heights[1]) < Fraction(1, 10**6), "two heights at a crossing"
                k = number.setdefault(place, len(p))
                if k == len(p):
                    p.append(place)
                    z.append(sum(heights) / 2)
                    true_places.append(true)
                cuts[i].add(k)
                cuts[j].add(k)
    by_shapely(given, pieces, true_places)
    edges = set()
    for (a, b), on in zip(pieces, cuts):
        order = sorted(on, key=lambda k: share(given[a], given[b], p[k]))
        edges |= {tuple(sorted(e)) for e in zip(order, order[1:])}
    return sorted(edges)


def by_shapely(given, pieces, crossings):
    """The same crossings by GEOS, in doubles of whole thousandths, to a ten-millionth of one."""
    if not pieces:
        return

    def places(of):
        return np.array([[float(x - o) for x, o in zip(q, given[0])] for q in of])

    whole = shapely.node(shapely.multilinestrings([places([given[a], given[b]]) for a, b in pieces]))
    ends = sorted({k for piece in pieces for k in piece})
    tree = shapely.STRtree(shapely.points(places([given[k] for k in ends] + crossings)))
    nearest, apart = tree.query_nearest(shapely.points(shapely.get_coordinates(whole)), return_distance=True)
    assert apart.max() < 1e-7, "GEOS finds another crossing"
    assert set(nearest[1]) == set(range(len(tree.geometries))), "GEOS misses a crossing"


def constrained_net(p, z, edges):
    origin = tuple(min(q[k] for q in p) for k in (0, 1))
    # Whole millionths, so that triangle sees every place as it is.
    micro = [[int((x - o) * 1000) for x, o in zip(q, origin)] for q in p]
    given = {"vertices": np.array(micro, float)} | ({"segments": np.array(edges)} if edges else {})
    found = triangle.triangulate(given, "pc" if edges else "")
    assert np.array_equal(found["vertices"], given["vertices"]), "triangle added or moved a place"
    triangles = [tuple(int(i) for i in t) for t in found["triangles"]]
    triangles = [t if exact.orient(*(p[i] for i in t)) > 0 else t[::-1] for t in triangles]
    exact.check_net(p, triangles, is_strictly_delaunay=True, kept=frozenset(edges))
    return p, z, triangles


def survey(name, part):
    p, z = read(LINES / f"{name}.{part}.csv")
    shots = len(p)
    pieces = read_lines(LINES / f"{name}.{part}-lines.csv", p, z)
    places = len(p)
    edges = noded(p, z, pieces)
    net = constrained_net(p, z, edges)
    counts = {"shots": shots, "places": places - shots, "nodes": len(p) - places}
    counts |= {"edges": len(edges), "triangles": len(net[2]), "area": exact.area(*net[::2])}
    # Those that a Delaunay triangulation of the same places would not have: where there is none, the lines change nothing.
    free = triangle.triangulate({"vertices": np.array([[float((x - net[0][0][k]) * 1000) for k, x in enumerate(q)] for q in p])}, "")
    sides = {tuple(sorted((int(t[i]), int(t[i - 1])))) for t in free["triangles"] for i in range(3)}
    counts["edges_by_force"] = sum(e not in sides for e in edges)
    return net, counts


def case(name):
    gap = Gap()
    (before, of_before), (after, of_after) = (survey(name, part) for part in ("before", "after"))
    origin = tuple(min(int(q[k]) for net in (before, after) for q in net[0]) for k in (0, 1))
    base = min(min(before[1]), min(after[1]))
    pairs = touching(before, after, origin)
    found = overlay(before, after, pairs, None, origin, base)
    exactly = exact.overlay(before, after, pairs.T.tolist(), None)
    out = {"name": name, "before": of_before, "after": of_after}
    out["whole"] = {k: gap.same(found[k], v, f"{name}: {k}") for k, v in exactly.items()}
    out["libraries_apart"] = float(f"{gap.worst:.1e}")
    print(f"{name:10} {of_before['triangles']:5} x {of_after['triangles']:5} triangles, {of_before['edges_by_force']} edges by force,",
          f"ways apart {gap.worst:.1e}", out["whole"])
    return out


if __name__ == "__main__":
    names = sorted(f.name.split(".")[0] for f in LINES.glob("*.before.csv"))
    made_with = {name: version(name) for name in ("numpy", "shapely", "triangle")} | {"geos": shapely.geos_version_string}
    result = {"made_with": made_with, "tolerance": 1e-9, "ways_apart": APART, "cases": [case(name) for name in names]}
    (HERE / "line-values.json").write_text(json.dumps(result, indent=1) + "\n")
