"""Limit and time used: large and hostile lists, each stopped by the clock.

Run: python -m tests.benchmarks.limits. Seconds are those of the wall, of :func:`cut_plan` or of
:func:`shortest` alone (not of starting the program); beside them the length found and its bound.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable

import scipy.optimize  # noqa: F401 (loading it is part of the program's start)

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.cutting.solver.budget import Budget
from quiltgeom.cutting.solver.items import Demand, Item
from quiltgeom.cutting.solver.solve import shortest
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns


def many_sizes(number: int = 60) -> Demand:
    """So many sizes of 1 to 20 in, 1 to 39 pieces each."""
    return _drawn(60, number, (8, 160), lambda r: r.randrange(1, 40))


def many_pieces(number: int = 10_000) -> Demand:
    """So many pieces of ten sizes of 1 1/2 to 12 1/2 in."""
    return _drawn(10, 10, (12, 100), lambda r: number // 10)


def _drawn(
    seed: int, sizes: int, between: tuple[int, int], count: Callable[[random.Random], int]
) -> Demand:
    r, rows = random.Random(seed), dict[tuple[int, int], int]()
    while len(rows) < sizes:
        rows[r.randrange(*between), r.randrange(*between)] = count(r)
    return Demand(tuple(Item(w, h, n, True) for (w, h), n in sorted(rows.items())))


def _measured(name: str, limit: float | None, plan: Callable[[], str]) -> None:
    begin = time.monotonic()
    try:
        said = plan()
    except QuiltError as e:
        said = f"one error: {str(e)[:60]}..."
    took, most = time.monotonic() - begin, "none" if limit is None else f"{limit:4.1f} s"
    print(f"{name:<44} limit {most:>6}  took {took:5.2f} s  {said}", flush=True)


def _lists() -> None:
    for name, demand, width in (
        ("60 sizes, 108 in", many_sizes(), 864),
        ("10,000 pieces of 10 sizes", many_pieces(), 320),
        ("100,000 pieces of 10 sizes", many_pieces(100_000), 320),
        ("400 sizes, 108 in", many_sizes(400), 864),
    ):
        for limit in (2.0, 10.0):

            def plan(d: Demand = demand, w: int = width, s: float = limit) -> str:
                made = shortest(d, w, budget=Budget(s))
                return (
                    f"{made.length / 8:,.1f} in, bound {made.bound / 8:,.1f} in, "
                    f"{100 * (made.bought / made.bound - 1):.2f} % over it"
                )

            _measured(name, limit, plan)


def _quilts() -> None:
    quilt = lay_out(load_patterns().get("sail-loft"))
    cloths = {"accent": ((40.0, 2.5),) * 20}
    for name, limit, more in (
        ("sail-loft", 1.0, {}),
        ("20 strips of 40 x 2 1/2 in", 1.0, {"have": cloths}),
        ("cloth 2 in wide", 2.0, {"width": 2.0}),
        ("cloth 5000 in wide", None, {"width": 5000.0}),
        ("cloth 500 in wide", None, {"width": 500.0}),
        ("cloth 2.500001 in wide", None, {"width": 2.500001}),
        ("1/8 in of cloth 5000 in wide", None, {"have": {"focus": (0.125, 5000.0)}}),
        ("999 charm squares", 5.0, {"have": {"accent": ((5.0, 5.0),) * 999}}),
        ("999 squares of 9 in", None, {"have": {"accent": ((9.0, 9.0),) * 999}}),
    ):

        def plan(more: dict[str, object] = more, limit: float | None = limit) -> str:
            made = cut_plan(quilt, {}, seconds=limit, **more)  # type: ignore[arg-type]
            return ", ".join(f"{f.role} {f.status}" for f in made.fabrics)

        _measured(name, limit, plan)


if __name__ == "__main__":
    _quilts()
    _lists()
