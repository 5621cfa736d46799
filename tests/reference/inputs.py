"""Which surveys are compared? Writes cases/NAME.before.csv, NAME.after.csv and, where there is one, NAME.limit.csv.

Ten seeded random sites and two pieces of open terrain. Coordinates and heights are decimals with three places, so
that every number in the files is exactly what the program reads. No four places of a random survey lie on one
empty circle (values.py proves it in whole numbers), so there is one Delaunay triangulation and no tie to break.

    python inputs.py path/to/volcano.json

The volcano is read from the crate `contour` 0.13.1 (tests/fixtures/volcano.json); the fault from matplotlib's own
sample data. See README.md for origin and licence.
"""

import json
import sys
from pathlib import Path

import numpy as np

CASES = Path(__file__).parent / "cases"


def write(name, part, rows):
    """Rows of (northing, easting, elevation), three decimals."""
    lines = ["point,northing,easting,elevation"]
    lines += [f"{i + 1},{n:.3f},{e:.3f},{z:.3f}" for i, (n, e, z) in enumerate(rows)]
    (CASES / f"{name}.{part}.csv").write_text("\n".join(lines) + "\n")


def write_limit(name, rings):
    """Rings of (northing, easting): the first is the outside, the rest are holes."""
    lines = ["ring,northing,easting"]
    lines += [f"{r + 1},{n:.3f},{e:.3f}" for r, ring in enumerate(rings) for n, e in ring]
    (CASES / f"{name}.limit.csv").write_text("\n".join(lines) + "\n")


def places(random, count, size, turn, middle):
    """Irregular places in a rectangle of that size (easting, northing), turned by degrees about its middle."""
    kept = []
    apart = 0.25 * np.sqrt(size[0] * size[1] / count)
    while len(kept) < count:
        p = (random.random(2) - 0.5) * size
        if all(np.hypot(*(p - q)) > apart for q in kept):
            kept.append(p)
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    return np.round(np.array(kept) @ np.array([[c, s], [-s, c]]) + middle, 3)


def ground(p, size, relief, phase):
    """Rolling ground: a tilt and three waves, heights to 0.001."""
    u, v = p[:, 0] / size[0], p[:, 1] / size[1]
    z = 0.5 * u - 0.3 * v + 0.6 * np.sin(4 * u + phase) * np.cos(3 * v) + 0.25 * np.cos(9 * v + 5 * u + phase)
    return relief * z


#    name         seed  before after  size            relief  base     shift of the after survey  origin (E, N)
SITES = [
    ("court",        1,    40,    44, (30.0, 20.0),     1.2,  100.0,  (2.0, 1.0),    (500.0, 1000.0)),
    ("yard",         2,   120,    80, (120.0, 70.0),    4.0,  812.0,  (9.0, -6.0),   (5000.0, 5000.0)),
    ("slope",        3,   400,    60, (200.0, 150.0),  18.0,   40.0,  (-15.0, 11.0), (2000.0, 3000.0)),
    ("lot",          4,   250,   400, (90.0, 90.0),     2.5,  233.0,  (5.0, 4.0),    (1000.0, 1000.0)),
    ("splinter",     5,    40,    45, (0.5, 0.3),       0.05,  10.0,  (0.02, 0.01),  (10.0, 20.0)),
    ("grid-north",   6,   160,   120, (85.0, 60.0),     3.0,  312.0,  (4.0, 3.0),    (600000.0, 4500000.0)),
    ("strip",        7,   300,    90, (300.0, 6.0),     0.8,   99.0,  (4.0, 0.4),    (100.0, 100.0)),
    ("hillside",     8,   400,   400, (80.0, 80.0),    12.0, 1250.0,  (-3.0, 2.0),   (300.0, 700.0)),
    ("corner",       9,   150,   150, (60.0, 60.0),     2.0,   55.0,  (42.0, 40.0),  (0.0, 0.0)),
    ("below-datum", 10,   200,    40, (50.0, 35.0),     3.0,   -2.0,  (1.0, -2.0),   (-400.0, -900.0)),
]

