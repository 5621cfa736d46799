"""Three loops of levels adjusted set-up by set-up with numpy, as a check on the program's lines between meeting points.

Every set-up is an observation of its own: rise = back - fore, weight 1 (by set-ups) or 1/distance; every point that is not a
bench is an unknown, turning points included. x = (A'PA)^-1 A'Pl; s0^2 = v'Pv / (observations - unknowns); standard error of a
height = s0 sqrt(q). Writes levels.json: the notes, and what they come to, both ways of weighing.
"""

import json
from pathlib import Path

import numpy as np

BENCHES = {"BM1": 100.0, "BM2": 97.32}
MILE = 5280.0
# Runs: the points in their order, backsight and foresight in thousandths, and the distance of each set-up in feet.
RUNS = [
    (["BM1", "t1", "J", "t2", "K"], [(4127, 6389, 210.0), (5033, 5871, 185.0), (3990, 4402, 260.5), (6120, 5555, 140.0)]),
    (["J", "t3", "t4", "BM2"], [(4711, 3102, 90.25), (5220, 4804, 155.0), (2987, 3664, 120.0)]),
    (["K", "t5", "BM1"], [(7215, 5120, 300.0), (6640, 5606, 275.0)]),
    (["BM2", "t6", "K", "s1", "s2"], [(3333, 5050, 200.0), (4809, 4098, 333.0), (5100, 4000, 75.0), (4000, 4444, 80.0)]),
]


def adjusted(by_distance):
    names = []
    for points, _ in RUNS:
        names += [p for p in points if p not in BENCHES and p not in names]
    rows, right, weights = [], [], []
    for points, set_ups in RUNS:
        for a, b, (back, fore, distance) in zip(points, points[1:], set_ups):
            row, rise = np.zeros(len(names)), (back - fore) / 1000.0
            for point, sign in ((a, -1.0), (b, 1.0)):
                if point in BENCHES:
                    rise -= sign * BENCHES[point]
                else:
                    row[names.index(point)] += sign
            rows.append(row)
            right.append(rise)
            weights.append(MILE / distance if by_distance else 1.0)
    a, l, p = np.array(rows), np.array(right), np.diag(weights)
    q = np.linalg.inv(a.T @ p @ a)
    x = q @ a.T @ p @ l
    v = a @ x - l
    s0 = float(np.sqrt(v @ p @ v / (len(rows) - len(names))))
    lines = []
    # Between points where runs meet, as the program reports them.
    meeting, k = {"BM1", "BM2", "J", "K", "s2"}, 0
    for points, _ in RUNS:
        begin, total = points[0], 0.0
        for b in points[1:]:
            total += v[k]
            k += 1
            if b in meeting:
                lines.append({"from": begin, "to": b, "residual": float(total)})
                begin, total = b, 0.0
    heights = {n: {"height": float(h), "standard_error": float(s0 * np.sqrt(c))} for n, h, c in zip(names, x, np.diag(q))}
    return {"spread": s0, "heights": heights, "lines": lines}


notes = ["point,bs,is,fs,distance"]
for points, set_ups in RUNS:
    for k, point in enumerate(points):
        back = f"{set_ups[k][0] / 1000:.3f}" if k < len(set_ups) else ""
        fore, distance = (f"{set_ups[k - 1][1] / 1000:.3f}", set_ups[k - 1][2]) if k else ("", "")
        notes.append(f"{point},{back},,{fore},{distance}")
out = {"benches": BENCHES, "notes": notes, "set_ups": adjusted(False), "distance": adjusted(True)}
Path(__file__).with_name("levels.json").write_text(json.dumps(out, indent=1) + "\n")
