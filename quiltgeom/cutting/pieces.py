"""From placed patches to the rectangles that are cut from the cloth, with the way of cutting."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from quiltgeom.cutting.constants import (
    SEAM,
    half_square_square,
    quarter_square_square,
)
from quiltgeom.cutting.items import eighths
from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.geometry.outline import Outline
from quiltgeom.model.fabric import Direction
from quiltgeom.model.quilt import Piece

__all__ = ["CutUnit", "Member", "Method", "cut_units"]

Method = Literal["rectangle", "square cut once", "square cut twice", "template", "joined strip",
                 "binding"]  # fmt: skip
_CLOSE = 1e-6
_TURNS: dict[Direction, tuple[int, ...]] = {
    "one-way": (0,), "two-way": (0, 2), "four-way": (0, 1, 2, 3),
    "non-directional": (0, 1, 2, 3),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Member:
    """A patch inside a cut rectangle.

    Attributes:
        piece: its index in the quilt.
        x, y: middle of its finished bounding box, inches from the rectangle's top left.
        lie_deg: how the cloth lies in the quilt when it is cut like this.
        part, parts: which length of a strip that is joined end to end.
        span: of such a length, from where to where along the strip, inches, in the frame of the
            patch turned back by ``lie_deg``; None for a whole patch.
    """

    piece: int
    x: float
    y: float
    lie_deg: float
    part: int = 1
    parts: int = 1
    span: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class CutUnit:
    """One rectangle of cloth and the patches that it gives.

    Attributes:
        method: how it becomes patches.
        width, height: cut size in eighths, across and along the cloth.
        members: the patches; empty for binding.
    """

    method: Method
    width: int
    height: int
    members: tuple[Member, ...] = ()


@dataclass(frozen=True, slots=True)
class _Shape:
    """A patch as it lies on the cloth: print up."""

    piece: int
    outline: Outline
    lie: float

    def turned(self, degrees: float) -> _Shape:
        return replace(self, outline=self.outline.turned(degrees, (0, 0)),
                       lie=(self.lie - degrees) % 360.0)  # fmt: skip


def cut_units(
    pieces: Iterable[Piece], direction: Direction, cloth: float, *, seam: float = SEAM
) -> list[CutUnit]:
    """Cut rectangles for the patches of one fabric.

    Half-square triangles come in pairs from squares cut once, quarter-square triangles by fours
    from squares cut twice, as far as the print allows them to be turned; rectangles as they are;
    any other shape from the smallest upright rectangle that holds it with its allowance, with a
    template. Cloth without direction is laid with the patch's longest edge along the threads.

    Args:
        pieces: patches of one fabric.
        direction: what turns the print allows.
        cloth: usable width of the cloth in inches; longer strips are joined end to end.
        seam: seam allowance.
    """
    turns = _TURNS[direction]
    rest: list[_Shape] = []
    halves: dict[int, list[tuple[int, _Shape]]] = {}
    quarters: dict[int, list[tuple[int, _Shape]]] = {}
    for piece in pieces:
        shape = _Shape(piece.index, piece.outline.turned(-piece.lie_deg, (0, 0)), piece.lie_deg)
        if direction == "non-directional":
            shape = _with_the_threads(shape)
        kind, size, way = _triangle(shape.outline)
        if kind == "half":
            halves.setdefault(round(size * 1e6), []).append((way, shape))
        elif kind == "quarter":
            quarters.setdefault(round(size * 1e6), []).append((way, shape))
        else:
            rest.append(shape)
    units = [u for shape in rest for u in _single(shape, cloth, seam, len(turns) == 4)]
    for size, group in sorted(halves.items()):
        units += _halves(group, size / 1e6, turns)
    for size, group in sorted(quarters.items()):
        units += _quarters(group, size / 1e6, turns)
    return sorted(units, key=lambda u: (-u.height, -u.width, u.method, u.members[0].piece))


def _with_the_threads(shape: _Shape) -> _Shape:
    """Turn a patch so that its longest straight edge follows the threads; as it is if one does."""
    edges = [(math.dist(p, q), p, q) for p, q, b in shape.outline.edges() if not b]
    if not edges:
        return shape
    angles = [math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])) for _, p, q in edges]
    if any(abs(a / 90 - round(a / 90)) < _CLOSE for a in angles):
        return shape
    longest = max(range(len(edges)), key=lambda k: (round(edges[k][0], 6), -k))
    return shape.turned(-angles[longest])


def _triangle(outline: Outline) -> tuple[str, float, int]:
    """``("half", leg, corner)``, ``("quarter", long side, side)`` or ``("", 0, 0)``.

    Corners are counted clockwise from top left, sides clockwise from the top.
    """
    corners = _corners(outline)
    if len(corners) != 3 or not outline.is_straight:
        return "", 0.0, 0
    x0, y0, x1, y1 = outline.bounds
    w, h = x1 - x0, y1 - y0
    box = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    hit = [k for k, c in enumerate(box) if any(math.dist(c, p) < _CLOSE for p in corners)]
    if len(hit) == 3 and abs(w - h) < _CLOSE:
        missing = ({0, 1, 2, 3} - set(hit)).pop()
        return "half", w, (missing + 2) % 4
    if len(hit) == 2 and (hit[1] - hit[0]) % 2 == 1:
        side = hit[0] if hit != [0, 3] else 3
        long, short = (w, h) if side % 2 == 0 else (h, w)
        tip = next(p for p in corners if all(math.dist(box[k], p) > _CLOSE for k in hit))
        middle = (x0 + x1) / 2 if side % 2 == 0 else (y0 + y1) / 2
        if abs(long - 2 * short) < _CLOSE and abs(tip[side % 2] - middle) < _CLOSE:
            return "quarter", long, side
    return "", 0.0, 0


def _corners(outline: Outline) -> list[tuple[float, float]]:
    """Corners where the outline really turns."""
    pts = outline.points
    out = []
    for k, p in enumerate(pts):
        a, b = pts[k - 1], pts[(k + 1) % len(pts)]
        cross = (p[0] - a[0]) * (b[1] - p[1]) - (p[1] - a[1]) * (b[0] - p[0])
        if abs(cross) > _CLOSE:
            out.append(p)
    return out


def _single(shape: _Shape, cloth: float, seam: float, may_turn: bool) -> list[CutUnit]:
    outline = shape.outline
    x0, y0, x1, y1 = outline.bounds
    square = outline.is_straight and abs(outline.area - (x1 - x0) * (y1 - y0)) < _CLOSE
    if not square:
        a0, b0, a1, b1 = offset_outline(outline, seam).bounds
        if a1 - a0 > cloth + _CLOSE and (not may_turn or b1 - b0 > cloth + _CLOSE):
            return _joined(shape, a1 - a0, b1 - b0, cloth, seam)  # such as a mitred border
        member = Member(shape.piece, (x0 + x1) / 2 - a0, (y0 + y1) / 2 - b0, shape.lie)
        return [CutUnit("template", eighths(a1 - a0), eighths(b1 - b0), (member,))]
    w, h = x1 - x0 + 2 * seam, y1 - y0 + 2 * seam
    if w > cloth + _CLOSE or (may_turn and h > cloth + _CLOSE):
        return _joined(shape, w, h, cloth, seam)
    unit = CutUnit(
        "rectangle", eighths(w), eighths(h), (Member(shape.piece, w / 2, h / 2, shape.lie),)
    )
    return [unit]


def _joined(shape: _Shape, w: float, h: float, cloth: float, seam: float) -> list[CutUnit]:
    """A strip longer than the cloth is wide: equal lengths, joined with straight seams."""
    if h > w and w <= cloth:  # only where the cloth may be turned: cut across like the others
        shape = shape.turned(90.0)
        w, h = h, w
    x0, _, x1, _ = shape.outline.bounds
    parts = max(2, math.ceil((w - 2 * seam) / (cloth - 2 * seam) - _CLOSE))
    step = (w - 2 * seam) / parts
    start = (x0 + x1 - w) / 2 + seam  # finished parts begin here (a mitred end reaches further)
    units = []
    for k in range(parts):
        low, high = start + k * step, start + (k + 1) * step
        seen = (max(low, x0), min(high, x1))
        member = Member(shape.piece, (seen[0] + seen[1]) / 2 - low + seam, h / 2, shape.lie,
                        k + 1, parts, (low, high))  # fmt: skip
        units.append(CutUnit("joined strip", eighths(step + 2 * seam), eighths(h), (member,)))
    return units


def _take(pool: list[tuple[int, _Shape]], slot: int, turns: Sequence[int]) -> _Shape | None:
    """A patch for this corner or side: one that lies so already, else one that may be turned."""
    for turn in turns:
        for k, (way, shape) in enumerate(pool):
            if (way + turn) % 4 == slot:
                del pool[k]
                return shape.turned(90.0 * turn) if turn else shape
    return None


def _halves(group: list[tuple[int, _Shape]], leg: float, turns: Sequence[int]) -> list[CutUnit]:
    side, pool, units = half_square_square(leg), list(group), []
    near, far = SEAM + leg / 2, side - SEAM - leg / 2
    spots = [(near, near), (far, near), (far, far), (near, far)]
    while pool:
        first = pool[0][0]
        members = []
        for slot in (first, (first + 2) % 4):
            shape = _take(pool, slot, turns)
            if shape is not None:
                members.append(Member(shape.piece, *spots[slot], shape.lie))
        units.append(CutUnit("square cut once", eighths(side), eighths(side), tuple(members)))
    return units


def _quarters(group: list[tuple[int, _Shape]], long: float, turns: Sequence[int]) -> list[CutUnit]:
    side, pool, units = quarter_square_square(long), list(group), []
    mid, near = side / 2, SEAM + long / 4
    spots = [(mid, near), (side - near, mid), (mid, side - near), (near, mid)]
    while pool:
        members = []
        for slot in range(4):
            shape = _take(pool, slot, turns)
            if shape is not None:
                members.append(Member(shape.piece, *spots[slot], shape.lie))
        units.append(CutUnit("square cut twice", eighths(side), eighths(side), tuple(members)))
    return units
