"""The same length with fewer different strips and fewer cuts."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from quiltgeom.cutting.solver.beam import Beam, orders, search
from quiltgeom.cutting.solver.budget import Budget, Stopped
from quiltgeom.cutting.solver.columns import Pool
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.strips import Strip, cut_count, tidy

_WIDTH = 60
_ROUNDS = 6


def effort_of(strips: Sequence[Strip], demand: Demand, width: int) -> tuple[int, int, int, int]:
    """What a plan asks of the person who cuts: strip heights to set, different strips, cuts,
    length.

    >>> from quiltgeom.cutting.solver.strips import first_fit
    >>> d = Demand.of([(28, 28, 12), (20, 20, 4)])
    >>> effort_of(first_fit(d, 320), d, 320)
    (1, 2, 22, 56)
    """
    heights = [s.height for s in strips]
    different = len({(s.height, s.stacks) for s in strips})
    return len(set(heights)), different, cut_count(strips, demand, width), sum(heights)


def simplify(
    pool: Pool, prices: np.ndarray, plan: Sequence[Strip], target: int, budget: Budget | None = None
) -> list[Strip]:
    """A plan no longer than the target, with as few different strip heights as can be found.

    Leaves out one height after another, so that other strips take their place.

    Args:
        pool: strips to choose from; the plan's own are added.
        prices: as of :func:`~quiltgeom.cutting.solver.columns.generate`.
        plan: a plan within the target.
        target: greatest total height, eighths.
        budget: where it ends, the best so far is returned.
    """
    effort = partial(effort_of, demand=pool.demand, width=pool.width)
    best = list(plan)
    pool.extend(best)
    for _ in range(_ROUNDS):
        try:
            tried = [p for p in _fewer(pool, prices, best, target, budget) if p]
        except Stopped:
            break
        least = min(tried, key=effort, default=best)
        if effort(least) >= effort(best):
            break
        best = least
    return best


def _fewer(
    pool: Pool, prices: np.ndarray, plan: Sequence[Strip], target: int, budget: Budget | None
) -> list[list[Strip] | None]:
    """Plans without one of the heights of this one, and other plans with the same heights."""
    heights = sorted({s.height for s in plan})
    rare = sorted(heights, key=lambda h: (sum(s.height == h for s in plan), h))
    out = [_with(pool, prices, heights, target, seed, budget) for seed in (None, 1, 2, 3)]
    for gone in rare[:6]:
        if len(heights) > 1:
            rest = [h for h in heights if h != gone]
            out.append(_with(pool, prices, rest, target, None, budget))
    return out


def _with(
    pool: Pool,
    prices: np.ndarray,
    allowed: Sequence[int],
    target: int,
    seed: int | None,
    budget: Budget | None,
) -> list[Strip] | None:
    """The shortest plan found with strips of the allowed heights only."""
    usable = np.flatnonzero(np.isin(pool.heights, allowed))
    if not len(usable):
        return None
    items = pool.demand.items
    order = orders([(i.width, i.height, i.count) for i in items])[0]
    strips = pool.heights[usable], pool.uses[usable]
    beam = Beam(_WIDTH, order, seed=seed)
    found = search(*strips, pool.need, prices, target, beam, budget)
    return None if found is None else tidy([pool.strips[usable[i]] for i in found], pool.demand)
