"""The cutting plan of a whole quilt: per fabric what to buy, what to cut, and where it lies."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import cast

from quiltgeom.cutting.as_cut import CutPatch, assemble, cut_patches
from quiltgeom.cutting.bounds import prove_impossible
from quiltgeom.cutting.budget import Budget, Progress
from quiltgeom.cutting.cloths import cut_from_cloths
from quiltgeom.cutting.fabric_plan import (
    FabricPlan,
    PlacedUnit,
    demand_of,
    eighths_down,
    unit_key,
)
from quiltgeom.cutting.fussy import fussy_plan, motif_lattice, windows_of
from quiltgeom.cutting.items import Demand, eighths
from quiltgeom.cutting.letters import Letters
from quiltgeom.cutting.on_hand import Cloths, ClothSize
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solve import EFFORT, Solution, shortest
from quiltgeom.cutting.stripsets import StripSet
from quiltgeom.cutting.terms import Terms
from quiltgeom.cutting.unit import CutUnit
from quiltgeom.cutting.wanted import Wanted, wanted_units
from quiltgeom.errors import QuiltValueError
from quiltgeom.model.fabric import Direction, Fabric, undeclared_note
from quiltgeom.model.quilt import Quilt

__all__ = ["CutPlan", "FabricPlan", "PlacedUnit", "Wanted", "cut_plan", "eighths_down",
           "wanted_units"]  # fmt: skip


_Limits = tuple[Budget, int]
"""Of one fabric: time and work, and the number of searches."""

_PROOF = 10**9
"""Work of a proof that several pieces of cloth are not enough."""

_AT_ONCE = 3 * 10**7
"""Work of such a proof before anybody looks for a plan: a moment, whatever the budget."""


@dataclass(frozen=True)
class CutPlan:
    """The cutting plan of a quilt, fabric by fabric.

    Attributes:
        quilt: what it makes.
        fabrics: one plan per role.
        binding_strips: number of strips (or squares, on the bias) of the binding.
        binding_role: role of the binding, ``""`` without one.
        options: the maker's choices.
        sets: strip sets that are sewn from some of the strips.
    """

    quilt: Quilt
    fabrics: tuple[FabricPlan, ...]
    binding_strips: int
    binding_role: str
    options: CutOptions = field(default_factory=CutOptions)
    sets: tuple[StripSet, ...] = ()

    @property
    def letters(self) -> Letters:
        """Of all that is cut."""
        return self.fabrics[0].letters

    @property
    def notes(self) -> tuple[str, ...]:
        """For every cloth that is kept upright only because nobody declared it: how to."""
        return tuple(undeclared_note(f.role, f.name) for f in self.fabrics if not f.declared)

    @property
    def fits(self) -> bool:
        """Whether every fabric that is at hand is enough."""
        return all(f.have is None or f.status == "fits" for f in self.fabrics)

    def as_cut(self) -> tuple[Quilt, dict[int, tuple[float, float]]]:
        """The quilt as this plan makes it: how each cloth lies, and its place on the cloth.

        Returns:
            The quilt with the plan's lies, and by piece index the point of the cloth at the
            middle of the patch (inches, print upright). Strips joined end to end become their
            lengths: the first keeps its number, the others come last.
        """
        return assemble(self.quilt, self.patches)

    @cached_property
    def patches(self) -> tuple[CutPatch, ...]:
        """Every patch with its place on the cloth, fabric by fabric, in cutting order."""
        rows = (cut_patches(self.quilt, f.placed) for f in self.fabrics)
        return tuple(p for row in rows for p in row)


def cut_plan(
    quilt: Quilt,
    fabrics: Mapping[str, Fabric],
    *,
    width: float = 40.0,
    have: Mapping[str, tuple[float, float] | Cloths] | None = None,
    binding_role: str | None = None,
    seconds: float | None = None,
    effort: int = EFFORT,
    options: CutOptions | None = None,
    terms: Terms | None = None,
    fussy: Collection[str] = (),
    progress: Progress | None = None,
    budget: Budget | None = None,
) -> CutPlan:
    """Plan the cutting of a quilt, binding included.

    Args:
        quilt: the laid-out quilt.
        fabrics: by role; a role without one is cloth without direction.
        width: usable width of the cloth, inches.
        have: by role, cloth at hand as ``(length along the selvage, width across)``, inches, or
            several such pieces.
        binding_role: fabric of the binding (default ``accent``, else the last role); ``""``
            leaves the binding out.
        seconds: time limit of the whole plan, which its fabrics share; None: none, and the same
            plan on every machine.
        effort: searches per fabric; see :func:`~quiltgeom.cutting.solve.shortest`.
        options: methods and other choices of the maker.
        terms: how the shop sells cloth, and what is added to the cutting need.
        fussy: roles whose patches are centred on the motif of their fabric, where its repeat is
            known and the cloth is in one piece.
        progress: called very often with the share that is done and the role that is being planned;
            where it returns ``True``, each fabric has the best plan so far, and its bound.
        budget: instead of ``seconds`` and ``progress``: a part of a larger one.

    Raises:
        QuiltKeyError: a role that the quilt does not have.
        QuiltValueError: a method for a role with nothing to be cut that way.

    >>> from quiltgeom.layout.quilt import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1)
    >>> plan = cut_plan(quilt, {})
    >>> sum(len(p.unit.members) for f in plan.fabrics for p in f.placed) >= len(quilt)
    True
    """
    cloths = {role: _cloths(c) for role, c in (have or {}).items()}
    mixed = any(len({w for _, w in c}) > 1 for c in cloths.values())
    best: CutPlan | None = None
    whole = budget or Budget(seconds, progress=progress)
    for k, narrow in enumerate((False, True)[: 1 + mixed]):
        part = whole.part(k, 1 + mixed)
        # long strips for the widest cloth, or in more lengths, so that narrow cloth will do, too
        wanted = wanted_units(quilt, fabrics, width=width, cloths=cloths, options=options,
                              binding_role=binding_role, fussy=fussy, narrow=narrow)  # fmt: skip
        plans = tuple(
            _better(role, fabrics.get(role), wanted, cloths.get(role, ()),
                    (part.part(n, len(wanted.units), role), effort), terms or Terms())
            for n, role in enumerate(wanted.units)
        )  # fmt: skip
        made = CutPlan(quilt, plans, wanted.binding_strips, wanted.binding_role,
                       options or CutOptions(), wanted.sets)  # fmt: skip
        if best is None or _fitting(made) > _fitting(best):
            best = made
        if best.fits:
            break
    if best is None:
        raise QuiltValueError("cutting: found no fabric; accepted: a quilt with patches")
    return best


def _better(
    role: str, fabric: Fabric | None, wanted: Wanted, cloths: Cloths,
    limits: _Limits, terms: Terms,
) -> FabricPlan:  # fmt: skip
    """The plan of the list of pieces that takes less; the lists share the time, and the bound is
    one that none of them can beat."""
    lists = wanted.lists(role)
    plans = [
        _fabric_plan(role, fabric, units, wanted.widths[role], cloths,
                     (limits[0].part(k, len(lists)), limits[1]), terms)
        for k, units in enumerate(lists)
    ]  # fmt: skip
    best = replace(min(plans, key=_need), letters=wanted.letters)
    low = min(plans, key=lambda p: p.solution.bound).solution
    if low.bound == best.solution.bound:
        return best
    proof = best.solution.certificate if best.several else None
    return replace(best, solution=replace(best.solution, bound=low.bound, certificate=proof))


def _need(plan: FabricPlan) -> tuple[int, float, float]:
    """How much a plan takes, so that plans of several lists of pieces can be compared: cloth at
    hand that is enough first, a proof that it is not last."""
    doubt = {"unknown": 1, "impossible": 2}.get(plan.status, 0)
    return doubt, plan.buy, plan.length


def _fitting(plan: CutPlan) -> int:
    return sum(f.status == "fits" for f in plan.fabrics)


def _cloths(given: tuple[float, float] | Cloths) -> Cloths:
    """One piece of cloth or several as several."""
    several = cast("Cloths", given if isinstance(given[0], tuple) else (given,))
    out = tuple(ClothSize(float(n), float(w)) for n, w in several)
    for cloth in out:
        if not min(cloth) >= 0.125:
            raise QuiltValueError(f"cloth at hand: found {cloth}; accepted: at least 1/8 in")
    return out


def _fabric_plan(
    role: str, fabric: Fabric | None, units: Sequence[CutUnit], width: float,
    cloths: Cloths, limits: _Limits, terms: Terms,
) -> FabricPlan:  # fmt: skip
    if fabric and any(u.method == "fussy cut" for u in units):
        return _with_windows(role, fabric, units, width, cloths, limits, terms)
    direction: Direction = fabric.direction if fabric else "non-directional"
    demand = demand_of(units, direction)
    have = sum(c.length for c in cloths) if cloths else None
    solution = _solved(demand, width, cloths, limits, terms)
    placed = _placed(units, demand, solution)
    name = fabric.name if fabric else role
    return FabricPlan(role, name, direction, width, solution, placed, have, cloths, terms,
                      declared=fabric is None or fabric.declared)  # fmt: skip


_SOLVED: dict[object, Solution] = {}
_MOST_SOLVED = 128


def _solved(
    demand: Demand, width: float, cloths: Cloths, limits: _Limits, terms: Terms
) -> Solution:
    """How the pieces of one fabric are cut: the same list from the same cloth is solved once, if
    nothing stopped that (a plan that was cut short is not the only one there could be)."""
    key = demand, width, cloths, limits[1], terms
    if key in _SOLVED:
        return _SOLVED[key]
    found = _solve(demand, width, cloths, limits, terms)
    if not limits[0].stopped:
        if len(_SOLVED) >= _MOST_SOLVED:
            del _SOLVED[next(iter(_SOLVED))]
        _SOLVED[key] = found
    return found


def _solve(
    demand: Demand, width: float, cloths: Cloths, limits: _Limits, terms: Terms
) -> Solution:
    budget, tries = limits
    one, several = len(cloths) == 1, len(cloths) > 1
    sizes = [(eighths_down(w), eighths_down(n)) for n, w in cloths]
    proof = prove_impossible(demand, sizes, budget=Budget(work=_AT_ONCE)) if several else None
    if several and proof is None:
        found = _on_cloths(demand, sizes, budget.part(0, 2))
        if found is not None:
            return found
    step = eighths_down(cloths[0].length) if one else math.ceil(terms.step * 8)
    made = shortest(demand, eighths_down(width), step=step, tries=tries,
                    usable=None if one else _sold(terms),
                    budget=budget.part(0, 2) if several else budget)  # fmt: skip
    if not several:
        return made
    if proof is None:
        proof = prove_impossible(demand, sizes, budget=budget.part(0, 1, work=_PROOF))
    return replace(made, certificate=proof, cut_short=budget.stopped)


def _sold(terms: Terms) -> Callable[[int], int]:
    """What can be used of so many of the shop's steps, eighths."""
    return lambda steps: eighths_down(terms.usable(steps * terms.step))


