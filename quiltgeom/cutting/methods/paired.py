"""Methods that make units of two fabrics at once: from pairs of squares, geese, stitch and flip."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from quiltgeom.cutting.methods.constants import Rule, half_square_square
from quiltgeom.cutting.methods.cut_shapes import TURNS, CutShape, triangle_kind
from quiltgeom.cutting.methods.squares import (
    Waiting,
    diagonals,
    half_side,
    half_spots,
    quarter_side,
    quarter_spots,
)
from quiltgeom.cutting.methods.unit import CutUnit, Line, Member, Method
from quiltgeom.model.fabric import Direction
from quiltgeom.units import INCHES, Ruler

Made = list[tuple[str, CutUnit]]
"""Rectangles, each with the role that it is cut from."""


@dataclass(frozen=True, slots=True)
class Together:
    """A unit of two fabrics: its patches as they lie on their cloths, the large one first."""

    shapes: tuple[CutShape, ...]

    def turned(self, quarters: int) -> Together:
        """The whole unit turned on its cloths."""
        return Together(tuple(s.turned(90.0 * quarters) for s in self.shapes))

    @property
    def way(self) -> int:
        """Corner of the right angle, or side of the long edge, of the first patch."""
        return triangle_kind(self.shapes[0].outline)[2]

    def key(self) -> tuple[object, ...]:
        """Equal for units that the same squares can make."""
        first, *rest = self.shapes
        size = triangle_kind(first.outline)[1]
        return (
            round(size * 1e6),
            first.role,
            *((s.role, round((s.lie - first.lie) * 1e3) % 360_000) for s in rest),
        )


def _grouped(units: Iterable[Together]) -> list[list[Together]]:
    groups: dict[tuple[object, ...], list[Together]] = {}
    for unit in units:
        groups.setdefault(unit.key(), []).append(unit)
    return list(groups.values())


def _turns(unit: Together, directions: Mapping[str, Direction]) -> list[int]:
    allowed = [TURNS[directions[s.role]] for s in unit.shapes]
    return [t for t in range(4) if all(t in a for a in allowed)]


def _take(pool: Waiting[Together], slot: int, turns: Sequence[int]) -> Together | None:
    found = pool.take(slot, turns)
    return found and (found[0].turned(found[1]) if found[1] else found[0])


def _waiting(units: Iterable[Together]) -> Waiting[Together]:
    return Waiting((u.way, u) for u in units)


def pairs(
    units: Sequence[Together],
    directions: Mapping[str, Direction],
    *,
    seam: float,
    rule: Rule = "trade",
    ruler: Ruler = INCHES,
) -> Made:
    """Half-square triangles two at a time: two squares face to face, sewn on both sides of a
    diagonal, cut on it."""
    out: Made = []
    for pool in _grouped(units):
        leg = triangle_kind(pool[0].shapes[0].outline)[1]
        side = half_side(leg, seam=seam, rule=rule, ruler=ruler)
        turns, waiting = _turns(pool[0], directions), _waiting(pool)
        while (first := waiting.first) is not None:
            both = [u for u in (_take(waiting, s, turns) for s in (first, (first + 2) % 4)) if u]
            out += _squares("pair of squares", both, side, leg, seam, ruler)
    return out


def _squares(
    method: Method, both: Sequence[Together], side: float, leg: float, seam: float, ruler: Ruler
) -> Made:
    spots = half_spots(side, leg, seam)
    out: Made = []
    for shapes in zip(*(u.shapes for u in both), strict=True):
        members = []
        for s in shapes:
            corner = triangle_kind(s.outline)[2]
            members.append(Member(s.piece, *spots[corner], s.lie))
        lines = diagonals(side, triangle_kind(shapes[0].outline)[2])
        out.append((shapes[0].role, CutUnit.of(method, side, side, members, lines, ruler=ruler)))
    return out


def fours(
    units: Sequence[Together],
    directions: Mapping[str, Direction],
    *,
    seam: float,
    rule: Rule = "trade",
    ruler: Ruler = INCHES,
) -> Made:
    """Half-square triangles four at a time: sewn all round, cut on both diagonals; the cloth lies
    at 45 degrees, so that only cloth without direction will do. Their edges are on the bias."""
    out: Made = []
    for pool in _grouped(units):
        leg = triangle_kind(pool[0].shapes[0].outline)[1]
        side = ruler.ceil(half_square_square(leg, at_a_time=4, rule=rule, seam=seam))
        spots = quarter_spots(side, leg * 2**0.5, seam)
        for begin in range(0, len(pool), 4):
            four = pool[begin : begin + 4]
            for shapes in zip(*(u.shapes for u in four), strict=True):
                members = []
                for slot, s in enumerate(shapes):
                    # its long side, opposite the right angle, goes to this side of the square
                    turned = s.turned(225.0 + 90.0 * (slot - triangle_kind(s.outline)[2]))
                    members.append(Member(s.piece, *spots[slot], turned.lie))
                unit = CutUnit.of(
                    "four at a time", side, side, members, diagonals(side), ruler=ruler
                )
                out.append((shapes[0].role, unit))
    return out


def eights(
    units: Sequence[Together],
    directions: Mapping[str, Direction],
    *,
    seam: float,
    rule: Rule = "trade",
    ruler: Ruler = INCHES,
) -> Made:
    """Half-square triangles eight at a time: sewn on both sides of both diagonals, cut into four
    squares, those cut on their diagonals."""
    out: Made = []
    for pool in _grouped(units):
        leg = triangle_kind(pool[0].shapes[0].outline)[1]
        side = ruler.ceil(half_square_square(leg, at_a_time=8, rule=rule, seam=seam))
        turns, waiting = _turns(pool[0], directions), _waiting(pool)
        while waiting.first is not None:
            eight = [u for u in (_take(waiting, s % 4, turns) for s in range(8)) if u]
            for shapes in zip(*(u.shapes for u in eight), strict=True):
                out.append((shapes[0].role, _of_eight(shapes, side, leg, seam, ruler)))
    return out


def _of_eight(
    shapes: Sequence[CutShape], side: float, leg: float, seam: float, ruler: Ruler
) -> CutUnit:
    free = {c: [c % 2 ^ 1, (c % 2 ^ 1) + 2] for c in range(4)}
    quarter = side / 2
    spots, corner_of = half_spots(quarter, leg, seam), ((0, 0), (1, 0), (1, 1), (0, 1))
    members = []
    for s in shapes:
        corner = triangle_kind(s.outline)[2]
        # the diagonal of the square's top left quarter runs to the middle: its triangles have
        # their right angles top right and bottom left; the next quarter's the other two
        part = corner_of[free[corner].pop(0)]
        x, y = spots[corner]
        members.append(Member(s.piece, part[0] * quarter + x, part[1] * quarter + y, s.lie))
    lines: tuple[Line, ...] = (
        *diagonals(side),
        (quarter, 0, quarter, side),
        (0, quarter, side, quarter),
    )
    return CutUnit.of("eight at a time", side, side, members, lines, ruler=ruler)


def geese(
    units: Sequence[Together],
    directions: Mapping[str, Direction],
    *,
    seam: float,
    rule: Rule = "trade",
    ruler: Ruler = INCHES,
) -> Made:
    """Flying geese four at a time: a large square and four small ones, no waste."""
    out: Made = []
    for pool in _grouped(units):
        long = triangle_kind(pool[0].shapes[0].outline)[1]
        large = quarter_side(long, seam=seam, rule=rule, ruler=ruler)
        small = half_side(long / 2, seam=seam, rule=rule, ruler=ruler)
        turns, waiting = _turns(pool[0], directions), _waiting(pool)
        while waiting.first is not None:
            four = {s: u for s in range(4) if (u := _take(waiting, s, turns)) is not None}
            spots = quarter_spots(large, long, seam)
            members = tuple(
                Member(u.shapes[0].piece, *spots[s], u.shapes[0].lie) for s, u in four.items()
            )
            first = next(iter(four.values())).shapes
            out.append(
                (
                    first[0].role,
                    CutUnit.of(
                        "no-waste geese", large, large, members, diagonals(large), ruler=ruler
                    ),
                )
            )
            out += _skies([u.shapes[1:] for u in four.values()], small, long / 2, seam, ruler)
    return out


def _skies(
    skies: Sequence[Sequence[CutShape]], small: float, leg: float, seam: float, ruler: Ruler
) -> Made:
    """Four small squares, each cut once; both of its triangles have opposite corners."""
    waiting = [s for pair in skies for s in pair]
    spots, out = half_spots(small, leg, seam), []
    while waiting:
        corner = triangle_kind(waiting[0].outline)[2]
        chosen = [waiting.pop(0)]
        for k, s in enumerate(waiting):
            if triangle_kind(s.outline)[2] == (corner + 2) % 4:
                chosen.append(waiting.pop(k))
                break
        members = tuple(Member(s.piece, *spots[triangle_kind(s.outline)[2]], s.lie) for s in chosen)
        out.append(
            (
                chosen[0].role,
                CutUnit.of(
                    "no-waste skies", small, small, members, diagonals(small, corner), ruler=ruler
                ),
            )
        )
    return out


def flips(units: Sequence[Together], *, seam: float, ruler: Ruler = INCHES) -> Made:
    """Stitch and flip: the large patch as a whole rectangle, a square sewn over every corner."""
    out: Made = []
    for unit in units:
        for k, s in enumerate(unit.shapes):
            x0, y0, x1, y1 = s.outline.bounds
            w, h = x1 - x0 + 2 * seam, y1 - y0 + 2 * seam
            member = Member(s.piece, w / 2, h / 2, s.lie)
            method: Method = "flip corner" if k else "flip base"
            lines = diagonals(w, triangle_kind(s.outline)[2]) if k else ()
            out.append((s.role, CutUnit.of(method, w, h, [member], lines, ruler=ruler)))
    return out
