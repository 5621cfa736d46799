"""Which surveys with breaklines are compared? Writes lines/NAME.before.csv and so on, NAME.before-lines.csv where it has lines.

Places and heights have three decimals. Lines run through shots, through places with heights of their own, or both;
some are closed, along some the ground breaks sharply. No four places lie on one circle that is empty on their side of the
lines (line_values.py proves it in whole numbers), so there is one constrained Delaunay triangulation and no tie to break.

    python line_inputs.py
"""

from math import cos, pi, sin
from pathlib import Path

import numpy as np

from exact import orient
from inputs import ground, places

LINES = Path(__file__).parent / "lines"
# Lines of a case that is not to cross keep so far, in thousandths, from one another and from places they do not take in.
CLEAR = 40


class Survey:
    """Shots in whole thousandths (easting, northing, height), and lines of row numbers and such triples."""

    def __init__(self, seed, count, size, base, relief, origin, turn=9.0):
        self.random = np.random.default_rng(seed)
        self.size, self.relief = np.array(size), relief
        p = places(self.random, count, self.size, turn, 0.0)
        self.middle, self.base = np.array(origin), base
        self.shots = [self.shot(*xy) for xy in p]
        self.lines = []

    def height(self, x, y):
        return self.base + float(ground(np.array([[x, y]]), self.size, self.relief, 0.4)[0])

    def shot(self, x, y, up=0.0):
        """A place given from the middle, on rolling ground or so far above it."""
        z = self.height(x, y) + 0.02 * self.relief * self.random.standard_normal() + up
        x, y = (round(1000 * v) for v in (x, y))
        return x + round(1000 * self.middle[0]), y + round(1000 * self.middle[1]), round(1000 * z)

    def at(self, point):
        return self.shots[point] if isinstance(point, int) else point

    def segments(self):
        return [(self.at(p), self.at(q)) for line in self.lines for p, q in zip(line, line[1:])]

    def remove(self, is_in_the_way):
        """Takes shots away that a line to be drawn must not pass; before any line has row numbers."""
        assert not any(isinstance(p, int) for line in self.lines for p in line)
        self.shots = [s for s in self.shots if not is_in_the_way(s)]

    def clear(self, line):
        """Whether a line keeps clear of the others, of itself, and of every place it does not run through."""
        through = [self.at(p) for p in line]
        closed = through[0] == through[-1]
        own = list(zip(through, through[1:]))
        ends = {s[:2] for s in through}
        others = self.segments()
        if any(not isinstance(p, int) and p[:2] in (o[0][:2], o[1][:2]) for p in line for o in others):
            return False
        if any(near(s, p, q) < CLEAR for s in self.shots + [e for o in others for e in o] if s[:2] not in ends for p, q in own):
            return False
        if any(touch(a, b, c, d) for a, b in own for c, d in others if not {a[:2], b[:2]} & {c[:2], d[:2]}):
            return False
        if any(near(s, c, d) < CLEAR for s in through for c, d in others if s[:2] not in (c[:2], d[:2])):
            return False
        for i in range(len(own)):
            for j in range(i + 2, len(own)):
                if not (closed and i == 0 and j == len(own) - 1) and touch(*own[i], *own[j]):
                    return False
        return True

    def wander(self, wanted, legs, step, by_place):
        """Random lines that keep clear: through shots, or by places (with probability by_place) up to 0.4 off the ground."""
        tries = 0
        found = []
        while len(found) < wanted:
            tries += 1
            assert tries < 40000, f"{len(found)} lines only"
            line, used = [], set()
            at = np.array(self.shots[self.random.integers(len(self.shots))][:2], float)
            heading = 2 * pi * self.random.random()
            for _ in range(1 + self.random.integers(1, legs + 1)):
                if self.random.random() < by_place:
                    x, y = at / 1000 - self.middle
                    line.append(self.shot(x + 0.07, y - 0.05, 0.8 * (self.random.random() - 0.5)))
                else:
                    apart = [np.hypot(*(np.array(s[:2]) - at)) for s in self.shots]
                    k = min((d, i) for i, d in enumerate(apart) if i not in used)[1]
                    used.add(k)
                    line.append(k)
                heading += 1.2 * (self.random.random() - 0.5)
                at = np.array(self.at(line[-1])[:2], float) + 1000 * step * np.array([cos(heading), sin(heading)])
            inside = all(abs(self.at(p)[k] / 1000 - self.middle[k]) < 0.42 * self.size[k] for p in line for k in (0, 1))
            if inside and len(line) > 1 and self.clear(line):
                self.lines.append(line)
                found.append(line)

    def ring(self, x, y, radius, corners, up, turn=0.0):
        """A closed line by places round (x, y), heights above the ground."""
        out = []
        for k in range(corners):
            angle = turn + 2 * pi * (k + 0.3 * (self.random.random() - 0.5)) / corners
            r = radius * (1 + 0.04 * self.random.random())
            out.append(self.shot(x + r * cos(angle), y + 0.8 * r * sin(angle), up))
        return out + out[:1]

    def along(self, x_from, x_to, y, bend, count, up, side=0.0):
        """A line by places that runs about east; `side` to the north of where it would be."""
        out = []
        for k in range(count):
            x = x_from + (x_to - x_from) * k / (count - 1)
            out.append(self.shot(x, y + bend * sin(3 * x / self.size[0]) + side + 0.001 * (k * k % 7), up))
        return out

    def draw(self, *lines):
        """Lines by places, with the shots that stand in their way taken away."""
        for line in lines:
            own = list(zip(line, line[1:]))
            self.remove(lambda s: any(near(s, p, q) < 2 * CLEAR for p, q in own))
        for line in lines:
            assert self.clear(line)
            self.lines.append(line)


