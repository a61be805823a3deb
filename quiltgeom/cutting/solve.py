"""The shortest length of cloth, or whether given cloth is enough: a plan, a bound, a verdict."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from quiltgeom.cutting.bounds import Certificate, prove_impossible, width_bound
from quiltgeom.cutting.columns import StripMaker, choose_strips, generate
from quiltgeom.cutting.items import Demand, Spot
from quiltgeom.cutting.strips import Strip, first_fit, place, tidy
from quiltgeom.errors import QuiltValueError

__all__ = ["Solution", "shortest", "shortest_steps"]

Status = Literal["optimal", "within"]


@dataclass(frozen=True)
class Solution:
    """A cutting plan for one fabric, in eighths of an inch.

    Attributes:
        width: usable width of the cloth.
        length: length used; ``bought`` is that rounded up to the shop's steps.
        bound: no plan of any kind needs less than this length bought.
        spots: where every piece lies.
        strips: heights of the strips in order (along the cloth, or across it if ``lengthwise``).
        lengthwise: the strips run along the cloth.
        certificate: proof of the bound, or None where the plain width bound proves it.
    """

    width: int
    length: int
    bought: int
    bound: int
    spots: tuple[Spot, ...]
    strips: tuple[int, ...]
    lengthwise: bool = False
    certificate: Certificate | None = None

    @property
    def status(self) -> Status:
        """``optimal``: proved that no plan buys less; ``within``: the gap is bought - bound."""
        return "optimal" if self.bought <= self.bound else "within"


def shortest(
    demand: Demand, width: int, *, step: int = 36, seconds: float = 8.0, tries: int = 12
) -> Solution:
    """The least length of cloth, bought in steps, that these pieces can be cut from.

    Tries first-fit strips, column generation with a small integer programme, and re-valued
    sequences of strips, along and across the cloth, and stops as soon as a bound is met.

    Args:
        demand: the pieces, eighths.
        width: usable width of the cloth, eighths.
        step: the shop's step, eighths (36 = an eighth of a yard).
        seconds: time after which the best plan so far is returned with its gap.
        tries: number of re-valued sequences.

    Raises:
        QuiltValueError: a piece is wider than the cloth.

    >>> plan = shortest(Demand.of([(76, 76, 63)]), 336)
    >>> plan.length / 8, plan.status
    (152.0, 'optimal')
    """
    end = time.monotonic() + seconds
    _check_widths(demand, width)
    low, _ = width_bound(demand, width)
    steps = -(-low // step)
    best = _plan(first_fit(demand, width), demand, width, step)
    search = _Search(demand, width)
    proof: Certificate | None = None
    if best.bought > steps * step:
        best = min(best, search.first(step), key=_order)
    while best.bought > steps * step and time.monotonic() < end:
        proof_here = prove_impossible(demand, [(width, steps * step)])
        if proof_here is None:
            break
        proof, steps = proof_here, steps + 1
    best = replace(best, bound=steps * step, certificate=proof)
    for k in range(tries):
        if best.bought <= best.bound or time.monotonic() > end:
            break
        found = search.again(k, step)
        if k == 0:
            found = min(found, search.crosswise(best.bought - step, step), key=_order)
        if _order(found) < _order(best):
            best = replace(found, bound=best.bound, certificate=proof)
    return best


def shortest_steps(solution: Solution, step: int = 36) -> tuple[int, int]:
    """Steps bought and steps of the bound."""
    return -(-solution.bought // step), -(-solution.bound // step)


def _check_widths(demand: Demand, width: int) -> None:
    for item in demand.items:
        if min(item.width, item.height if item.may_turn else item.width) > width:
            raise QuiltValueError(
                f"cut piece: found {item.width / 8:g} in across a cloth of {width / 8:g} in; "
                "accepted: pieces that fit the width (join longer strips end to end)"
            )


def _order(plan: Solution) -> tuple[int, int, int, int]:
    return (plan.bought, len(set(plan.strips)), plan.length, len(plan.strips))


def _plan(strips: Sequence[Strip], demand: Demand, width: int, step: int) -> Solution:
    strips = tidy(strips, demand)
    heights = tuple(s.height for s in strips)
    length = sum(heights)
    spots = tuple(place(strips, demand))
    return Solution(width, length, -(-length // step) * step, 0, spots, heights)


class _Search:
    """Keeps the pool of strips and the dual values between tries."""

    def __init__(self, demand: Demand, width: int) -> None:
        self.demand, self.width = demand, width
        self.maker = StripMaker(demand, width, 10**6)
        self.pool: list[Strip] = list(dict.fromkeys(first_fit(demand, width)))
        self.values = np.zeros(len(demand.items))

    def first(self, step: int) -> Solution:
        self.values, _ = generate(self.maker, self.pool)
        self.pool = list(dict.fromkeys([*self.pool, *self.sequence(self.values, 0)]))
        return self.choose(step)

    def choose(self, step: int) -> Solution:
        strips = choose_strips(self.pool, self.demand)
        if strips is None:
            strips = first_fit(self.demand, self.width)
        return _plan(strips, self.demand, self.width, step)

    def again(self, k: int, step: int) -> Solution:
        """Value-corrected sequences added to the pool, then the integer programme again."""
        plans = []
        values = self.values.copy()
        for j in range(4):
            strips = self.sequence(values, 4 * k + j)
            plans.append(_plan(strips, self.demand, self.width, step))
            values = self._corrected(values, strips)
            self.pool = list(dict.fromkeys([*self.pool, *strips]))
        plans.append(self.choose(step))
        return min(plans, key=_order)

    def _corrected(self, values: np.ndarray, strips: Sequence[Strip]) -> np.ndarray:
        """Pieces that ended in wasteful strips become more valuable (Belov and Scheithauer)."""
        new = values.copy()
        poses = self.demand.poses
        for strip in strips:
            filled = sum(poses[p][1] * poses[p][2] for s in strip.stacks for p in s.poses)
            price = strip.height * self.width / max(filled, 1)
            for stack in strip.stacks:
                for p in stack.poses:
                    item, w, h, _ = poses[p]
                    new[item] = 0.9 * new[item] + 0.1 * price * w * h / self.width
        return new

    def sequence(self, values: np.ndarray, seed: int) -> list[Strip]:
        """Strip after strip, each the one of best value for its height, until all is cut."""
        noise = np.random.default_rng(seed)
        areas = np.array([i.width * i.height / self.width for i in self.demand.items])
        values = np.maximum(values, areas)
        if seed:
            values = values * noise.uniform(0.9, 1.1, len(values))
        left = np.array(self.demand.counts)
        out: list[Strip] = []
        while left.any():
            out.append(self._next(values, left))
            left = left - out[-1].use(self.demand)
        return out

    def _next(self, values: np.ndarray, left: np.ndarray) -> Strip:
        scored = []
        wanted = {q[3] for q in self.maker.poses if left[q[1]] > 0}
        for height in sorted(wanted):
            strip = self.maker.limited(values, left, height)
            if strip.stacks:
                worth = float((strip.use(self.demand) * values).sum()) / height
                scored.append((-worth, -height, strip))
        return min(scored, key=lambda s: s[:2])[2]

    def crosswise(self, length: int, step: int) -> Solution:
        """Strips along the cloth on a given length; only counts if they fit the width."""
        turned = self.demand.transposed
        none = Solution(self.width, 10**9, 10**9, 0, (), ())
        if any(min(i.width, i.height if i.may_turn else i.width) > length for i in turned.items):
            return none
        other = _Search(turned, length)
        plan = other.first(1)
        if plan.length > self.width:
            plan = min(plan, other.again(0, 1), key=lambda p: p.length)
        if plan.length > self.width:
            return none
        spots = tuple(replace(s, x=s.y, y=s.x, width=s.height, height=s.width)
                      for s in plan.spots)  # fmt: skip
        used = max(s.y + s.height for s in spots)
        return Solution(self.width, used, -(-used // step) * step, 0, spots, plan.strips, True)
