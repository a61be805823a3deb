"""The cutting plan of a whole quilt: per fabric what to buy, what to cut, and where it lies."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from quiltgeom.cutting.as_cut import CutPatch, assemble, cut_patches
from quiltgeom.cutting.bounds import Certificate, prove_impossible
from quiltgeom.cutting.choose import choose_units
from quiltgeom.cutting.cloths import cut_from_cloths
from quiltgeom.cutting.items import Demand, Item, eighths
from quiltgeom.cutting.on_hand import Cloths
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solve import EFFORT, Solution, shortest
from quiltgeom.cutting.stripsets import StripSet
from quiltgeom.cutting.terms import Terms
from quiltgeom.cutting.unit import CutUnit
from quiltgeom.cutting.yardage import bias_square, binding, binding_length
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt

__all__ = ["CutPlan", "FabricPlan", "PlacedUnit", "Wanted", "cut_plan", "wanted_units"]

Verdict = Literal["optimal", "within", "fits", "impossible", "unknown"]


@dataclass(frozen=True, slots=True)
class PlacedUnit:
    """A cut rectangle in its place: inches from the top left of the cloth, print upright.

    ``turned``: it lies a quarter turn clockwise round from the way its unit is described.
    ``cloth``: number of the piece of cloth, from 0.
    """

    number: int
    unit: CutUnit
    x: float
    y: float
    width: float
    height: float
    turned: bool
    cloth: int = 0

    def centre(self, member: int) -> tuple[float, float]:
        """Where the middle of a member patch's bounding box lies on the cloth."""
        m = self.unit.members[member]
        if not self.turned:
            return self.x + m.x, self.y + m.y
        return self.x + self.unit.height / 8 - m.y, self.y + m.x

    def lie(self, member: int) -> float:
        """How the cloth lies in the quilt for this patch, degrees clockwise."""
        m = self.unit.members[member]
        return (m.lie_deg - 90.0) % 360.0 if self.turned else m.lie_deg


@dataclass(frozen=True)
class FabricPlan:
    """What to cut from one fabric.

    Attributes:
        role: the fabric's role in the quilt; ``name`` for people.
        direction: what turns the print allows.
        width: usable width of the cloth, inches.
        solution: the plan on the cloth with its bound.
        placed: every rectangle in its place, in cutting order.
        have: length of the cloth at hand (of several, together), or None when it will be bought.
        cloths: pieces of cloth at hand, ``(length, width)``; empty when it will be bought.
        terms: how the shop sells and what is added.
    """

    role: str
    name: str
    direction: Direction
    width: float
    solution: Solution
    placed: tuple[PlacedUnit, ...]
    have: float | None = None
    cloths: Cloths = ()
    terms: Terms = field(default_factory=Terms)

    @property
    def length(self) -> float:
        """Length of cloth that the pieces take up, inches."""
        return self.solution.length / 8

    @property
    def bound(self) -> float:
        """No way of cutting makes do with buying less than this (or with less of the cloth at
        hand), inches."""
        least = self.solution.bound / 8
        return self.terms.buy(least) if self.have is None else least

    @property
    def buy(self) -> float:
        """Length to buy, straightening and shrinkage included, in whole shop steps, inches."""
        return self.terms.buy(self.length)

    @property
    def several(self) -> bool:
        """Whether there is more than one piece of cloth at hand."""
        return len(self.cloths) > 1

    @property
    def status(self) -> Verdict:
        """``optimal`` or ``within`` a gap; for cloth at hand: fits, impossible or unknown."""
        if self.have is None:
            return self.solution.status
        if self.several:
            if any(p.cloth for p in self.placed) or self._on_first:
                return "fits"
            return "impossible" if self.proof else "unknown"
        if self.solution.bought <= eighths_down(self.have):
            return "fits"
        return "impossible" if self.solution.bound > eighths_down(self.have) else "unknown"

    @cached_property
    def why(self) -> str:
        """The verdict as a sentence."""
        if self.solution.cut_short and self.status in ("within", "unknown"):
            return self._why + "; the search was stopped by the time limit"
        return self._why

    @property
    def _why(self) -> str:
        if self.status == "fits" and self.several:
            used = len({p.cloth for p in self.placed})
            return f"fits: takes {used} of {len(self.cloths)} pieces of cloth"
        if self.status == "fits":
            return f"fits: takes {self.length:g} of {self.have:g} in"
        if self.status == "impossible":
            proof = self.proof
            reason = proof.sentence(self.demand) if proof else "a piece is longer than the cloth"
            return f"cannot be cut from this cloth, because {reason}"
        if self.status == "unknown":
            return f"no plan found (best takes {self.length:g} in), and no proof that there is none"
        if self.status == "optimal":
            return "no plan takes fewer shop steps"
        gap = 100 * (self.buy / self.bound - 1)
        return f"within {gap:.0f} % of a length that no plan can beat"

    @cached_property
    def proof(self) -> Certificate | None:
        """Why cloth at hand is not enough; None if it may be, or if a piece is plainly too long."""
        if self.have is None or (not self.several and self.status != "impossible"):
            return None
        sizes = self.cloths or ((self.have, self.width),)
        return prove_impossible(self.demand, [(eighths_down(w), eighths_down(n)) for n, w in sizes])

    @property
    def _on_first(self) -> bool:
        """Whether everything lies on the first of several pieces of cloth."""
        length, width = self.cloths[0]
        return all(p.x + p.width <= width and p.y + p.height <= length for p in self.placed)

    @cached_property
    def demand(self) -> Demand:
        """The rectangles as the solver saw them."""
        return _demand([p.unit for p in self.placed], self.direction)


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