def near(s, p, q):
    """Distance of a place to a segment."""
    (sx, sy), (px, py), (qx, qy) = s[:2], p[:2], q[:2]
    whole = (qx - px) ** 2 + (qy - py) ** 2
    part = min(1, max(0, ((sx - px) * (qx - px) + (sy - py) * (qy - py)) / whole)) if whole else 0
    return np.hypot(px + part * (qx - px) - sx, py + part * (qy - py) - sy)


def touch(a, b, c, d):
    s = [orient(a, b, c), orient(a, b, d), orient(c, d, a), orient(c, d, b)]
    return s[0] * s[1] <= 0 and s[2] * s[3] <= 0


def decimal(whole):
    sign, whole = "-" if whole < 0 else "", abs(whole)
    return f"{sign}{whole // 1000}.{whole % 1000:03d}"


def write(name, part, survey):
    rows = [f"{i + 1},{decimal(y)},{decimal(x)},{decimal(z)}" for i, (x, y, z) in enumerate(survey.shots)]
    (LINES / f"{name}.{part}.csv").write_text("\n".join(["point,northing,easting,elevation", *rows]) + "\n")
    if survey.lines:
        rows = ["line,point,northing,easting,elevation"]
        for k, line in enumerate(survey.lines):
            for p in line:
                at = f"{p + 1},,," if isinstance(p, int) else f",{decimal(p[1])},{decimal(p[0])},{decimal(p[2])}"
                rows.append(f"{k + 1},{at}")
        (LINES / f"{name}.{part}-lines.csv").write_text("\n".join(rows) + "\n")


def through(place, x, y, rise, before, after):
    """Two places in line through a third, whole multiples of one step away: the third lies on the line to the last bit."""
    step = (x, y, rise)
    return [tuple(c + m * s for c, s in zip(place, step)) for m in (-before, after)]


