"""Length of cloth against its bound, beside simpler ways of cutting and rectangle packers.

Run: python -m tests.benchmarks.cutting [LISTS] [EFFORT]. Three sources of lists: random ones, those
of the fabrics of the pattern library (as it is, and for prints that may not turn), each in its
thriftiest way of cutting, and lists whose shortest length is known. Prints how many shop steps (1/8
yd) or what share each way of cutting is over the bound.

Side by side: first-fit strips; rows by formula (each size for itself); a skyline bottom-left packer
written here (best of four orders); and, where it is installed, ``rectpack``, a general rectangle
packer (best of four of its strategies). Layouts of packers cannot be cut in strips.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solver.items import Demand, Item
from quiltgeom.cutting.solver.solve import EFFORT, Solution, shortest
from quiltgeom.cutting.solver.strips import first_fit, formula_rows, tidy
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from tests.benchmarks.instances import Instance, constructed, published, quilts

WIDTH, STEP = 320, 36
SIZES = [1.5, 2, 2.5, 2.875, 3.5, 3.875, 4.5, 4.875, 5.25, 6.5, 6.875, 7.25, 8.5, 9.75, 12.5]
ALL: list[int] = []
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
    keys = [
        lambda p: (-p[1], -p[0]),
        lambda p: (-p[0], -p[1]),
        lambda p: -p[0] * p[1],
        lambda p: -max(p),
    ]
    return min(_skyline(demand, width, key) for key in keys)


def _skyline(demand: Demand, width: int, key) -> int:  # type: ignore[no-untyped-def]
    pieces = [(i.width, i.height, i.may_turn) for i in demand.items for _ in range(i.count)]
    pieces.sort(key=lambda p: key(p[:2]))
    line = [0] * width
    for w, h, turn in pieces:
        best = None
        for a, b in ((w, h), (h, w)) if turn else ((w, h),):
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


def packed(demand: Demand, width: int) -> int | None:
    """Height of a packing by ``rectpack``, the best of four strategies; None without it.

    It turns every piece or none: lists that mix both are packed as if none might turn.
    """
    try:
        import rectpack
    except ImportError:
        return None
    turn = all(i.may_turn for i in demand.items)
    tall = sum(i.count * max(i.width, i.height) for i in demand.items)
    best = tall
    for algo in (rectpack.SkylineMwf, rectpack.MaxRectsBssf):
        for order in (rectpack.SORT_SSIDE, rectpack.SORT_AREA):
            packer = rectpack.newPacker(
                mode=rectpack.PackingMode.Offline, pack_algo=algo, sort_algo=order, rotation=turn
            )
            packer.add_bin(width, tall)
            for i in demand.items:
                for _ in range(i.count):
                    packer.add_rect(i.width, i.height)
            packer.pack()
            if len(packer[0]) == demand.pieces:
                best = min(best, max(r.y + r.height for r in packer[0]))
    return best


def _strips(demand: Demand, width: int) -> tuple[int, int]:
    """Lengths of first-fit strips and of rows by formula."""
    fit = sum(s.height for s in tidy(first_fit(demand, width), demand))
    return fit, sum(s.height for s in formula_rows(demand, width) or [])


@dataclass(frozen=True)
class Case:
    """A list of rectangles, its plan and bound, and how many steps the shop sells for a length."""

    demand: Demand
    solution: Solution
    seconds: float
    steps: Callable[[int], int]


def random_cases(count: int, effort: int) -> Iterator[Case]:
    """Random lists, each planned as it is."""
    for seed in range(count):
        demand, begin = random_list(seed), time.process_time()
        plan = shortest(demand, WIDTH, tries=effort)
        yield Case(demand, plan, time.process_time() - begin, lambda n: -(-n // STEP))


def pattern_cases(direction: Direction, effort: int) -> Iterator[Case]:
    """Every fabric of every pattern at its usual size: the thriftiest way of cutting it, against
    the bound of all ways. The other solvers are given the list of that way."""
    roles = sorted({r for p in load_patterns() for r in p.roles})
    fabrics = {r: Fabric(r, colour="#88aacc", direction=direction) for r in roles}
    for pattern in load_patterns():
        begin = time.process_time()
        plan = cut_plan(
            lay_out(pattern), fabrics, effort=effort, options=CutOptions(manner="thrifty")
        )
        spent = (time.process_time() - begin) / len(plan.fabrics)
        for f in plan.fabrics:
            yield Case(
                f.demand, f.solution, spent, lambda n, t=f.terms: round(t.buy(n * 0.125) / t.step)
            )  # type: ignore[misc]


def report(name: str, cases: Iterable[Case]) -> None:
    """Steps over the bound, for lists on a cloth of the usual width."""
    gaps: dict[str, list[int]] = {}
    times, worse, heights, lists = [], 0, [], []
    for case in cases:
        demand, plan = case.demand, case.solution
        lists.append(demand)
        times.append(case.seconds)
        fit, rows = _strips(demand, WIDTH)
        heights.append(len(set(plan.strips)))
        lengths = {
            "ours": plan.length,
            "first-fit strips": fit,
            "rows by formula": rows,
            "skyline packer": skyline(demand, WIDTH),
        }
        pack = packed(demand, WIDTH)
        if pack is not None:
            lengths["rectpack"] = pack
        for label, length in lengths.items():
            gaps.setdefault(label, []).append(case.steps(length) - case.steps(plan.bound))
        worse += gaps["ours"][-1] > min(gaps["first-fit strips"][-1], gaps["rows by formula"][-1])
    ALL.extend(gaps["ours"])
    n = len(lists)
    print(
        f"{name}: {n} lists, median {statistics.median(d.pieces for d in lists):g} pieces, "
        f"{sum(not d.items[0].may_turn for d in lists)} that may not turn"
    )
    for label, over in gaps.items():
        print(
            f"  {label:<17} {statistics.mean(over):5.2f} steps over the bound, "
            f"{100 * sum(g == 0 for g in over) / n:3.0f} % at it, "
            f"{100 * sum(g <= 1 for g in over) / n:3.0f} % within one"
        )
    print(
        f"  worse than first-fit strips or rows by formula: {worse}; different strip heights: "
        f"mean {statistics.mean(heights):.1f}; processor time per list: median "
        f"{statistics.median(times):.2f} s, longest {max(times):.2f} s",
        flush=True,
    )


def report_known(name: str, instances: Sequence[Instance], effort: int) -> None:
    """Shares over the known shortest length, the bound's share of it, in whole eighths."""
    over: dict[str, list[float]] = {}
    reached, proven, times = 0, 0, []
    for i in instances:
        begin = time.process_time()
        plan = shortest(i.demand, i.width, step=1, tries=effort)
        times.append(time.process_time() - begin)
        if plan.bound > i.optimum:
            raise SystemExit(f"{i.name}: bound {plan.bound} above the known {i.optimum}")
        fit, rows = _strips(i.demand, i.width)
        lengths = {
            "ours": plan.length,
            "first-fit strips": fit,
            "rows by formula": rows,
            "skyline packer": skyline(i.demand, i.width),
        }
        pack = packed(i.demand, i.width)
        if pack is not None:
            lengths["rectpack"] = pack
        for label, length in lengths.items():
            over.setdefault(label, []).append(100 * (length / i.optimum - 1))
        reached += plan.length == i.optimum
        proven += plan.bound == i.optimum
    print(f"{name}: {len(instances)} lists with known shortest length")
    for label, shares in over.items():
        print(
            f"  {label:<17} {statistics.mean(shares):5.1f} % over it on average, "
            f"{max(shares):5.1f} % at most"
        )
    print(
        f"  shortest length reached: {reached}; bound equal to it: {proven}; processor time per "
        f"list: median {statistics.median(times):.2f} s, longest {max(times):.2f} s",
        flush=True,
    )


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    effort = int(sys.argv[2]) if len(sys.argv) > 2 else EFFORT
    report("random", random_cases(count, effort))
    report("pattern library", pattern_cases("non-directional", effort))
    report("pattern library, one-way prints", pattern_cases("one-way", effort))
    print(
        f"all {len(ALL)}: {statistics.mean(ALL):.2f} steps over the bound, "
        f"{sum(g == 0 for g in ALL) / len(ALL):.0%} at it, "
        f"{sum(g <= 1 for g in ALL) / len(ALL):.1%} within one"
    )
    report_known("published lists", published(), effort)
    report_known("sheets cut edge to edge", constructed(), effort)
    report_known("quilts cut edge to edge", quilts(12), effort)
