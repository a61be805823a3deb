"""The search for a plan of one list of pieces: what is kept from one try to the next."""

from bisect import bisect_left
from collections.abc import Callable
from contextlib import suppress

import numpy as np

from quiltgeom.cutting.solver.beam import Beam, orders, search
from quiltgeom.cutting.solver.bounds import Certificate, area_bound, prove_impossible, width_bound
from quiltgeom.cutting.solver.budget import Budget, Stopped
from quiltgeom.cutting.solver.columns import Pool, generate, refill, widen
from quiltgeom.cutting.solver.easy_strips import EasyFiller
from quiltgeom.cutting.solver.fill import Filler
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.simplify import simplify
from quiltgeom.cutting.solver.strips import (
    Strip,
    first_fit,
    formula_rows,
    place,
    tidy,
    total_height,
)
from quiltgeom.errors import QuiltValueError

_TALLEST = 400
"""Strips of several pieces one below the other are tried up to 50 inches."""

_ROUNDS, _QUICK_ROUNDS = 16, 4
"""Rounds of pricing strips; fewer where a single search is asked for."""

_SIMPLIFY = 4

_AT_ONCE = 3 * 10**7
"""Work of a bound that is found whatever the budget: a twentieth of a second."""

_DOUBLINGS = 64
"""Doublings of a number of shop steps, after which nothing more can be used of them."""

_MANY, _REST = 2000, 500
"""Of more pieces than that only so many are searched for one by one."""

_CROSSWISE = 6
"""Searches for strips along the cloth."""

_LONGEST = 600
"""Strips along the cloth are tried up to 75 inches, or half as long again as a piece is."""