def pairs():
    """(name, before, after)"""
    # Top and foot of a bank; after, the foot moved.
    def bank(seed, foot, up):
        s = Survey(seed, 150, (60.0, 40.0), 100.0, 1.5, (500.0, 1000.0))
        s.draw(s.along(-24, 24, 1.0, 4.0, 9, up), s.along(-24, 24, 1.0, 4.0, 8, -up, side=-foot))
        return s

    yield "bank", bank(21, 1.5, 1.0), bank(22, 2.5, 0.6)

    # A trench with nearly upright sides: rings a fiftieth apart, a metre between their heights.
    def trench(seed, deep):
        s = Survey(seed, 90, (40.0, 30.0), 50.0, 0.8, (2000.0, 300.0))
        top = [(-12.0, -2.0), (12.3, -1.4), (12.1, 1.5), (-12.2, 1.1)]
        bottom = [(-11.97, -1.98), (12.27, -1.381), (12.079, 1.478), (-12.176, 1.079)]
        rings = [[s.shot(x, y, up) for x, y in ring] for ring, up in ((top, 0.0), (bottom, -deep))]
        rings = [ring + ring[:1] for ring in rings]
        s.remove(lambda p: abs(p[0] / 1000 - 2000) < 12.6 and abs(p[1] / 1000 - 300) < 2.3)
        s.lines = rings
        return s

    yield "trench", trench(23, 1.0), trench(24, 1.6)

    # Lines through shots alone; through places alone; both in one line.
    for name, seeds, by_place in (("named", (25, 26), 0.0), ("placed", (27, 28), 1.0), ("mixed", (29, 30), 0.5)):
        two = [Survey(k, n, (50.0, 50.0), 200.0, 2.0, (100.0, 100.0)) for k, n in zip(seeds, (140, 110))]
        for s in two:
            s.wander(12, 3, 8.0, by_place)
        yield name, *two

    # Closed lines: a ring of places within another, a second site within its hole; one through shots.
    def mounds(seed, up):
        s = Survey(seed, 160, (60.0, 60.0), 20.0, 1.0, (-300.0, -800.0))
        s.draw(s.ring(-10, 6, 12, 9, 0.0), s.ring(-10, 6, 9, 7, up), s.ring(14, -12, 8, 6, -up), s.ring(14, -12, 5, 5, up))
        return s

    yield "closed", mounds(31, 1.2), mounds(32, 0.7)

    # Only one of the two has lines, at great coordinates.
    s, t = Survey(33, 200, (90.0, 60.0), 312.0, 3.0, (600000.0, 4500000.0)), Survey(34, 120, (80.0, 66.0), 312.0, 2.0, (600002.0, 4500001.0))
    s.wander(20, 3, 6.0, 0.4)
    yield "one-sided", s, t

    # Many short lines.
    s, t = Survey(35, 400, (70.0, 70.0), 80.0, 4.0, (1000.0, 1000.0)), Survey(36, 300, (75.0, 65.0), 80.5, 3.0, (1001.0, 999.0))
    for site in (s, t):
        site.wander(45, 2, 7.0, 0.5)
    yield "many", s, t

    # Crossings at one height, each at a place of whole thousandths that no line names; three lines through one of them.
    def crossed(seed):
        s = Survey(seed, 130, (50.0, 50.0), 40.0, 1.0, (700.0, 700.0))
        for x, y, count in ((-12, -9, 2), (3, 11, 3), (13, -4, 2), (-8, 10, 2)):
            middle = s.shot(x, y, 0.7)
            for k in range(count):
                angle = s.random.random() + k * pi / count
                step = [round(350 * cos(angle)), round(350 * sin(angle)), round(30 * (s.random.random() - 0.5))]
                s.lines.append(through(middle, *step, *(int(v) for v in s.random.integers(6, 13, 2))))
        s.remove(lambda p: any(near(p, a, b) < CLEAR for a, b in s.segments()))
        return s

    yield "crossed", crossed(37), crossed(38)

    # Level lines of one height that cross where they happen to: each crossing goes to the nearest millionth.
    def woven(seed, count):
        s = Survey(seed, 100, (40.0, 40.0), 10.0, 0.9, (50.0, 90.0))
        level = 10300
        for _ in range(count):
            ends = 30 * (s.random.random((2, 2)) - 0.5)
            s.lines.append([(*s.shot(*e)[:2], level) for e in ends])
        s.remove(lambda p: any(near(p, a, b) < CLEAR for a, b in s.segments()))
        return s

    yield "woven", woven(39, 9), woven(40, 14)

    # Lines that touch, overlap, and pass through shots without naming them, all heights as they should be.
    def laid_over(seed):
        s = Survey(seed, 120, (50.0, 40.0), 60.0, 1.2, (900.0, 400.0))
        for x, y in ((-14, -8), (9, 9), (-6, 10), (12, -9)):
            middle = s.shot(x, y, 0.5)
            angle = 2 * pi * s.random.random()
            step = [round(300 * cos(angle)), round(300 * sin(angle)), round(20 * (s.random.random() - 0.5))]
            on = [tuple(c + m * d for c, d in zip(middle, step)) for m in (-15, -7, -2, 5, 9, 16)]
            side = (middle[0] - 9 * step[1] + 37, middle[1] + 9 * step[0] - 11, middle[2] + 400)
            # From the first to the fourth, from the third back to beyond the fifth; one ends on the second; the fifth is a shot.
            s.lines += [[on[0], on[3]], [on[5], on[2]], [side, on[1]]]
            s.remove(lambda p: any(near(p, a, b) < CLEAR for a, b in s.segments()))
            s.passed = getattr(s, "passed", []) + [on[4]]
        s.shots += s.passed
        return s

    yield "laid-over", laid_over(41), laid_over(42)


if __name__ == "__main__":
    LINES.mkdir(exist_ok=True)
    for name, before, after in pairs():
        write(name, "before", before)
        write(name, "after", after)
        print(name, *(f"{len(s.shots)} shots, {len(s.lines)} lines" for s in (before, after)))
