"""Strip-packing instances whose shortest length is known, for benchmarks and tests.

* Hopper and Turton 2001, category C1 (three lists, 20 wide, shortest length 20): written down from
  memory; that the areas add up to 20 x 20 is tested. They need not be guillotine.
* Perfect rectangles: 33 x 32 (Moron 1925, order 9) and 112 x 112 (Duijvestijn 1978, order 21),
  from memory, areas tested. They are not guillotine, so no plan of strips reaches them.
* Cut by construction: a sheet is cut edge to edge at random places until it has so many pieces, as
  in the guillotine category T of Hopper and Turton 2001 (sheet and numbers of pieces as there,
  from memory; the cuts are ours). The sheet's length is the shortest there can be.
* Quilts by construction: a cloth 40 in wide is cut at multiples of patch sizes, so that sizes
  repeat as they do in quilts.
"""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass

from quiltgeom.cutting.solver.items import Demand, Item

__all__ = ["Instance", "constructed", "published", "quilts"]

C1 = (
    [
        (2, 12),
        (7, 12),
        (8, 6),
        (3, 6),
        (3, 5),
        (5, 5),
        (3, 12),
        (3, 7),
        (5, 7),
        (2, 6),
        (3, 2),
        (4, 2),
        (3, 4),
        (4, 4),
        (9, 2),
        (11, 2),
    ],
    [
        (4, 1),
        (4, 5),
        (9, 4),
        (3, 5),
        (3, 9),
        (1, 4),
        (5, 3),
        (4, 1),
        (5, 5),
        (7, 2),
        (9, 3),
        (3, 13),
        (2, 8),
        (15, 4),
        (5, 4),
        (10, 6),
        (7, 2),
    ],
    [
        (4, 14),
        (5, 2),
        (2, 2),
        (9, 7),
        (5, 5),
        (2, 5),
        (7, 7),
        (3, 5),
        (6, 5),
        (3, 2),
        (6, 2),
        (4, 6),
        (6, 3),
        (10, 3),
        (6, 3),
        (10, 3),
    ],
)
PERFECT = (
    ("33 x 32 in 9 squares", 33, 32, [18, 15, 14, 10, 9, 8, 7, 4, 1]),
    (
        "112 x 112 in 21 squares",
        112,
        112,
        [50, 42, 37, 35, 33, 29, 27, 25, 24, 19, 18, 17, 16, 15, 11, 9, 8, 7, 6, 4, 2],
    ),
)


@dataclass(frozen=True, slots=True)
class Instance:
    """A list of pieces on a cloth ``width`` wide whose shortest length is ``optimum``."""

    name: str
    demand: Demand
    width: int
    optimum: int


def _demand(rects: list[tuple[int, int]], turn: bool) -> Demand:
    return Demand(tuple(Item(w, h, n, turn) for (w, h), n in sorted(Counter(rects).items())))


def published() -> list[Instance]:
    """The lists that are written down above, with and without turning."""
    out = []
    for k, rects in enumerate(C1, 1):
        for turn in (False, True):
            way = "turning" if turn else "one way"
            out.append(Instance(f"C1-P{k}, {way}", _demand(rects, turn), 20, 20))
    for name, width, length, sides in PERFECT:
        out.append(Instance(name, _demand([(s, s) for s in sides], False), width, length))
    return out


def constructed(seed: int = 1) -> list[Instance]:
    """Sheets of 200 x 200 cut into 17, 25, 29, 49 and 73 pieces, each with and without turning."""
    out = []
    for number in (17, 25, 29, 49, 73):
        rects = _guillotine(200, 200, number, random.Random(1000 * seed + number))
        for turn in (False, True):
            way = "turning" if turn else "one way"
            out.append(Instance(f"200 x 200 in {number}, {way}", _demand(rects, turn), 200, 200))
    return out


def _guillotine(width: int, length: int, number: int, r: random.Random) -> list[tuple[int, int]]:
    pieces = [(width, length)]
    while len(pieces) < number:
        w, h = pieces.pop(r.choices(range(len(pieces)), [a * b for a, b in pieces])[0])
        across = r.random() < h / (w + h)  # cut the longer side more often
        side = h if across else w
        if side < 8:
            pieces.append((w, h))
            continue
        at = r.randint(max(2, side // 6), side - max(2, side // 6))
        pieces += [(w, at), (w, h - at)] if across else [(at, h), (w - at, h)]
    return pieces


def quilts(number: int = 24, seed: int = 1) -> list[Instance]:
    """Cloth 320 eighths wide cut into bands and columns of repeated patches without any waste."""
    out = []
    for k in range(number):
        r = random.Random(7919 * seed + k)
        rects: list[tuple[int, int]] = []
        length = 0
        for _ in range(r.randint(2, 5)):
            height = r.choice([40, 48, 56, 60, 72, 84, 96])
            rects += _band(320, height, r)
            length += height
        turn = r.random() < 0.6
        way = "turning" if turn else "one way"
        name = f"quilt {k}, {len(rects)} pieces, {way}"
        out.append(Instance(name, _demand(rects, turn), 320, length))
    return out


def _band(width: int, height: int, r: random.Random) -> list[tuple[int, int]]:
    """Columns of equal patches side by side; the last column takes what is left."""
    out, left = [], width
    while left > 0:
        rows = r.choice([1, 2, 3, 4])
        while height % rows:
            rows -= 1
        w = r.choice([height // rows, 20, 28, 36, 44])
        times = min(r.randint(1, 4), left // w)
        if times == 0 or left - times * w < 12:
            w, times = left, 1
        out += [(w, height // rows)] * (times * rows)
        left -= times * w
    return out