def _with_windows(
    role: str, fabric: Fabric, units: Sequence[CutUnit], width: float, cloths: Cloths,
    limits: _Limits, terms: Terms,
) -> FabricPlan:  # fmt: skip
    """Windows on the motifs first, all else in strips below them."""
    lattice = motif_lattice(fabric)
    if lattice is None:
        raise QuiltValueError(f"fussy cut: fabric {fabric.name} has no repeat; accepted: one")
    groups = windows_of([u for u in units if u.method == "fussy cut"])
    made = fussy_plan([w for w, _ in groups], lattice, width, limits[0].part(0, 2))
    waiting = [deque(g) for _, g in groups]
    placed = [
        PlacedUnit(n, unit, x, y, unit.width / 8, unit.height / 8, False)
        for n, (k, x, y) in enumerate(made.spots, 1) for unit in [waiting[k].popleft()]
    ]  # fmt: skip
    top = eighths(made.length)
    rest = [u for u in units if u.method != "fussy cut"]
    area = sum(u.width * u.height for u in units) / eighths_down(width)
    length, bound = top, max(eighths_down(made.bound), -int(-area // 1))
    if rest:
        demand = demand_of(rest, fabric.direction)
        below = shortest(demand, eighths_down(width), step=1, budget=limits[0], tries=limits[1])
        length = top + below.length
        placed += [
            replace(p, number=p.number + len(placed), y=p.y + top / 8)
            for p in _placed(rest, demand, below)
        ]  # fmt: skip
    if cloths:
        step = eighths_down(cloths[0][0])
        bought, least = -(-length // step) * step, -(-bound // step) * step
    else:
        bought, least = (
            eighths_down(terms.usable(terms.buy(n / 8 + lattice.rise))) for n in (length, bound)
        )
    solution = Solution(eighths_down(width), length, bought, least, (), ())
    have = cloths[0][0] if cloths else None
    return FabricPlan(role, fabric.name, fabric.direction, width, solution, tuple(placed), have,
                      cloths, terms, lattice.rise, declared=fabric.declared)  # fmt: skip


def _on_cloths(
    demand: Demand, sizes: Sequence[tuple[int, int]], budget: Budget
) -> Solution | None:
    spots = cut_from_cloths(demand, sizes, budget=budget)
    if spots is None:
        return None
    used: dict[int, int] = {}
    for s in spots:
        used[s.cloth] = max(used.get(s.cloth, 0), s.y + s.height)
    length = sum(used.values())
    return Solution(max(w for w, _ in sizes), length, length, 0, tuple(spots), ())


def _placed(units: Sequence[CutUnit], demand: Demand, solution: Solution) -> tuple[PlacedUnit, ...]:
    """Give every unit one of the spots of its size, in the order in which they are cut."""
    keys = sorted({unit_key(u) for u in units})  # the order of the demand's items
    waiting: dict[tuple[int, int, bool], deque[CutUnit]] = {}
    for unit in units:
        waiting.setdefault(unit_key(unit), deque()).append(unit)
    out = []
    for number, spot in enumerate(solution.spots, 1):
        unit = waiting[keys[spot.item]].popleft()
        out.append(PlacedUnit(number, unit, spot.x / 8, spot.y / 8, spot.width / 8,
                              spot.height / 8, spot.turned, spot.cloth))  # fmt: skip
    return tuple(out)
