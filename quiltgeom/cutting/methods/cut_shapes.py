"""Patches as they lie on the cloth, and what kind of shape they are."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.geometry.placement import Placement, turn_cos_sin
from quiltgeom.model.fabric import Direction
from quiltgeom.model.quilt import Piece
from quiltgeom.tolerance import SAME_LENGTH, SMOOTH_RAD

TURNS: dict[Direction, tuple[int, ...]] = {
    "one-way": (0,),
    "two-way": (0, 2),
    "four-way": (0, 1, 2, 3),
    "non-directional": (0, 1, 2, 3),
}
"""Quarter turns that a print allows."""


@dataclass(frozen=True, slots=True)
class CutShape:
    """A patch as it lies on its cloth, print up.

    Attributes:
        piece: index of the piece in the quilt.
        outline: finished outline, turned back so that the cloth is upright; only its shape and
            turn count, not its place.
        lie: how the cloth then lies in the quilt, degrees clockwise.
        block, role, is_border, in_block: of the piece, to know borders and setting triangles.
    """

    piece: int
    outline: Outline
    lie: float
    block: str = ""
    role: str = ""
    is_border: bool = False
    in_block: bool = False

    def turned(self, degrees: float) -> CutShape:
        """Another way for the same patch to lie on the cloth: turned clockwise."""
        return replace(
            self, outline=self.outline.turned(degrees, (0, 0)), lie=(self.lie - degrees) % 360.0
        )


def on_cloth(piece: Piece) -> CutShape:
    """A piece as it lies on the cloth with the lie that the quilt gives it."""
    outline = piece.outline.turned(-piece.lie_deg, (0, 0))
    what = piece.in_border, piece.in_block
    return CutShape(piece.index, outline, piece.lie_deg, piece.block, piece.role, *what)


def in_block(piece: Piece, direction: Direction) -> CutShape | None:
    """A piece laid so that its block is square to the threads; None if its print forbids that.

    Cloth without direction follows the block; other cloth lies as the quilt says, where that is a
    quarter turn from the block.
    """
    degrees, shape = piece.placement.degrees, on_cloth(piece)
    if direction != "non-directional":
        return None if quarter_turns(piece.lie_deg - degrees) is None else shape
    return replace(shape, outline=block_outline(piece), lie=degrees)


def block_outline(piece: Piece) -> Outline:
    """A piece's finished outline in its block, before the block is turned and shifted."""
    return piece.patch.outline.placed(
        Placement(scale=piece.placement.scale, mirror=piece.placement.mirror)
    )


def quarter_turns(degrees: float) -> int | None:
    """How many quarter turns an angle is; None if it is no whole number of them."""
    turns = round(degrees / 90)
    return turns if abs(math.radians(degrees - 90 * turns)) < SMOOTH_RAD else None


def turned_point(point: Point, degrees: float) -> Point:
    """A point turned clockwise about the origin; exact at quarter turns."""
    quarters, angle = quarter_turns(degrees), math.radians(degrees)
    c, s = (math.cos(angle), math.sin(angle)) if quarters is None else turn_cos_sin(6 * quarters)
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


def is_rectangle(outline: Outline) -> bool:
    """Whether an outline is a rectangle along the threads.

    >>> is_rectangle(Outline(((0, 0), (3, 0), (3, 1), (0, 1))))
    True
    """
    x0, y0, x1, y1 = outline.bounds
    return outline.is_straight and abs(outline.area - (x1 - x0) * (y1 - y0)) < SAME_LENGTH


def corners(outline: Outline) -> list[Point]:
    """Corners where a straight outline really turns, in its order."""
    pts = outline.points
    out = []
    for k, p in enumerate(pts):
        a, b = pts[k - 1], pts[(k + 1) % len(pts)]
        cross = (p[0] - a[0]) * (b[1] - p[1]) - (p[1] - a[1]) * (b[0] - p[0])
        if abs(cross) > SAME_LENGTH:
            out.append(p)
    return out


def sides(outline: Outline) -> list[tuple[Point, Point]]:
    """From corner to corner of a straight outline, in its order."""
    found = corners(outline)
    return list(zip(found, [*found[1:], *found[:1]], strict=True))


def box_corners(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    """Corners of a rectangle along the threads, clockwise from the top left."""
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def triangle_kind(outline: Outline) -> tuple[str, float, int]:
    """``("half", leg, corner)``, ``("quarter", long side, side)`` or ``("", 0, 0)``.

    Half: a right isosceles triangle with its legs along the threads, right angle at this corner
    (clockwise from top left). Quarter: its long side along the threads, at this side (clockwise
    from the top).

    >>> triangle_kind(Outline(((0, 0), (2, 0), (0, 2)))), triangle_kind(
    ...     Outline(((0, 0), (4, 0), (2, 2))))
    (('half', 2.0, 0), ('quarter', 4.0, 0))
    """
    points = corners(outline) if outline.is_straight else []
    if len(points) != 3:
        return "", 0.0, 0
    x0, y0, x1, y1 = outline.bounds
    w, h = x1 - x0, y1 - y0
    box = box_corners(x0, y0, x1, y1)
    hit = [k for k, c in enumerate(box) if any(math.dist(c, p) < SAME_LENGTH for p in points)]
    if len(hit) == 3 and abs(w - h) < SAME_LENGTH:
        missing = ({0, 1, 2, 3} - set(hit)).pop()
        return "half", w, (missing + 2) % 4
    if len(hit) == 2 and (hit[1] - hit[0]) % 2 == 1:
        side = hit[0] if hit != [0, 3] else 3
        long, short = (w, h) if side % 2 == 0 else (h, w)
        tip = next(p for p in points if all(math.dist(box[k], p) > SAME_LENGTH for k in hit))
        middle = (x0 + x1) / 2 if side % 2 == 0 else (y0 + y1) / 2
        if abs(long - 2 * short) < SAME_LENGTH and abs(tip[side % 2] - middle) < SAME_LENGTH:
            return "quarter", long, side
    return "", 0.0, 0


def with_the_threads(shape: CutShape) -> CutShape:
    """Turn a patch so that its longest straight edge follows the threads; as it is if one does."""
    edges = [(math.dist(p, q), p, q) for p, q, b in shape.outline.edges() if not b]
    if not edges:
        return shape
    angles = [math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])) for _, p, q in edges]
    if any(quarter_turns(a) is not None for a in angles):
        return shape
    longest = max(range(len(edges)), key=lambda k: (round(edges[k][0], 6), -k))
    return shape.turned(-angles[longest])
