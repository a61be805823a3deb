"""What cutting easily costs: easy plans against thrifty ones, every pattern in three directions.

Run: python -m tests.benchmarks.manners [EFFORT]. Prints a line for every fabric where the two buy
different lengths, then shop steps (1/8 yd) and cuts in all, and how often the default is easy.
"""

from __future__ import annotations

import statistics
import sys

from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.options import CutOptions, Manner
from quiltgeom.cutting.solver.solve import EFFORT
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.pattern import Pattern

WAYS: tuple[Direction, ...] = ("one-way", "two-way", "non-directional")


def planned(pattern: Pattern, way: Direction, manner: Manner, effort: int) -> CutPlan:
    """A plan of a pattern at its usual size, all its fabrics with the same direction."""
    fabrics = {r: Fabric(r, colour="#88aacc", direction=way) for r in pattern.roles}
    return cut_plan(lay_out(pattern), fabrics, effort=effort, options=CutOptions(manner=manner))


def main(effort: int) -> None:
    """Print the comparison."""
    more: list[float] = []
    cuts: list[tuple[int, int]] = []
    default: list[float] = []
    for pattern in load_patterns():
        for way in WAYS:
            easy, thrifty, auto = (
                planned(pattern, way, m, effort).fabrics for m in ("easy", "thrifty", "auto")
            )
            for e, t, a in zip(easy, thrifty, auto, strict=True):
                step = e.terms.step
                more.append((e.buy - t.buy) / step)
                default.append((a.buy - t.buy) / step)
                cuts.append((e.solution.cuts, t.solution.cuts))
                if abs(more[-1]) > 1e-6:
                    print(
                        f"{pattern.key}, {way}, {e.role}: easy {e.buy / step:.0f} steps, thrifty "
                        f"{t.buy / step:.0f}, bound {t.bound / step:.0f}; {e.solution.cuts} cuts "
                        f"for {t.solution.cuts}",
                        flush=True,
                    )
    n = len(more)
    for name, row in (("easy", more), ("default", default)):
        print(
            f"{name}: {statistics.mean(row):+.2f} steps more than thrifty, at most "
            f"{max(row):+.0f}; as short in {100 * sum(m <= 1e-6 for m in row) / n:.0f} % of {n}"
        )
    e, t = (sum(c) for c in zip(*cuts, strict=True))
    print(f"cuts: {e} for {t} ({100 * e / t - 100:+.0f} %)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else EFFORT)
