"""The plan of one fabric: among the ways of cutting it, the thriftiest and the easiest."""

import math
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from quiltgeom.cutting.buying.cloth_sizes import Cloths
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.fabric_plan import FabricPlan, demand_of
from quiltgeom.cutting.methods.fussy import motif_lattice
from quiltgeom.cutting.options import Manner
from quiltgeom.cutting.placed import in_order, placed_units, with_windows
from quiltgeom.cutting.solver.bounds import Certificate, prove_impossible, width_bound
from quiltgeom.cutting.solver.budget import Budget, Stopped
from quiltgeom.cutting.solver.easy_strips import easy_demand
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.several_cloths import cut_from_cloths
from quiltgeom.cutting.solver.solve import Solution, shortest
from quiltgeom.cutting.wanted import CutList, Wanted
from quiltgeom.errors import QuiltValueError
from quiltgeom.model.fabric import Fabric
from quiltgeom.tolerance import RULER_SLACK

_EASY, _OTHERS = 8, 4
"""Searches for a plan that is easy to cut, and for a way of cutting after the first."""

_PROOF, _AT_ONCE = 10**9, 10**5
"""Work of a proof that one way cannot be cut, and of one that takes no time to speak of."""


_KNOWN: dict[object, Solution] = {}
_MOST_KNOWN = 256


def _sold(terms: Terms) -> Callable[[int], int]:
    """What can be used of so many of the shop's steps, steps of the ruler."""
    return lambda steps: terms.ruler.down(terms.usable(steps * terms.step))