def eighths_down(inches: float) -> int:
    """Whole eighths in a length of cloth (rounded down).

    >>> eighths_down(36), eighths_down(35.99)
    (288, 287)
    """
    return int(inches * 8 + 1e-6)


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
        seconds: time limit per fabric; None: none, and the same plan on every machine.
        effort: searches per fabric; see :func:`~quiltgeom.cutting.solve.shortest`.
        options: methods and other choices of the maker.
        terms: how the shop sells cloth, and what is added to the cutting need.

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
    wanted = wanted_units(quilt, fabrics, width=width, cloths=cloths, binding_role=binding_role,
                          options=options)  # fmt: skip
    plans = [
        _fabric_plan(role, fabrics.get(role), units, wanted.widths[role], cloths.get(role, ()),
                     (seconds, effort), terms or Terms()) for role, units in wanted.units.items()
    ]  # fmt: skip
    return CutPlan(quilt, tuple(plans), wanted.binding_strips, wanted.binding_role,
                   options or CutOptions(), wanted.sets)  # fmt: skip


@dataclass(frozen=True)
class Wanted:
    """What must be cut, before anybody looks for a plan.

    Attributes:
        units: rectangles by role, those of the binding last.
        widths: usable width of the cloth by role, inches.
        sets, binding_role, binding_strips: see :class:`CutPlan`.
    """

    units: dict[str, list[CutUnit]]
    widths: dict[str, float]
    sets: tuple[StripSet, ...]
    binding_role: str
    binding_strips: int

    def demand(self, role: str, direction: Direction) -> Demand:
        """The rectangles of a role as the solver takes them."""
        return _demand(self.units[role], direction)


def wanted_units(
    quilt: Quilt,
    fabrics: Mapping[str, Fabric],
    *,
    width: float = 40.0,
    cloths: Mapping[str, Cloths] | None = None,
    binding_role: str | None = None,
    options: CutOptions | None = None,
) -> Wanted:
    """The rectangles to cut for a quilt and its binding; see :func:`cut_plan`."""
    cloths, options = cloths or {}, options or CutOptions()
    roles = [r for r, n in quilt.count_by_role.items() if n]
    if binding_role is None:
        binding_role = "accent" if "accent" in roles else roles[-1]
    for role in [*cloths, *([binding_role] if binding_role else [])]:
        if role not in roles:
            raise QuiltKeyError(f"fabric: found role {role!r}; accepted: {', '.join(roles)}")
    widths = {r: max((w for _, w in cloths.get(r, ())), default=width) for r in roles}
    ways = {r: fabrics[r].direction for r in roles if r in fabrics}
    chosen = choose_units(quilt, ways, widths, options)
    bound = _binding(quilt, widths[binding_role], options) if binding_role else []
    units = {r: chosen.units[r] + (bound if r == binding_role else []) for r in roles}
    return Wanted(units, widths, chosen.sets, binding_role, len(bound))