# Outlines as easting and northing from the site's middle, in parts of its size; the first ring is the outside.
LIMITS = {
    "yard": [[(-0.35, -0.35), (0.40, -0.30), (0.05, 0.02), (0.38, 0.36), (-0.30, 0.33), (-0.12, -0.05)]],
    "lot": [
        [(-0.40, -0.38), (0.0, -0.21), (0.42, -0.36), (0.22, 0.03), (0.37, 0.41), (-0.03, 0.24), (-0.39, 0.37)],
        [(-0.08, -0.07), (-0.05, 0.09), (0.11, 0.06), (0.03, 0.0), (0.09, -0.08)],
    ],
    "grid-north": [[(-0.42, -0.40), (0.39, -0.41), (0.41, 0.10), (-0.02, 0.07), (-0.05, 0.43), (-0.40, 0.40)]],
    "strip": [[(-0.45, -0.30), (0.45, -0.20), (0.30, 0.10), (0.44, 0.38), (-0.44, 0.31), (-0.20, 0.05)]],
}


def random_sites():
    for name, seed, count_before, count_after, size, relief, base, shift, origin in SITES:
        random = np.random.default_rng(seed)
        size, shift, origin = np.array(size), np.array(shift), np.array(origin)
        before = places(random, count_before, size, 7.0, 0.0)
        after = places(random, count_after, size * (0.9, 1.05), -11.0, shift)
        z_before = base + ground(before, size, relief, 0.3) + 0.04 * relief * random.standard_normal(len(before))
        z_after = base + 0.6 * ground(after, size, relief, 1.1) + 0.02 * relief * random.standard_normal(len(after))
        for part, p, z in (("before", before, z_before), ("after", after, z_after)):
            write(name, part, [(y + origin[1], x + origin[0], h) for (x, y), h in zip(p, z)])
        if name in LIMITS:
            rings = [[(v * size[1] + origin[1], u * size[0] + origin[0]) for u, v in ring] for ring in LIMITS[name]]
            write_limit(name, rings)


def volcano(file):
    """Every second post of the 10 m grid against every third, the latter lowered by 0.37 m and rising 1 in 1000.

    Both stay regular grids, whose square cells get a node in the middle. Posts, edges and diagonals of the two
    coincide in many places: the hard case for an overlay.
    """
    grid = json.loads(Path(file).read_text())
    height = np.array(grid["data"], float).reshape(grid["height"], grid["width"])
    for part, first, step, drop, rise in (("before", 0, 2, 0.0, 0.0), ("after", 1, 3, 0.37, 0.01)):
        rows = []
        for r in range(first, height.shape[0], step):
            for c in range(first, height.shape[1], step):
                rows.append((6000.0 - 10.0 * r, 2000.0 + 10.0 * c, height[r, c] - drop + rise * c))
        write("volcano", part, rows)


def fault():
    """Two irregular samples of the same ground: 700 and 500 jittered places, heights between the posts bilinear."""
    from matplotlib.cbook import get_sample_data

    height = get_sample_data("jacksboro_fault_dem.npz")["elevation"].astype(float)
    random = np.random.default_rng(11)
    for part, down, across, inset in (("before", 28, 25, 12.0), ("after", 25, 20, 30.0)):
        rows = []
        step_r, step_c = (height.shape[0] - 2 * inset) / down, (height.shape[1] - 2 * inset) / across
        for i in range(down):
            for j in range(across):
                r = inset + (i + 0.1 + 0.8 * random.random()) * step_r
                c = inset + (j + 0.1 + 0.8 * random.random()) * step_c
                a, b = int(r), int(c)
                u, v = r - a, c - b
                z = (1 - u) * ((1 - v) * height[a, b] + v * height[a, b + 1])
                z += u * ((1 - v) * height[a + 1, b] + v * height[a + 1, b + 1])
                # Three arc seconds are some 92.6 m to the north and 74.6 m to the east at this latitude.
                rows.append((40000.0 - 92.6 * r, 10000.0 + 74.6 * c, z))
        write("fault", part, rows)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    CASES.mkdir(exist_ok=True)
    random_sites()
    volcano(sys.argv[1])
    fault()
