"""Where the rectangles of a plan lie, in the order in which they are cut."""

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import accumulate

from quiltgeom.cutting.fabric_plan import PlacedUnit, demand_of, unit_key
from quiltgeom.cutting.methods.fussy import Lattice, fussy_plan, windows_of
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.solver.budget import Budget
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.solve import Solution
from quiltgeom.model.fabric import Fabric
from quiltgeom.tolerance import SAME_LENGTH

_STRIPS = ("rectangle", "joined strip", "mitred border", "lengthwise border")


def placed_units(units: Sequence[CutUnit], demand: Demand, solution: Solution) -> list[PlacedUnit]:
    """Give every unit one of the spots of its size."""
    keys = sorted({unit_key(u) for u in units})  # the order of the demand's items
    waiting: dict[tuple[int, int, bool], list[CutUnit]] = {}
    for unit in reversed(units):
        waiting.setdefault(unit_key(unit), []).append(unit)
    out = []
    for number, spot in enumerate(solution.spots, 1):
        unit = waiting[keys[spot.item]].pop()
        turned = (spot.width, spot.height) != (unit.width, unit.height)
        x, y, w, h = (v * unit.ruler.step for v in (spot.x, spot.y, spot.width, spot.height))
        out.append(PlacedUnit(number, unit, x, y, w, h, turned, spot.cloth))
    return out


def in_order(
    placed: Sequence[PlacedUnit], solution: Solution
) -> tuple[tuple[PlacedUnit, ...], tuple[int, ...]]:
    """The strips as a person cuts them: those with the longest borders first, then the widest,
    equal ones together, those that are binding alone last.

    Returns:
        The rectangles, numbered anew, and the widths of the strips, steps of the ruler.
    """
    along, step = solution.lengthwise, placed[0].unit.ruler.step if placed else 1.0

    def moved(p: PlacedUnit, by: float) -> PlacedUnit:
        snap = p.unit.ruler.snap
        return replace(p, x=snap(p.x + by)) if along else replace(p, y=snap(p.y + by))

    strips = []
    for low, size in zip(_starts(solution.strips, step), solution.strips, strict=True):
        high = low + size * step - SAME_LENGTH
        inside = [p for p in placed if low - SAME_LENGTH <= (p.x if along else p.y) < high]
        strips.append((size, [moved(p, -low) for p in inside]))
    if sum(len(inside) for _, inside in strips) != len(placed):  # several cloths, or motifs
        return tuple(placed), solution.strips
    strips.sort(key=lambda strip: _rank(*strip))
    sizes = tuple(size for size, _ in strips)
    starts = zip(_starts(sizes, step), strips, strict=True)
    ordered = (moved(p, low) for low, (_, inside) in starts for p in inside)
    return tuple(replace(p, number=n) for n, p in enumerate(ordered, 1)), sizes


def _starts(sizes: Sequence[int], step: float) -> list[float]:
    return [total * step for total in accumulate(sizes, initial=0)][:-1]


def _rank(size: int, mine: Sequence[PlacedUnit]) -> tuple[object, ...]:
    strips = [p for p in mine if p.unit.members and p.unit.method in _STRIPS]
    longest = max((max(p.width, p.height) for p in strips), default=0.0)
    longest = longest if longest >= _LONG else 0.0
    binding = all(not p.unit.members for p in mine)
    layout = sorted((-p.height, -p.width, p.x, p.y) for p in mine)
    return binding, -longest, -size, layout


_LONG = 18.0
"""Inches: shorter pieces are no long strips, which come first while the cloth is whole."""


def with_windows(
    fabric: Fabric,
    lattice: Lattice,
    units: Sequence[CutUnit],
    width: float,
    below: Callable[[Demand], Solution],
    budget: Budget,
) -> tuple[tuple[PlacedUnit, ...], int, int]:
    """Windows on the motifs first, all else in strips below them.

    Args:
        fabric, lattice: the cloth and where its motifs are.
        units: all that is cut, windows first.
        width: usable width of the cloth, inches.
        below: solves what is not on motifs.
        budget: of the search for places on motifs.

    Returns:
        The rectangles in their places, the length they take and a length that no plan beats,
        steps of the ruler.
    """
    groups = windows_of([u for u in units if u.method == "fussy cut"])
    made = fussy_plan([w for w, _ in groups], lattice, width, budget)
    waiting = [deque(g) for _, g in groups]
    placed = [
        PlacedUnit(n, unit, x, y, unit.wide, unit.high, False)
        for n, (k, x, y) in enumerate(made.spots, 1)
        for unit in [waiting[k].popleft()]
    ]
    ruler = units[0].ruler
    top = length = ruler.up(made.length)
    rest = [u for u in units if u.method != "fussy cut"]
    area = sum(u.width * u.height for u in units) / ruler.down(width)
    bound = max(ruler.down(made.bound), -int(-area // 1))
    if rest:
        demand = demand_of(rest, fabric.direction)
        found = below(demand)
        length = top + found.length
        others, _ = in_order(placed_units(rest, demand, found), found)
        for p in others:
            y = ruler.snap(p.y + top * ruler.step)
            placed.append(replace(p, number=p.number + len(made.spots), y=y))
    return tuple(placed), length, bound