class Finder:
    """Keeps the pool of strips, the prices and the best plan between tries.

    Args:
        demand: the pieces, eighths.
        width: usable width of the cloth.
        usable: length that can be used of so many steps.
        easy: 1: only strips that are easy to cut, see
            :mod:`~quiltgeom.cutting.solver.easy_strips`; 2: loosely.
        step: about what a step is.
        budget: asked inside every loop; None: no limit.

    Attributes:
        best: the best strips across the cloth.
        along: the finder of strips along the cloth, where these are better.
        steps: no plan makes do with fewer steps.
        proof: the proof of that, if the widths alone do not tell.
        too_large: the tables of the search would not fit into memory.
    """

    def __init__(
        self,
        demand: Demand,
        width: int,
        usable: Callable[[int], int],
        step: int,
        budget: Budget | None = None,
        easy: int = 0,
    ) -> None:
        self.budget, self.easy = budget or Budget(), easy
        self.demand, self.width, self.usable, self.step = demand, width, usable, step
        starts = [first_fit(demand, width), formula_rows(demand, width)]
        plans = [tidy(s, demand) for s in starts if s]
        self.best = min(plans, key=total_height)
        self.pool = Pool(demand, width)
        for plan in plans:
            self.pool.extend(plan)
        self.steps = 1
        self.along: Finder | None = None
        self.too_large = False
        self.proof: Certificate | None = None
        self.prices = np.zeros(len(demand.items), dtype=np.int64)
        self.ready = False
        self.rounds = _ROUNDS

    @property
    def length(self) -> int:
        """The best length so far, eighths."""
        return total_height(self.best) if self.along is None else self.along.used_length

    @property
    def used_length(self) -> int:
        """How far the pieces reach along the strips, eighths."""
        return max(s.x + s.width for s in place(self.best, self.demand))

    def steps_for(self, length: int) -> int:
        """Steps that must be bought for a length."""
        low, high = 0, max(1, length // self.step)
        for _ in range(_DOUBLINGS):
            if self.usable(high) >= length:
                break
            low, high = high, 2 * high
        else:
            raise QuiltValueError(
                f"cloth: found no number of steps of {self.step} that gives "
                f"{length} steps of the ruler; accepted: cloth that can be used"
            )
        between = range(low + 1, high) if low else range(high, high)
        return between.start + bisect_left(between, length, key=self.usable)

    @property
    def is_optimal(self) -> bool:
        """Whether no plan can be better."""
        return self.length <= self.usable(self.steps)

    def run(self, tries: int) -> None:
        """Search, and prove, until a bound is met, the tries or the budget are used up."""
        self.rounds = _ROUNDS if tries > 1 else _QUICK_ROUNDS
        try:
            self._bound()
            self._search(tries)
            if tries >= _SIMPLIFY and self.demand.pieces <= _MANY:
                self._simplify()
        except Stopped:
            pass  # with the best so far

    def _bound(self) -> None:
        """The area's bound at once; that of the widths, which takes no time for usual lists."""
        self.steps = self.steps_for(area_bound(self.demand, self.width))
        for budget in (Budget(work=_AT_ONCE), self.budget):
            with suppress(Stopped):
                self.steps = self.steps_for(width_bound(self.demand, self.width, budget))
                return

    def _search(self, tries: int) -> None:
        for k in range(tries):
            if self.is_optimal:
                break
            self.budget.show(k / tries)
            if not self.ready:
                self.prepare(self.usable(self.steps))
            self.attempt(k)
            if k == 1:
                self._prove()
            if k == 3 and not self.is_optimal and not self.easy:
                self._crosswise()

    def _simplify(self) -> None:
        if self.along is not None:
            self.along.best = self.along.simpler(self.width)
            return
        target = self.usable(self.steps_for(self.length))
        if not self.ready:
            self.prepare(target)
        self.best = self.simpler(target)

    def simpler(self, target: int) -> list[Strip]:
        """The plan with fewer different strips and cuts."""
        return simplify(self.pool, self.prices, self.best, target, self.budget)

    def prepare(self, tallest: int) -> None:
        """Price strips up to a height."""
        self.filler: Filler | EasyFiller = (
            EasyFiller(self.demand, self.width, self.easy > 1)
            if self.easy
            else Filler(self.demand, self.width, min(tallest, _TALLEST))
        )
        self.too_large = not self.filler.sets
        if self.too_large:
            raise Stopped
        self.prices = generate(self.pool, self.filler, 1, rounds=self.rounds, budget=self.budget)
        self.ready = True

    def attempt(self, k: int) -> None:
        """One search; from the third on with more strips than the one before."""
        if k >= 2 and k % 2 == 0:
            widen(self.pool, self.filler, self.prices, k, self.budget)
            known = {s: i for i, s in enumerate(self.pool.strips)}
            plan = [known[s] for s in self.best if s in known]
            refill(self.pool, self.filler, self.prices, plan, k, self.budget)
            self.prices = self.pool.prices(self.budget)
        ways = orders([(i.width, i.height, i.count) for i in self.demand.items])
        beam = Beam(200, ways[k // 2 % len(ways)], k % 2 == 1, k if k > 1 else None)
        target = self.length - 1
        if k % 4 == 3:
            target = self.usable(self.steps_for(self.length) - 1)
        certain = self._certain_strips()
        heights, uses = self.pool.heights, self.pool.uses
        need = np.maximum(self.pool.need - uses[certain].sum(axis=0), 0)
        target -= int(heights[certain].sum())
        found = search(heights, uses, need, self.prices, target, beam, self.budget)
        if found is not None:
            self.best = tidy([self.pool.strips[i] for i in [*certain, *found]], self.demand)
            self.along = None
            self.pool.extend(self.best)

    def _certain_strips(self) -> list[int]:
        """Of very many pieces, the strips that most of them surely come from: the search is for
        the last few hundred."""
        pieces = self.demand.pieces
        return self.pool.whole(1 - _REST / pieces, self.budget) if pieces > _MANY else []

    def _prove(self) -> None:
        while not self.is_optimal:
            cloth = self.width, self.usable(self.steps)
            proof = prove_impossible(self.demand, [cloth], budget=self.budget)
            if proof is None:
                return
            self.proof, self.steps = proof, self.steps + 1

    def _crosswise(self) -> None:
        """Strips along the cloth, on the shortest lengths that would be better."""
        turned = self.demand.transposed
        better = self.steps, self.steps_for(self.length) - 1
        for length in sorted({self.usable(steps) for steps in better}):
            shortest = max(
                min(i.height, i.width if i.may_turn else i.height) for i in self.demand.items
            )
            if not shortest <= length <= max(_LONGEST, shortest * 3 // 2):
                continue
            other = Finder(turned, length, lambda k: k * self.width, self.width, self.budget)
            try:
                other.prepare(self.width)
            except Stopped:
                if other.too_large:
                    continue
                raise
            for k in range(_CROSSWISE):
                if other.is_optimal:
                    break
                other.attempt(k)
            if other.is_optimal:
                self.along = other
                return
