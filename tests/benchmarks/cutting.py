"""Length of cloth against its bound, beside first-fit strips and a general rectangle packer.

Run: python -m tests.benchmarks.cutting [LISTS] [SECONDS]. Prints steps of 1/8 yd over the bound.
The packer is a skyline bottom-left packer written here; its layouts cannot be cut in strips.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections import Counter

from quiltgeom.cutting.items import Demand, Item
from quiltgeom.cutting.plan import cut_plan
from quiltgeom.cutting.solve import shortest
from quiltgeom.cutting.strips import first_fit, tidy
from quiltgeom.layout.quilt import lay_out
from quiltgeom.library.patterns import load_patterns

WIDTH, STEP = 320, 36
SIZES = [1.5, 2, 2.5, 2.875, 3.5, 3.875, 4.5, 4.875, 5.25, 6.5, 6.875, 7.25, 8.5, 9.75, 12.5]
COUNTS = [4, 8, 8, 12, 12, 16, 20, 24, 30, 36, 48, 60]


def random_list(seed: int) -> Demand:
    """A realistic list: 3 to 10 sizes, some strips, three in ten without turning."""
    r = random.Random(seed)
    turn = r.random() > 0.31
    rows: Counter[tuple[int, int]] = Counter()
    for _ in range(r.randint(3, 10)):
        kind = r.random()
        w = r.choice(SIZES)
        h = w if kind < 0.6 else r.choice(SIZES)
        count = r.choice(COUNTS) if max(w, h) < 9 else r.choice([2, 4, 6, 8])
        if kind > 0.88:
            w, h, count = r.choice([18.5, 24.5, 30.5, 40]), r.choice([1.5, 2.5, 4.5]), 4
        rows[int(w * 8), int(h * 8)] += count
    return Demand(tuple(Item(w, h, n, turn) for (w, h), n in sorted(rows.items())))


def skyline(demand: Demand, width: int) -> int:
    """Height of a bottom-left skyline packing, the best of four orders."""
    keys = [lambda p: (-p[1], -p[0]), lambda p: (-p[0], -p[1]), lambda p: -p[0] * p[1],
            lambda p: -max(p)]  # fmt: skip
    return min(_skyline(demand, width, key) for key in keys)


def _skyline(demand: Demand, width: int, key) -> int:  # type: ignore[no-untyped-def]
    pieces = [(i.width, i.height, i.may_turn) for i in demand.items for _ in range(i.count)]
    pieces.sort(key=lambda p: key(p[:2]))
    line = [0] * width
    for w, h, turn in pieces:
        best = None
        for a, b in {(w, h), (h, w)} if turn else {(w, h)}:
            if a > width:
                continue
            starts = [x for x in range(width - a + 1) if x == 0 or line[x] != line[x - 1]]
            for x in starts:
                y = max(line[x : x + a])
                if best is None or (y + b, x) < best[0]:
                    best = ((y + b, x), a, b)
        (top, x), a, _ = best
        line[x : x + a] = [top] * a
    return max(line)


def report(name: str, lists: list[Demand], seconds: float) -> None:
    ours, fit, pack, times, worse = [], [], [], [], 0
    for demand in lists:
        begin = time.perf_counter()
        plan = shortest(demand, WIDTH, seconds=seconds)
        times.append(time.perf_counter() - begin)
        bound, bought = plan.bound // STEP, plan.bought // STEP
        strips = -(-sum(s.height for s in tidy(first_fit(demand, WIDTH), demand)) // STEP)
        ours.append(bought - bound)
        fit.append(strips - bound)
        pack.append(-(-skyline(demand, WIDTH) // STEP) - bound)
        worse += bought > strips
    n = len(lists)
    print(f"{name}: {n} lists, median {statistics.median(d.pieces for d in lists):g} pieces")
    for label, gaps in (("ours", ours), ("first-fit strips", fit), ("skyline packer", pack)):
        print(f"  {label:<17} {statistics.mean(gaps):5.2f} steps over the bound, "
              f"{100 * sum(g == 0 for g in gaps) / n:3.0f} % at it, "
              f"{100 * sum(g <= 1 for g in gaps) / n:3.0f} % within one")  # fmt: skip
    print(f"  worse than first-fit strips: {worse}; time per list: median "
          f"{statistics.median(times):.2f} s, longest {max(times):.2f} s", flush=True)  # fmt: skip


def pattern_lists() -> list[Demand]:
    plans = [cut_plan(lay_out(p), {}, seconds=0.1) for p in load_patterns()]
    return [f.demand for plan in plans for f in plan.fabrics]


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    limit = float(sys.argv[2]) if len(sys.argv) > 2 else 8.0
    report("random", [random_list(s) for s in range(count)], limit)
    report("pattern library", pattern_lists(), limit)
