"""Adjusts the random yards of tests/it/random_yards.rs with SciPy and writes tests/data/scipy-networks.txt.

Run once, by hand, with SciPy installed: python scipy_networks.py. The generator is the same as in the
test, number for number. Each line of the output: kind, number, weighted sum of squares, x and y of each
free point in metres.
"""

import datetime
import math
import pathlib
import platform

import numpy
import scipy
from scipy.optimize import least_squares


class Random:
    """A linear congruential generator, the same in both programs."""

    def __init__(self, seed):
        self.state = (seed * 0x9E3779B97F4A7C15 + 1) % 2**64

    def uniform(self):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 11) / 2**53

    def normal(self):
        total = 0.0
        for _ in range(12):
            total += self.uniform()
        return total - 6.0


def yard(number):
    """Places of the points, and tapes as (from, to, length, sigma), and the blunder as (tape, size)."""
    random = Random(number)
    count = 6 + int(random.uniform() * 7.0)
    places = []
    while len(places) < count:
        at = (random.uniform() * 30.0, random.uniform() * 20.0)
        if all(math.hypot(at[0] - p[0], at[1] - p[1]) > 2.0 for p in places):
            places.append(at)
    tapes = []
    for j in range(count):
        tied = 0
        for i in range(j):
            length = math.hypot(places[i][0] - places[j][0], places[i][1] - places[j][1])
            wanted = random.uniform() < 0.6 or tied < 3
            if j > 2 and wanted:
                sigma = 0.004 + 0.0004 * length
                tapes.append((i, j, length + sigma * random.normal(), sigma))
                tied += 1
    bad = int(random.uniform() * len(tapes))
    size = (0.1 + 0.9 * random.uniform()) * (1.0 if random.uniform() < 0.5 else -1.0)
    return places, tapes, (bad, size)


def adjust(places, tapes):
    held = 3

    def residuals(x):
        at = numpy.vstack([numpy.array(places[:held]), x.reshape(-1, 2)])
        return [(math.hypot(*(at[b] - at[a])) - length) / sigma for a, b, length, sigma in tapes]

    # A blunder can leave several minima; the least of those reached from the true places, and from each
    # free point's image about each line of two points it is taped to, is the answer.
    starts = [list(places)]
    for point in range(held, len(places)):
        ties = [b if a == point else a for a, b, _, _ in tapes if point in (a, b)]
        for k, i in enumerate(ties):
            for j in ties[:k]:
                image = list(places)
                image[point] = reflected(places[point], places[i], places[j])
                starts.append(image)
    options = dict(xtol=1e-15, ftol=1e-15, gtol=1e-15, method="lm")
    tries = [least_squares(residuals, numpy.array(start[held:]).ravel(), **options) for start in starts]
    found = min(tries, key=lambda one: one.cost)
    return found.x, 2.0 * found.cost


def reflected(at, a, b):
    """The image of a place about the line from a to b."""
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    off = -uy * (at[0] - a[0]) + ux * (at[1] - a[1])
    return (at[0] + 2.0 * off * uy, at[1] - 2.0 * off * ux)


def main():
    out = pathlib.Path(__file__).parent / "data" / "scipy-networks.txt"
    versions = f"SciPy {scipy.__version__}, NumPy {numpy.__version__}, Python {platform.python_version()}"
    lines = [f"# scipy.optimize.least_squares, method lm; {versions}; {datetime.date.today()}"]
    for number in range(200):
        places, tapes, (bad, size) = yard(number)
        a, b, length, sigma = tapes[bad]
        spoiled = tapes[:bad] + [(a, b, length + size, sigma)] + tapes[bad + 1 :]
        for kind, list_of_tapes in (("clean", tapes), ("blunder", spoiled)):
            x, cost = adjust(places, list_of_tapes)
            lines.append(f"{kind} {number} {cost:.6f} " + " ".join(f"{value:.7f}" for value in x))
    out.write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
