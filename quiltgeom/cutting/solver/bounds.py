"""Lower bounds that carry their own proof: how much cloth ANY way of cutting needs.

A *scale* gives every piece width a whole-number weight; its capacity is the largest total weight
of pieces that fit side by side across the cloth, found exactly by a knapsack recursion. With
such a scale for widths and another for heights, a plan on a cloth of ``width x length`` can only
exist if the sum of (width weight x height weight) does not exceed the product of the capacities
(Fekete and Schepers 2004, "conservative scales"). The weights come from linear programmes, but
the proof does not trust them: any whole numbers give a valid bound.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from quiltgeom.cutting.solver.budget import Budget, Stopped
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.reduction import Cloths, halves_of, reduced, ways_on
from quiltgeom.cutting.solver.scales import (
    Weights,
    best_scale,
    capacity,
    copies_of,
    identity,
    thresholds,
)

_MOST_CASES = 150
"""Proofs that are tried for different ways of laying the long pieces."""

_WORK = 10**9
"""A proof may count so much work unless the caller has a budget."""


@dataclass(frozen=True, slots=True)
class Certificate:
    """A proof that a list of pieces does not fit: check it with :meth:`holds`.

    The weights speak of what :func:`reduced` leaves of the list and the cloth.

    Attributes:
        cloths: ``(width, length)`` of every piece of cloth, eighths.
        across: weights of sizes measured across the cloth.
        along: weights of sizes measured along the cloth.
        cases: instead of weights, a proof for each of the two lists of
            :func:`~quiltgeom.cutting.solver.reduction.halves_of`.
    """

    cloths: tuple[tuple[int, int], ...]
    across: Weights
    along: Weights
    cases: tuple[Certificate, ...] = ()

    def sums(self, demand: Demand) -> tuple[int, int]:
        """Weighted area of the pieces, each lying the way that costs least, and the most weighted
        area that the cloth can hold."""
        rest, cloths = reduced(demand, self.cloths)
        if rest is None:
            return 1, 0
        f, g = dict(self.across), dict(self.along)
        least: dict[int, int] = {}
        for k, w, h in rest.poses:
            load = f.get(w, 0) * g.get(h, 0)
            least[k] = min(load, least.get(k, load))
        load = sum(rest.items[k].count * n for k, n in least.items())
        across, along = copies_of(rest, 0), copies_of(rest, 1)
        rooms = [(capacity(self.across, w, across), h) for w, h in cloths]
        return load, sum(room * capacity(self.along, h, along) for room, h in rooms)

    def holds(self, demand: Demand) -> bool:
        """Whether this proves that ``demand`` cannot be cut from the cloths."""
        if not self.cases:
            load, room = self.sums(demand)
            return load > room
        rest, left = reduced(demand, self.cloths)
        if rest is None:
            return True
        lists = halves_of(rest, left) or ()
        if len(lists) != len(self.cases):
            return False
        cases = zip(self.cases, lists, strict=True)
        return all(case.cloths == left and case.holds(one) for case, one in cases)

    @property
    def ways(self) -> int:
        """How many ways of laying the long pieces are told apart."""
        return sum(case.ways for case in self.cases) or 1

    def sentence(self, demand: Demand) -> str:
        """The proof in words, as a share of the room."""
        need, have = demand.area, sum(w * h for w, h in self.cloths)
        if need > have:
            return f"the pieces need {100 * need / have:.1f} % of the cloth's area"
        if self.cases:
            return f"all {self.ways} ways of laying its long pieces need more than it has"
        load, room = self.sums(demand)
        plain = all(s == w for s, w in (*self.across, *self.along))
        kind = "area" if plain else "weighted area (conservative scales)"
        if not room and any(not ways_on(i, self.cloths) for i in demand.items):
            return "a piece is larger than the cloth"
        if not room:
            return "pieces that leave no room beside them need more than the whole cloth"
        share = f"{100 * load / room:.1f} %"
        if reduced(demand, self.cloths)[1] != self.cloths:
            others = "beside and below its widest pieces the others"
            return f"{others} need {share} of the {kind} that is left"
        return f"the pieces need {share} of the cloth's {kind}"


def area_bound(demand: Demand, width: int) -> int:
    """Shortest length by area alone, eighths."""
    return -(-demand.area // width)


def width_bound(demand: Demand, width: int, budget: Budget | None = None) -> int:
    """Shortest length that the widths allow, eighths.

    Every thread across the cloth is filled like a one-dimensional cutting problem; the best
    scale is its dual linear programme: the length is ``ceil(weighted area / capacity)``.

    Raises:
        Stopped: the budget was used up.
    """
    high = 10**7
    rest, ((_, left),) = reduced(demand, ((width, high),))
    if rest is None or not rest.items:
        return high - left
    weights = best_scale(rest, dict(identity(rest)), width, 0, budget)
    across, copies = dict(weights), copies_of(rest, 0)
    ways = [ways_on(i, ((width, high),)) for i in rest.items]
    least = (min(across[w] * h for w, h in some) for some in ways)
    load = sum(i.count * n for i, n in zip(rest.items, least, strict=True))
    room = capacity(weights, width, copies)
    bounds = [area_bound(rest, width), max(min(h for _, h in some) for some in ways)]
    return high - left + max(bounds + ([-(-load // room)] if room else []))


def prove_impossible(
    demand: Demand,
    cloths: Sequence[tuple[int, int]],
    *,
    rounds: int = 3,
    budget: Budget | None = None,
) -> Certificate | None:
    """Look for a proof that ``demand`` cannot be cut from these pieces of cloth.

    Alternates between the two directions: each linear programme gives the best scale of one for
    the scale of the other. If that proves nothing, asks the same for every way in which the long
    pieces may lie. None means: no proof found, which proves nothing. Ends without one where the
    ``budget`` does.

    >>> d = Demand.of([(11, 11, 4)])
    >>> prove_impossible(d, [(21, 43)]) is not None, prove_impossible(d, [(22, 22)]) is None
    (True, True)
    """
    cloths = tuple((int(w), int(h)) for w, h in cloths)
    budget = budget or Budget(work=_WORK)
    try:
        found = _by_scales(demand, cloths, rounds, budget)
        if found is not None or len(cloths) > 1:
            return found
        return _Cases(_MOST_CASES, budget).proof(demand, cloths, tried=True)
    except Stopped:
        return None


class _Cases:
    """A proof for one half of the ways of laying the long pieces, then for the other.

    Args:
        most: proofs that are tried in all.
    """

    def __init__(self, most: int, budget: Budget) -> None:
        self.left, self.budget = most, budget

    def proof(self, demand: Demand, cloths: Cloths, tried: bool = False) -> Certificate | None:
        """A proof by scales, or else one for each half, or None."""
        self.left -= 1
        plain = None if tried else _by_scales(demand, cloths, 1, self.budget)
        if plain is not None or self.left < 0:
            return plain
        rest, left = reduced(demand, cloths)
        lists = halves_of(rest, left) if rest is not None else None
        if lists is None:
            return None if tried else _by_scales(demand, cloths, 3, self.budget)
        proofs = []
        for one in lists:
            found = self.proof(one, left)
            if found is None:
                return None
            proofs.append(found)
        return Certificate(cloths, (), (), tuple(proofs))


def _by_scales(demand: Demand, cloths: Cloths, rounds: int, budget: Budget) -> Certificate | None:
    budget.spend()
    rest, left = reduced(demand, cloths)
    if rest is None:
        return Certificate(cloths, (), ())
    pairs = _scales(rest, left, rounds, budget) if rest.items else ()
    proofs = (Certificate(cloths, across, along) for across, along in pairs)
    return next((proof for proof in proofs if proof.holds(demand)), None)


def _scales(
    demand: Demand, cloths: Cloths, rounds: int, budget: Budget
) -> Iterator[tuple[Weights, Weights]]:
    """Scales across and along the cloth, the plain ones first."""
    plain = identity(demand)
    yield plain, plain
    width, length = max(w for w, _ in cloths), max(h for _, h in cloths)
    yield plain, best_scale(demand, dict(plain), length, 1, budget)
    starts = thresholds(demand, length) if rounds > 1 else [dict(plain)]
    for k, start in enumerate(starts):
        along = tuple(sorted(start.items()))
        for _ in range(1 if k else rounds):  # plain sizes lead to the best scales nearly always
            across = best_scale(demand, dict(along), width, 0, budget)
            yield across, along
            along = best_scale(demand, dict(across), length, 1, budget)
            yield across, along