@dataclass
class FabricSearch:
    """The search for the plan of one fabric, among all ways of cutting it.

    Attributes:
        role: of the fabric in the quilt.
        fabric: the cloth, if there is any of which more than the role is known.
        wanted: what must be cut.
        cloths: at hand, as much of them as can be used; empty if cloth is bought.
        terms: of buying.
        effort: searches; see :func:`~quiltgeom.cutting.solver.solve.shortest`.
        manner: of cutting.
        budget: time, and somebody who may stop the search.
    """

    role: str
    fabric: Fabric | None
    wanted: Wanted
    cloths: Cloths
    terms: Terms
    effort: int
    manner: Manner
    budget: Budget

    def __post_init__(self) -> None:
        self.direction = self.fabric.direction if self.fabric else "non-directional"
        self.ways, self.easy = self.wanted.ways[self.role], self.wanted.easy[self.role]
        self.width, self.ruler = self.wanted.widths[self.role], self.terms.ruler
        self.across = self.ruler.down(self.width)

    def plan(self) -> FabricPlan:
        """The plan, with what is known of every way of cutting.

        Raises:
            QuiltValueError: a patch is wider than the cloth that is bought.
        """
        if self.fabric and any(u.method == "fussy cut" for u in self.ways[0].units):
            return self._windows(self.fabric)
        return self._at_hand() if self.cloths else self._bought()

    def _demand(self, way: CutList) -> Demand:
        return demand_of(way.units, self.direction)

    def _made(self, way: CutList, solution: Solution, **more: Any) -> FabricPlan:
        units = placed_units(way.units, self._demand(way), solution)
        placed, strips = in_order(units, solution)
        # of the cloth that is drawn: wider than it is, to show what would do
        wider = solution.width > self.across and len(self.cloths) < 2
        return FabricPlan(
            self.role,
            self.fabric.name if self.fabric else self.role,
            self.direction,
            solution.width * self.ruler.step if wider else self.width,
            replace(solution, strips=strips),
            placed,
            have=sum(c.length for c in self.cloths) if self.cloths else None,
            cloths=self.cloths,
            terms=self.terms,
            letters=self.wanted.letters,
            declared=self.fabric is None or self.fabric.declared,
            ways=tuple(w.words for w in self.ways),
            **more,
        )

    def _solved(
        self, demand: Demand, tries: int, *, easy: int = 0, width: int | None = None
    ) -> Solution:
        length = self.cloths[0].length if self.cloths else 0.0
        across = width or self.across
        key = demand, across, length, self.terms, tries, easy, self.ruler
        if key not in _KNOWN:
            budget = self.budget.part(0, 2)
            found = self._shortest(demand, across, length, tries, easy, budget)
            if budget.stopped:  # such a plan is not the only one there could be
                return found
            if len(_KNOWN) >= _MOST_KNOWN:
                del _KNOWN[next(iter(_KNOWN))]
            _KNOWN[key] = found
        return _KNOWN[key]

    def _shortest(
        self, demand: Demand, across: int, length: float, tries: int, easy: int, budget: Budget
    ) -> Solution:
        """In millimetres sizes are divided by their greatest common divisor: every edge-to-edge
        plan can be moved onto its multiples, and the tables are as small as for eighths."""
        ruler, terms, part = self.ruler, self.terms, 1
        if ruler.metric:
            part = math.gcd(*(v for i in demand.items for v in (i.width, i.height)))
        step = ruler.down(length) if length else ruler.up(terms.step)
        usable = (lambda steps: steps * step) if length else _sold(terms)
        found = shortest(
            demand.over(part),
            across // part,
            step=max(1, step // part),
            tries=tries,
            usable=lambda steps: usable(steps) // part,
            budget=budget,
            easy=easy,
            reach=ruler.down(ruler.reach) // part,
        )
        return found.times(part) if part > 1 else found

    # cloth that is bought

    def _bought(self) -> FabricPlan:
        usable = _sold(self.terms)
        self._check_widths()
        lows = [self._low(self._demand(w)) for w in self.ways]
        if self.manner == "thrifty" or not self.easy:
            return self._thrifty(lows, len(self.ways), self.effort)
        way, easy = self._easiest(self.easy, usable(min(lows)), usable(min(lows) + 1))
        if self._steps(easy.length) == min(lows) + 1:
            self._raised(lows)
        over = self._steps(easy.length) - min(lows)
        if over <= 0 or self.manner == "easy":
            return self._made(way, replace(easy, bound=usable(min(lows))), manner="easy")
        # within a step of the bound the thrifty plan only shows what easy cutting costs
        thrifty = self._thrifty(lows, *((2, _OTHERS) if over > 1 else (0, 1)))
        more = self._steps(easy.length) - self._steps(thrifty.solution.length)
        easy_plan = self._made(way, replace(easy, bound=thrifty.solution.bound), manner="easy")
        if more > 1:
            return replace(self._thrifty(lows, len(lows), self.effort), rival=easy_plan)
        return replace(easy_plan, rival=thrifty) if more > 0 else easy_plan

    def _raised(self, lows: list[int]) -> None:
        """Proofs that the ways with the lowest bounds need a step more, until one is missing."""
        least = min(lows)
        cloth = self.across, _sold(self.terms)(least)
        for k, way in enumerate(self.ways):
            if lows[k] == least:
                if self._proof(way, [cloth], 3) is None:
                    return
                lows[k] += 1

    def _easiest(
        self, ways: Sequence[CutList], least: int, folded: int
    ) -> tuple[CutList, Solution]:
        """The shortest plan that is easy to cut, the first of equals. It need not be shorter than
        ``least``; and if ``folded`` is enough, no cloth is opened for strips longer than a ruler.
        """
        best: tuple[CutList, Solution] | None = None
        for way in ways:
            tall = any(
                u.method == "slanted strip" and u.high > self.ruler.reach + RULER_SLACK
                for u in way.units
            )
            if best is not None and best[1].length <= (folded if tall else least):
                break
            found = self._solved(self._demand(way), min(self.effort, _EASY), easy=1)
            if best is None or self._cost(found) < self._cost(best[1]):
                best = way, found
        if best is None:
            raise QuiltValueError(f"{self.role}: found nothing to cut; accepted: patches")
        if best[1].length > least:
            found = self._solved(self._demand(best[0]), min(self.effort, _EASY), easy=2)
            best = (best[0], found) if self._cost(found) < self._cost(best[1]) else best
        return best

    def _cost(self, found: Solution) -> int:
        return found.length if self.cloths else self._steps(found.length)

    def _thrifty(self, lows: list[int], others: int, effort: int) -> FabricPlan:
        """The way that takes the fewest steps: the first, and so many others as may be better."""
        best, solution = self.ways[0], self._solved(self._demand(self.ways[0]), effort)
        lows[0] = max(lows[0], self._steps(solution.bound))
        order = sorted(range(1, len(lows)), key=lambda k: (lows[k], k))
        for k in order[:others]:
            if lows[k] >= self._steps(solution.length):
                break
            other = self._solved(self._demand(self.ways[k]), _OTHERS if effort > _OTHERS else 1)
            lows[k] = max(lows[k], self._steps(other.bound))
            if self._steps(other.length) < self._steps(solution.length):
                best, solution = self.ways[k], other
        bound = _sold(self.terms)(min(lows))
        return self._made(best, replace(solution, bound=bound), manner="thrifty")

    def _check_widths(self) -> None:
        text = self.ruler.text
        for unit in self.ways[0].units:
            turn = self.direction in ("four-way", "non-directional") and not unit.fixed
            least = min(unit.width, unit.height) if turn else unit.width
            if least > self.across:
                raise QuiltValueError(
                    f"{self.role}: found a patch that is cut {text(least * self.ruler.step)} wide, "
                    f"on cloth of {text(self.width)}; accepted: wider cloth, or a smaller "
                    "size (patches are never joined)"
                )

    def _low(self, demand: Demand) -> int:
        """Steps of the shop that the widths alone prove."""
        with suppress(Stopped):
            return self._steps(width_bound(demand, self.across, self.budget))
        return 1

    def _steps(self, length: int) -> int:
        terms = self.terms
        return round(terms.buy(length * terms.ruler.step) / terms.step)

    # cloth at hand

    def _at_hand(self) -> FabricPlan:
        sizes = [(self.ruler.down(w), self.ruler.down(n)) for n, w in self.cloths]
        possible = (w for w in self.ways if self._proof(w, sizes, 1) is None)
        if len(sizes) > 1:
            return self._on_several(possible, sizes)
        best: tuple[CutList, Solution] | None = None
        if self.manner != "thrifty":
            reach = self.ruler.down(self.ruler.reach)
            lists = ((w, easy_demand(self._demand(w), self.across, reach)) for w in self.easy)
            fitting = [w for w, d in lists if prove_impossible(d, sizes, rounds=1) is None]
            best = self._easiest(fitting, sizes[0][1], sizes[0][1]) if fitting else None
            if best is not None and best[1].bought <= sizes[0][1]:
                return self._made(*best, manner="easy")
        left, effort = 0, self.effort
        for k, way in enumerate(possible):
            found = self._solved(self._demand(way), effort if k < 2 else min(effort, _OTHERS))
            if found.bought <= sizes[0][1]:
                return self._made(way, found, manner="thrifty")
            left += found.bound <= sizes[0][1]
            if best is None or found.length < best[1].length:
                best = way, found
        return self._not_enough(sizes, *(best or (self.ways[0], None)), proved=not left)

    def _not_enough(
        self, sizes: list[tuple[int, int]], way: CutList, found: Solution | None, *, proved: bool
    ) -> FabricPlan:
        """What would do instead of the cloth at hand, as wide as the widest patch is, at least;
        with a proof if there is one for all ways."""
        if found is None:
            items = self._demand(way).items
            wide = max(min(i.width, i.height if i.may_turn else i.width) for i in items)
            found = self._solved(self._demand(way), 1, width=max(wide, self.across))
        proof = self._proof(way, sizes, 3) if proved else None
        return self._made(way, replace(found, certificate=proof), proved=proved)

    def _on_several(self, possible: Iterable[CutList], sizes: list[tuple[int, int]]) -> FabricPlan:
        left = 0
        for way in possible:
            spots = cut_from_cloths(self._demand(way), sizes, budget=self.budget.part(0, 2))
            if spots is not None:
                used: dict[int, int] = {}
                for s in spots:
                    used[s.cloth] = max(used.get(s.cloth, 0), s.y + s.height)
                length = sum(used.values())
                found = Solution(max(w for w, _ in sizes), length, length, 0, tuple(spots), ())
                return self._made(way, found)
            left += self._proof(way, sizes, 3) is None
        return self._not_enough(sizes, self.ways[0], None, proved=not left)

    def _proof(self, way: CutList, sizes: list[tuple[int, int]], rounds: int) -> Certificate | None:
        demand = self._demand(way)
        quick = Budget(work=_AT_ONCE)
        at_once = prove_impossible(demand, sizes, rounds=1, budget=quick)
        if at_once or (rounds == 1 and not quick.over):
            return at_once
        budget = self.budget.part(0, 1, work=_PROOF)
        return prove_impossible(demand, sizes, rounds=rounds, budget=budget)

    # motifs

    def _windows(self, fabric: Fabric) -> FabricPlan:
        lattice = motif_lattice(fabric)
        if lattice is None:
            raise QuiltValueError(f"fussy cut: fabric {fabric.name} has no repeat; accepted: one")
        cloth = self.cloths[0] if self.cloths else None

        def below(demand: Demand) -> Solution:
            reach, budget = self.ruler.down(self.ruler.reach), self.budget.part(0, 1)
            search = partial(shortest, tries=self.effort, easy=1, reach=reach)
            return search(demand, self.across, step=1, budget=budget)

        plans = []
        for way in self.ways[:2]:
            budget, cut = self.budget.part(0, 4), (way.units, self.width, below)
            placed, length, bound = with_windows(fabric, lattice, *cut, budget)
            if cloth:
                step = self.ruler.down(cloth.length)
                bought, least = -(-length // step) * step, -(-bound // step) * step
            else:
                terms, one = self.terms, self.ruler.step
                buy = [terms.buy(n * one + lattice.rise) for n in (length, bound)]
                bought, least = (self.ruler.down(terms.usable(n)) for n in buy)
            solution = Solution(self.across, length, bought, least, (), ())
            proved = cloth is not None and bound > self.ruler.down(cloth.length)
            made = self._made(CutList([]), solution, motif_rise=lattice.rise)
            plans.append(replace(made, placed=placed, proved=proved))
        return min(plans, key=lambda p: p.solution.length)
