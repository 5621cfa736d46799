"""How much water stands on a survey, by a raster from general-purpose libraries.

Six invented surveys of a square with its corners. Net by scipy (Qhull), heights by its linear interpolation on a raster whose outer
nodes lie on the edge of the square, depressions filled by greyscale reconstruction by erosion (scikit-image, eight neighbours; Vincent
1993) from those outer nodes. Volume = sum of (filled - ground) x cell. A raster is not exact: the program is held to 2 %. Writes
ponds.json.

    python ponds.py
"""

import json
from pathlib import Path

import numpy as np
from scipy.interpolate import LinearNDInterpolator
from skimage.morphology import reconstruction

SIDE, CELLS = 100.0, 1000


def survey(seed):
    random = np.random.default_rng(seed)
    inside = random.uniform(1.0, SIDE - 1.0, (80, 2))
    places = np.vstack([[[0, 0], [SIDE, 0], [SIDE, SIDE], [0, SIDE]], inside])
    heights = np.concatenate([[9.0, 8.0, 9.5, 8.5], random.uniform(3.0, 9.0, 80)])
    return np.round(np.column_stack([places, heights]), 3)


def volume(points):
    at = np.linspace(0.0, SIDE, CELLS + 1)
    grid = np.stack(np.meshgrid(at, at, indexing="ij"), axis=-1)
    z = LinearNDInterpolator(points[:, :2], points[:, 2])(grid)
    seed = np.full_like(z, z.max())
    for edge in (np.s_[0, :], np.s_[-1, :], np.s_[:, 0], np.s_[:, -1]):
        seed[edge] = z[edge]
    return float((reconstruction(seed, z, method="erosion") - z).sum() * (SIDE / CELLS) ** 2)


if __name__ == "__main__":
    out = []
    for seed in range(6):
        points = survey(seed)
        out.append({"shots": points.tolist(), "volume": volume(points)})
        print(seed, out[-1]["volume"])
    (Path(__file__).parent / "ponds.json").write_text(json.dumps(out) + "\n")
