"""The shortest length of cloth, or whether given cloth is enough: a plan, a bound, a verdict."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from quiltgeom.cutting.beam import Beam, orders, search
from quiltgeom.cutting.bounds import Certificate, prove_impossible, width_bound
from quiltgeom.cutting.columns import Pool, generate, refill, widen
from quiltgeom.cutting.fill import Filler
from quiltgeom.cutting.items import Demand, Spot
from quiltgeom.cutting.strips import Strip, first_fit, formula_rows, place, tidy
from quiltgeom.errors import QuiltValueError

__all__ = ["EFFORT", "Solution", "shortest", "shortest_steps"]

Status = Literal["optimal", "within"]

EFFORT = 16
"""Searches for a plan unless the caller says otherwise."""

_TALLEST = 400
"""Strips of several pieces one below the other are tried up to 50 inches."""

_CROSSWISE = 8
"""Searches for strips along the cloth."""


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
        cut_short: the caller's time limit ended the search; without it the plan might be shorter.
    """

    width: int
    length: int
    bought: int
    bound: int
    spots: tuple[Spot, ...]
    strips: tuple[int, ...]
    lengthwise: bool = False
    certificate: Certificate | None = None
    cut_short: bool = False

    @property
    def status(self) -> Status:
        """``optimal``: proved that no plan buys less; ``within``: the gap is bought - bound."""
        return "optimal" if self.bought <= self.bound else "within"


def shortest(
    demand: Demand, width: int, *, step: int = 36, seconds: float | None = None, tries: int = EFFORT
) -> Solution:
    """The least length of cloth, bought in steps, that these pieces can be cut from.

    Starts from first-fit strips and rows by formula, prices strips by column generation, searches
    whole numbers of them, along and across the cloth, and stops as soon as a bound is met.

    Args:
        demand: the pieces, eighths.
        width: usable width of the cloth, eighths.
        step: the shop's step, eighths (36 = an eighth of a yard).
        seconds: time after which the best plan so far is returned with its gap, marked
            ``cut_short``. None: no limit, and the same plan on every machine.
        tries: number of searches, the measure of effort.

    Raises:
        QuiltValueError: a piece is wider than the cloth.

    >>> plan = shortest(Demand.of([(76, 76, 63)]), 336)
    >>> plan.length / 8, plan.status
    (152.0, 'optimal')
    """
    _check_widths(demand, width)
    end = None if seconds is None else time.monotonic() + seconds
    finder = _Finder(demand, width, step)
    return finder.run(tries, end)


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


def _total(strips: Sequence[Strip]) -> int:
    return sum(s.height for s in strips)


class _Finder:
    """Keeps the pool of strips, the prices and the best plan between tries."""

    def __init__(self, demand: Demand, width: int, step: int) -> None:
        self.demand, self.width, self.step = demand, width, step
        starts = [first_fit(demand, width), formula_rows(demand, width)]
        plans = [tidy(s, demand) for s in starts if s]
        self.best = min(plans, key=_total)
        self.lengthwise: tuple[int, list[Strip]] | None = None
        self.pool = Pool(demand, width)
        for plan in plans:
            self.pool.extend(plan)
        self.steps = 0
        self.proof: Certificate | None = None

    @property
    def length(self) -> int:
        """The best length so far, eighths."""
        return self.lengthwise[0] if self.lengthwise else _total(self.best)

    @property
    def bought(self) -> int:
        return -(-self.length // self.step) * self.step

    @property
    def settled(self) -> bool:
        return self.bought <= self.steps * self.step

    def run(self, tries: int, end: float | None) -> Solution:
        low, _ = width_bound(self.demand, self.width)
        self.steps = -(-low // self.step)
        cut_short = False
        for k in range(-1, tries):
            if self.settled:
                break
            cut_short = end is not None and time.monotonic() > end
            if cut_short:
                break
            if k < 0:
                self.prepare(self.steps * self.step)
                continue
            self.attempt(k)
            if k == 1:
                self._prove()
            if k == 3 and not self.settled:
                self._crosswise(end)
        return self._solution(cut_short and not self.settled)

    def prepare(self, tallest: int) -> None:
        """Price strips up to a height."""
        self.filler = Filler(self.demand, self.width, min(tallest, _TALLEST))
        self.prices = generate(self.pool, self.filler, 1)

    def attempt(self, k: int) -> None:
        """One search; from the third on with more strips than the one before."""
        if k >= 2 and k % 2 == 0:
            widen(self.pool, self.filler, self.prices, k)
            refill(self.pool, self.filler, self.prices, self._indices(), k)
            self.prices = self.pool.prices()
        ways = orders([(i.width, i.height, i.count) for i in self.demand.items])
        beam = Beam(200, ways[k // 2 % len(ways)], k % 2 == 1, k if k > 1 else None)
        target = self.length - 1 if k % 4 != 3 else self.bought - self.step
        found = search(
            self.pool.heights, self.pool.uses, self.pool.need, self.prices, target, beam
        )
        if found is not None:
            self.best = tidy([self.pool.strips[i] for i in found], self.demand)
            self.lengthwise = None
            self.pool.extend(self.best)

    def _indices(self) -> list[int]:
        known = {s: i for i, s in enumerate(self.pool.strips)}
        return [known[s] for s in self.best if s in known]

    def _prove(self) -> None:
        while not self.settled:
            proof = prove_impossible(self.demand, [(self.width, self.steps * self.step)])
            if proof is None:
                return
            self.proof, self.steps = proof, self.steps + 1

    def _crosswise(self, end: float | None) -> None:
        """Strips along the cloth, on the shortest lengths that would be better."""
        turned = self.demand.transposed
        for length in sorted({self.steps * self.step, self.bought - self.step}):
            if any(length < min(i.height, i.width if i.may_turn else i.height)
                   for i in self.demand.items):  # fmt: skip
                continue
            other = _Finder(turned, length, self.width)
            other.prepare(self.width)
            other.steps = 1
            for k in range(_CROSSWISE):
                if other.settled or (end is not None and time.monotonic() > end):
                    break
                other.attempt(k)
            if other.settled:
                used = max(s.x + s.width for s in place(other.best, turned))
                self.lengthwise = used, other.best
                return

    def _solution(self, cut_short: bool) -> Solution:
        across = self.lengthwise is None
        strips = self.best if self.lengthwise is None else self.lengthwise[1]
        spots = place(strips, self.demand if across else self.demand.transposed)
        if not across:
            spots = [replace(s, x=s.y, y=s.x, width=s.height, height=s.width) for s in spots]
        return Solution(
            self.width, self.length, self.bought, self.steps * self.step, tuple(spots),
            tuple(s.height for s in strips), not across, self.proof, cut_short,
        )  # fmt: skip