def _binding(quilt: Quilt, cloth: float, options: CutOptions) -> list[CutUnit]:
    """Straight strips across the cloth (binding shows a finger's width of its print), or squares
    for continuous bias strips."""
    strip = options.binding_strip
    made = binding(quilt.width, quilt.height, cloth=cloth, strip=strip, diagonal=True)
    if options.binding == "straight":
        return [CutUnit("binding", eighths_down(cloth), eighths(strip))] * made.strips
    side = bias_square(binding_length(quilt.width, quilt.height), strip, seams=True)
    number = 1
    while side > cloth:
        number += 1
        need = binding_length(quilt.width, quilt.height) / number
        side = bias_square(need, strip, seams=True)
    return [CutUnit("bias binding", eighths(side), eighths(side))] * number


def _cloths(given: tuple[float, float] | Cloths) -> Cloths:
    """One piece of cloth or several as several."""
    out: Cloths = tuple((float(r[0]), float(r[1])) for r in given if isinstance(r, tuple))
    if not out:
        out = ((float(given[0]), float(given[1])),)  # type: ignore[arg-type]
    for cloth in out:
        if not min(cloth) >= 0.125:
            raise QuiltValueError(f"cloth at hand: found {cloth}; accepted: at least 1/8 in")
    return out


def _fabric_plan(
    role: str, fabric: Fabric | None, units: Sequence[CutUnit], width: float,
    cloths: Cloths, limits: tuple[float | None, int], terms: Terms,
) -> FabricPlan:  # fmt: skip
    direction: Direction = fabric.direction if fabric else "non-directional"
    demand = _demand(units, direction)
    step = eighths_down(cloths[0][0]) if len(cloths) == 1 else math.ceil(terms.step * 8)
    have = sum(n for n, _ in cloths) if cloths else None
    solution = None
    if len(cloths) > 1:
        solution = _on_cloths(demand, cloths, limits[0])
    if solution is None:
        sold = None if len(cloths) == 1 else _sold(terms)
        solution = shortest(demand, eighths_down(width), step=step, seconds=limits[0],
                            tries=limits[1], usable=sold)  # fmt: skip
    placed = _placed(units, demand, solution)
    name = fabric.name if fabric else role
    return FabricPlan(role, name, direction, width, solution, placed, have, cloths, terms)


def _sold(terms: Terms) -> Callable[[int], int]:
    """What can be used of so many of the shop's steps, eighths."""
    return lambda steps: eighths_down(terms.usable(steps * terms.step))


def _on_cloths(demand: Demand, cloths: Cloths, seconds: float | None) -> Solution | None:
    sizes = [(eighths_down(w), eighths_down(n)) for n, w in cloths]
    spots = cut_from_cloths(demand, sizes, seconds=seconds)
    if spots is None:
        return None
    used: dict[int, int] = {}
    for s in spots:
        used[s.cloth] = max(used.get(s.cloth, 0), s.y + s.height)
    length = sum(used.values())
    return Solution(max(w for w, _ in sizes), length, length, 0, tuple(spots), ())


def _key(unit: CutUnit) -> tuple[int, int, bool]:
    return unit.width, unit.height, unit.fixed


def _demand(units: Sequence[CutUnit], direction: Direction) -> Demand:
    may_turn = direction in ("four-way", "non-directional")
    counts = Counter(_key(u) for u in units)
    return Demand(tuple(
        Item(w, h, n, may_turn and not fixed) for (w, h, fixed), n in sorted(counts.items())
    ))  # fmt: skip


def _placed(units: Sequence[CutUnit], demand: Demand, solution: Solution) -> tuple[PlacedUnit, ...]:
    """Give every unit one of the spots of its size, in the order in which they are cut."""
    keys = sorted({_key(u) for u in units})  # the order of the demand's items
    waiting: dict[tuple[int, int, bool], list[CutUnit]] = {}
    for unit in units:
        waiting.setdefault(_key(unit), []).append(unit)
    out = []
    for number, spot in enumerate(solution.spots, 1):
        unit = waiting[keys[spot.item]].pop(0)
        out.append(PlacedUnit(number, unit, spot.x / 8, spot.y / 8, spot.width / 8,
                              spot.height / 8, spot.turned, spot.cloth))  # fmt: skip
    return tuple(out)
