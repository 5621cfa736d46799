#!/usr/bin/env python3
"""How long does the same job take with general-purpose libraries? The measure from outside.

    python3 benches/outside.py BEFORE.csv AFTER.csv exact      # every pair of triangles, by shapely
    python3 benches/outside.py BEFORE.csv AFTER.csv 1000       # 1000 x 1000 cells, heights at their middles
    python3 benches/outside.py scatter N FOLDER                # two tables of N shots to try both on

Tables: point,northing,easting,elevation with a header or none. Prints seconds of processor time stage by stage, and cut and
fill. Needs numpy, scipy, shapely, matplotlib (the versions of tests/reference). One thread: the solver under the interpolation
spins for many times as long on a busy machine when it may start threads.
"""
import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
import sys
import time

import numpy as np
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import Delaunay

BEGUN = time.process_time()
LAST = [BEGUN]


def stage(name):
    now = time.process_time()
    print(f"{name:<12} {now - LAST[0]:9.3f} s")
    LAST[0] = now


def scatter(n, folder):
    """Two surveys of one square, corners shared, whole thousandths, gentle ground; always the same."""
    rng = np.random.default_rng(20)
    side = 10.0 * np.ceil(np.sqrt(n))
    for name, lift, wave in (("before", 0.0, 9.0), ("after", -0.2, 5.0)):
        x, y = np.round(rng.uniform(0, side, (2, n)), 3)
        x[:4], y[:4] = (0, side, side, 0), (0, 0, side, side)
        z = 100 + lift + np.sin(x / side * wave) + 0.8 * np.cos(y / side * 7) - 2 * x / side
        with open(os.path.join(folder, f"{name}_{n}.csv"), "w") as out:
            out.write("point,northing,easting,elevation\n")
            out.writelines(f"P{k},{b + 1.75e6:.3f},{a + 2.5e6:.3f},{c:.3f}\n" for k, (a, b, c) in enumerate(zip(x, y, z), 1))


def table(path):
    with open(path) as text:
        header = any(c.isalpha() for c in text.readline().split(",")[1])
    rows = np.loadtxt(path, delimiter=",", usecols=(1, 2, 3), skiprows=int(header))
    return rows[:, [1, 0]], rows[:, 2]


def above(area, d):
    """Integral over triangles of max(d, 0), d linear with the corner values given (rows)."""
    a, b, c = np.sort(d, axis=1).T
    with np.errstate(divide="ignore", invalid="ignore"):
        tip = area * c**3 / (3 * (c - a) * (c - b))
        foot = area * -(a**3) / (3 * (b - a) * (c - a))
    whole = area * (a + b + c) / 3
    return np.select([a >= 0, c <= 0, b <= 0], [whole, 0 * whole, tip], whole + foot)


def plane(net, z):
    """Height of each triangle's plane at the origin, and its slopes."""
    p = net.points[net.simplices]
    q = z[net.simplices]
    u, v = p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    zu, zv = q[:, 1] - q[:, 0], q[:, 2] - q[:, 0]
    det = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    slope = np.c_[(zu * v[:, 1] - zv * u[:, 1]) / det, (u[:, 0] * zv - v[:, 0] * zu) / det]
    return q[:, 0] - (slope * p[:, 0]).sum(axis=1), slope


def exact(one, z_one, other, z_other):
    import shapely

    ring = lambda net: shapely.polygons(net.points[net.simplices[:, [0, 1, 2, 0]]])
    before, after = ring(one), ring(other)
    (h1, s1), (h2, s2) = plane(one, z_one), plane(other, z_other)
    tree = shapely.STRtree(after)
    cut = fill = 0.0
    for first in range(0, len(before), 40_000):
        i, j = tree.query(before[first : first + 40_000], predicate="intersects")
        i += first
        shared = shapely.intersection(before[i], after[j])
        flat = shapely.get_type_id(shared) == 3
        shared, i, j = shared[flat], i[flat], j[flat]
        xy, of = shapely.get_coordinates(shared, return_index=True)
        d = h1[i[of]] - h2[j[of]] + ((s1[i[of]] - s2[j[of]]) * xy).sum(axis=1)
        size = np.bincount(of)
        start = np.cumsum(size) - size
        # A closed ring of k corners is k - 3 triangles from its first.
        hub = np.repeat(start, size - 3)
        turn = np.arange(len(hub)) - np.repeat(np.cumsum(size - 3) - (size - 3), size - 3)
        b, c = hub + 1 + turn, hub + 2 + turn
        (bx, by), (cx, cy) = (xy[b] - xy[hub]).T, (xy[c] - xy[hub]).T
        area, corner = np.abs(bx * cy - by * cx) / 2, np.c_[d[hub], d[b], d[c]]
        cut += above(area, corner).sum()
        fill += above(area, -corner).sum()
    return cut, fill


def cells(one, z_one, other, z_other, wide):
    low, high = one.points.min(axis=0), one.points.max(axis=0)
    x, y = (low[k] + (np.arange(wide) + 0.5) / wide * (high[k] - low[k]) for k in (0, 1))
    places = np.stack(np.meshgrid(x, y), axis=-1)
    d = LinearNDInterpolator(one, z_one)(places) - LinearNDInterpolator(other, z_other)(places)
    d = d[np.isfinite(d)] * np.prod((high - low) / wide)
    return d[d > 0].sum(), -d[d < 0].sum()


def main():
    if sys.argv[1] == "scatter":
        return scatter(int(sys.argv[2]), sys.argv[3])
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    stage("imports")
    (p, z), (q, w) = table(sys.argv[1]), table(sys.argv[2])
    origin = p.min(axis=0)
    stage("read")
    one, other = Delaunay(p - origin), Delaunay(q - origin)
    stage("surfaces")
    how = sys.argv[3]
    cut, fill = exact(one, z, other, w) if how == "exact" else cells(one, z, other, w, int(how))
    stage("cut and fill")
    figure, axes = plt.subplots(figsize=(12, 12))
    net = matplotlib.tri.Triangulation(*one.points.T, one.simplices)
    axes.tricontour(net, z, levels=np.linspace(z.min(), z.max(), 52)[1:-1], linewidths=0.5)
    stage("contours")
    figure.savefig(os.devnull, format="png", dpi=100)
    stage("picture")
    print(f"{'all':<12} {time.process_time() - BEGUN:9.3f} s")
    print(f"cut {cut:.6f} fill {fill:.6f}")


main()
