"""The shortest length of cloth, or whether given cloth is enough: a plan, a bound, a verdict."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal

from quiltgeom.cutting.solver.bounds import Certificate
from quiltgeom.cutting.solver.budget import Budget
from quiltgeom.cutting.solver.easy_strips import easy_demand
from quiltgeom.cutting.solver.finder import Finder
from quiltgeom.cutting.solver.items import Demand, Spot
from quiltgeom.cutting.solver.strips import cut_count, place
from quiltgeom.errors import QuiltValueError

Status = Literal["optimal", "within"]

EFFORT = 16
"""Searches for a plan unless the caller says otherwise."""

_WORK = 4 * 10**8
"""A search may count so much work on average, four seconds or so; usual lists need a quarter."""

_MOST_PIECES = 200_000


@dataclass(frozen=True)
class Solution:
    """A cutting plan for one fabric, in steps of the ruler.

    Attributes:
        width: usable width of the cloth.
        length: length used; ``bought`` is the length that can be used of what is bought.
        bound: no plan of any kind makes do with less than this of such lengths.
        spots: where every piece lies.
        strips: heights of the strips in order (along the cloth, or across it if ``lengthwise``).
        lengthwise: the strips run along the cloth.
        certificate: proof of the bound, or None where the plain width bound proves it.
        cuts: edge-to-edge cuts that it takes, trims included.
        cut_short: the caller's limit or callback ended the search; without it the plan might be
            shorter.
        too_large: the plan is first-fit strips or rows by formula, as the tables of a search for
            a better one would not fit into memory.
    """

    width: int
    length: int
    bought: int
    bound: int
    spots: tuple[Spot, ...]
    strips: tuple[int, ...]
    lengthwise: bool = False
    certificate: Certificate | None = None
    cuts: int = 0
    cut_short: bool = False
    too_large: bool = False

    def times(self, part: int) -> Solution:
        """The plan of a list whose sizes were divided by this number."""

        def larger(thing: Any, names: str) -> dict[str, Any]:
            return {name: getattr(thing, name) * part for name in names.split()}

        spots = tuple(replace(s, **larger(s, "x y width height")) for s in self.spots)
        strips = tuple(s * part for s in self.strips)
        sizes = larger(self, "width length bought bound")
        return replace(self, **sizes, spots=spots, strips=strips, certificate=None)

    @property
    def status(self) -> Status:
        """``optimal``: proved that no plan buys less; ``within``: the gap is bought - bound."""
        return "optimal" if self.bought <= self.bound else "within"


def shortest(
    demand: Demand,
    width: int,
    *,
    step: int = 36,
    tries: int = EFFORT,
    usable: Callable[[int], int] | None = None,
    budget: Budget | None = None,
    easy: int = 0,
    reach: int = 192,
) -> Solution:
    """The least length of cloth, bought in steps, that these pieces can be cut from.

    Starts from first-fit strips and rows by formula, prices strips by column generation, searches
    whole numbers of them, along and across the cloth, and stops as soon as a bound is met. Then
    keeps what is bought and looks for fewer different strips and fewer cuts.

    Args:
        demand: the pieces, in steps of the ruler (eighths of an inch, or millimetres), as all
            that follows.
        width: usable width of the cloth.
        step: the shop's step (36 eighths = an eighth of a yard).
        tries: number of searches, the measure of effort; fewer than 4 leave the plan as found,
            with more different strips than need be. The work of a search is counted and limited,
            too, so that lists of any size end, with the same plan for equal input.
        usable: length that can be used of so many of the shop's steps; all of it unless given.
        budget: time after which the best plan so far is returned with its gap, marked
            ``cut_short``, and somebody who may stop the search. None: no limit, and the same plan
            on every machine.
        easy: 1: only plans that are easy to cut, long pieces across the cloth, see
            :mod:`~quiltgeom.cutting.solver.easy_strips`; 2: the same, strips being wider than all
            that they hold, too.
        reach: what a long ruler measures, for such plans.

    Raises:
        QuiltValueError: a piece is wider than the cloth, or there are more than 200,000.

    >>> plan = shortest(Demand.of([(76, 76, 63)]), 336)
    >>> plan.length / 8, plan.status
    (152.0, 'optimal')
    """
    _check_widths(demand, width)
    budget = (budget or Budget()).part(0, 1, work=_WORK * max(tries, 1))
    if easy:
        demand = easy_demand(demand, width, reach)
    finder = Finder(demand, width, usable or (lambda steps: steps * step), step, budget, easy)
    finder.run(tries)
    return _solution(finder)


def _solution(finder: Finder) -> Solution:
    used = finder.along or finder
    strips = used.best
    spots = place(strips, used.demand)
    if finder.along is not None:
        spots = [replace(s, x=s.y, y=s.x, width=s.height, height=s.width) for s in spots]
    return Solution(
        finder.width,
        finder.length,
        finder.usable(finder.steps_for(finder.length)),
        finder.usable(finder.steps),
        tuple(spots),
        tuple(s.height for s in strips),
        finder.along is not None,
        finder.proof,
        cut_count(strips, used.demand, used.width),
        finder.budget.stopped and not finder.is_optimal,
        finder.too_large and not finder.is_optimal,
    )


def _check_widths(demand: Demand, width: int) -> None:
    if demand.pieces > _MOST_PIECES:
        raise QuiltValueError(
            f"cutting: found {demand.pieces:,} pieces of one fabric; accepted: "
            f"up to {_MOST_PIECES:,}"
        )
    for item in demand.items:
        if min(item.width, item.height if item.may_turn else item.width) > width:
            raise QuiltValueError(
                f"cut piece: found {item.width} across a cloth of {width} steps of the ruler; "
                "accepted: pieces that fit the width (join longer strips end to end)"
            )
