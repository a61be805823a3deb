"""Methods that make units of two fabrics at once: from pairs of squares, geese, stitch and flip."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from quiltgeom.cutting.methods.constants import geese_no_waste, half_square_square
from quiltgeom.cutting.methods.cut_shapes import TURNS, CutShape, triangle_kind
from quiltgeom.cutting.methods.squares import (
    Waiting,
    diagonals,
    fill_slots,
    half_side,
    half_spots,
    quarter_spots,
)
from quiltgeom.cutting.methods.unit import CutUnit, Line, Member, Method
from quiltgeom.cutting.options import CutOptions
from quiltgeom.model.fabric import Direction

Made = list[tuple[str, CutUnit]]
"""Rectangles, each with the role that it is cut from."""


@dataclass(frozen=True, slots=True)
class UnitShapes:
    """A unit of two fabrics: its patches as they lie on their cloths, the large one first."""

    shapes: tuple[CutShape, ...]

    def turned(self, degrees: float) -> UnitShapes:
        """The whole unit turned on its cloths."""
        return UnitShapes(tuple(s.turned(degrees) for s in self.shapes))

    @property
    def size(self) -> float:
        """Leg, or long side, of the first patch."""
        return triangle_kind(self.shapes[0].outline)[1]

    def key(self) -> tuple[object, ...]:
        """Equal for units that the same squares can make."""
        first, *rest = self.shapes
        others = ((s.role, round((s.lie - first.lie) * 1e3) % 360_000) for s in rest)
        return round(self.size * 1e6), first.role, *others


def _grouped(units: Iterable[UnitShapes]) -> list[list[UnitShapes]]:
    groups: dict[tuple[object, ...], list[UnitShapes]] = {}
    for unit in units:
        groups.setdefault(unit.key(), []).append(unit)
    return list(groups.values())


def _squares(
    units: Iterable[UnitShapes],
    directions: Mapping[str, Direction],
    slots: Callable[[int], Iterable[int]],
) -> Iterator[list[tuple[int, UnitShapes]]]:
    """What one square of each fabric gives: units with their corners or sides, as far as their
    prints allow; ``slots`` says which of those there are when the first unit has this one."""
    for pool in _grouped(units):
        allowed = [TURNS[directions[s.role]] for s in pool[0].shapes]
        turns = [t for t in range(4) if all(t in a for a in allowed)]
        waiting = Waiting((_way(u.shapes[0]), u) for u in pool)
        while (first := waiting.first) is not None:
            yield fill_slots(waiting, slots(first), turns)


def pairs(
    units: Sequence[UnitShapes], directions: Mapping[str, Direction], options: CutOptions
) -> Made:
    """Half-square triangles two at a time: two squares face to face, sewn on both sides of a
    diagonal, cut on it."""
    out: Made = []
    for both in _squares(units, directions, lambda first: (first, (first + 2) % 4)):
        leg = both[0][1].size
        side = half_side(leg, options)
        spots = half_spots(side, leg, options.seam)
        for shapes in zip(*(u.shapes for _, u in both), strict=True):
            members = [Member(s.piece, *spots[_way(s)], s.lie) for s in shapes]
            lines = diagonals(side, _way(shapes[0]))
            out.append(_square("pair of squares", shapes, side, members, lines, options))
    return out


def _way(shape: CutShape) -> int:
    """Corner of the right angle, or side of the long edge, of a triangle."""
    return triangle_kind(shape.outline)[2]


def _square(
    method: Method,
    shapes: Sequence[CutShape],
    side: float,
    members: Sequence[Member],
    lines: Sequence[Line],
    options: CutOptions,
) -> tuple[str, CutUnit]:
    return shapes[0].role, CutUnit.of(method, side, side, members, lines, ruler=options.ruler)


def fours(
    units: Sequence[UnitShapes], directions: Mapping[str, Direction], options: CutOptions
) -> Made:
    """Half-square triangles four at a time: sewn all round, cut on both diagonals; the cloth lies
    at 45 degrees, so that only cloth without direction will do. Their edges are on the bias."""
    out: Made = []
    for pool in _grouped(units):
        leg = pool[0].size
        side = half_square_square(leg, at_a_time=4, rule=options.rule, seam=options.seam)
        side = options.ruler.ceil(side)
        spots = quarter_spots(side, leg * 2**0.5, options.seam)
        for begin in range(0, len(pool), 4):
            four = pool[begin : begin + 4]
            for shapes in zip(*(u.shapes for u in four), strict=True):
                members = []
                for slot, s in enumerate(shapes):
                    # its long side, opposite the right angle, goes to this side of the square
                    turned = s.turned(225.0 + 90.0 * (slot - _way(s)))
                    members.append(Member(s.piece, *spots[slot], turned.lie))
                lines = diagonals(side)
                out.append(_square("four at a time", shapes, side, members, lines, options))
    return out


def eights(
    units: Sequence[UnitShapes], directions: Mapping[str, Direction], options: CutOptions
) -> Made:
    """Half-square triangles eight at a time: sewn on both sides of both diagonals, cut into four
    squares, those cut on their diagonals."""
    out: Made = []
    for eight in _squares(units, directions, lambda _: (*range(4), *range(4))):
        leg = eight[0][1].size
        side = half_square_square(leg, at_a_time=8, rule=options.rule, seam=options.seam)
        for shapes in zip(*(u.shapes for _, u in eight), strict=True):
            out.append(_of_eight(shapes, options.ruler.ceil(side), leg, options))
    return out


def _of_eight(
    shapes: Sequence[CutShape], side: float, leg: float, options: CutOptions
) -> tuple[str, CutUnit]:
    free = {c: [c % 2 ^ 1, (c % 2 ^ 1) + 2] for c in range(4)}
    quarter = side / 2
    spots, corner_of = half_spots(quarter, leg, options.seam), ((0, 0), (1, 0), (1, 1), (0, 1))
    members = []
    for s in shapes:
        corner = _way(s)
        # the diagonal of the square's top left quarter runs to the middle: its triangles have
        # their right angles top right and bottom left; the next quarter's the other two
        part = corner_of[free[corner].pop(0)]
        x, y = spots[corner]
        members.append(Member(s.piece, part[0] * quarter + x, part[1] * quarter + y, s.lie))
    lines = (*diagonals(side), (quarter, 0, quarter, side), (0, quarter, side, quarter))
    return _square("eight at a time", shapes, side, members, lines, options)


def geese(
    units: Sequence[UnitShapes], directions: Mapping[str, Direction], options: CutOptions
) -> Made:
    """Flying geese four at a time: a large square and four small ones, no waste."""
    out: Made = []
    for four in _squares(units, directions, lambda _: range(4)):
        long, seam = four[0][1].size, options.seam
        large, small = map(options.ruler.ceil, geese_no_waste(long, rule=options.rule, seam=seam))
        spots = quarter_spots(large, long, seam)
        patches, lines = [u.shapes[0] for _, u in four], diagonals(large)
        members = [Member(u.shapes[0].piece, *spots[k], u.shapes[0].lie) for k, u in four]
        out.append(_square("no-waste geese", patches, large, members, lines, options))
        out += _skies([s for _, u in four for s in u.shapes[1:]], small, long / 2, options)
    return out


def _skies(skies: Sequence[CutShape], small: float, leg: float, options: CutOptions) -> Made:
    """Four small squares, each cut once; both of its triangles have opposite corners."""
    waiting = Waiting((_way(s), s) for s in skies)
    spots, out = half_spots(small, leg, options.seam), []
    while (corner := waiting.first) is not None:
        both = fill_slots(waiting, (corner, (corner + 2) % 4), (0,))
        members = [Member(s.piece, *spots[slot], s.lie) for slot, s in both]
        chosen, lines = [s for _, s in both], diagonals(small, corner)
        out.append(_square("no-waste skies", chosen, small, members, lines, options))
    return out


def flips(
    units: Sequence[UnitShapes], directions: Mapping[str, Direction], options: CutOptions
) -> Made:
    """Stitch and flip: the large patch as a whole rectangle, a square sewn over every corner."""
    out: Made = []
    seam = options.seam
    for unit in units:
        for k, s in enumerate(unit.shapes):
            x0, y0, x1, y1 = s.outline.bounds
            w, h = x1 - x0 + 2 * seam, y1 - y0 + 2 * seam
            member = Member(s.piece, w / 2, h / 2, s.lie)
            method: Method = "flip corner" if k else "flip base"
            lines = diagonals(w, _way(s)) if k else ()
            cut = CutUnit.of(method, w, h, [member], lines, ruler=options.ruler)
            out.append((s.role, cut))
    return out
