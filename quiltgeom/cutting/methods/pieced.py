"""Units that are made of two fabrics together: triangle squares, flying geese, folded corners."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from quiltgeom.cutting.methods.cut_shapes import box_corners, sides, triangle_kind
from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.geometry.placement import Placement
from quiltgeom.model.quilt import Piece
from quiltgeom.tolerance import SAME_LENGTH

Kind = Literal["half-square", "goose", "corners"]
_Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Pieced:
    """Patches that one method can make together.

    ``half-square``: two triangles on one square. ``goose``: a quarter-square triangle and the two
    half-square triangles that make it a rectangle. ``corners``: a patch that is a rectangle but
    for corners at 45 degrees, and the triangles of those corners.

    Attributes:
        kind: see above.
        pieces: indices in the quilt; the large patch (or the first triangle) comes first.
    """

    kind: Kind
    pieces: tuple[int, ...]


def pieced_units(pieces: Sequence[Piece]) -> list[Pieced]:
    """Every unit in a quilt; a patch may be in several (a goose also has corners).

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("sail-loft"), rows=2, columns=2)
    >>> {u.kind for u in pieced_units(quilt.pieces)} >= {"half-square"}
    True
    """
    found = []
    for group in placed_blocks(pieces):
        scale = group[0].placement.scale
        shapes = tuple(p.patch.outline for p in group)
        if len(group) > 1:
            found += [
                Pieced(kind, tuple(group[k].index for k in members))
                for kind, members in _units(shapes, scale, group[0].placement.mirror)
            ]
    return found


def placed_blocks(pieces: Iterable[Piece]) -> list[list[Piece]]:
    """Pieces by placed block, in order."""
    groups: dict[tuple[str, Placement], list[Piece]] = {}
    for piece in pieces:
        groups.setdefault((piece.place, piece.placement), []).append(piece)
    return list(groups.values())


@lru_cache(maxsize=256)
def _units(
    shapes: tuple[Outline, ...], scale: float, mirror: bool
) -> tuple[tuple[Kind, tuple[int, ...]], ...]:
    place = Placement(scale=scale, mirror=mirror)
    outlines = [s.placed(place) for s in shapes]
    halves: dict[tuple[_Box, int], int] = {}
    for k, outline in enumerate(outlines):
        kind, _, corner = triangle_kind(outline)
        if kind == "half":
            halves[_box(outline.bounds), corner] = k
    found: list[tuple[Kind, tuple[int, ...]]] = []
    for (box, corner), k in halves.items():
        other = halves.get((box, (corner + 2) % 4))
        if other is not None and k < other:
            found.append(("half-square", (k, other)))
    for k, outline in enumerate(outlines):
        cut = _cut_corners(outline)
        members = [halves.get((_box(b), c)) for b, c in cut]
        whole = [m for m in members if m is not None and m != k]
        if cut and len(whole) == len(cut):
            found.append(("corners", (k, *whole)))
            if triangle_kind(outline)[0] == "quarter":
                found.append(("goose", (k, *whole)))
    return tuple(found)


def _box(bounds: tuple[float, float, float, float]) -> _Box:
    a, b, c, d = (round(v * 1e4) for v in bounds)
    return a, b, c, d


def _cut_corners(outline: Outline) -> list[tuple[tuple[float, float, float, float], int]]:
    """Boxes and corners of the triangles that make an outline a rectangle; empty if it is one, or
    if anything else than corners at 45 degrees is missing."""
    if not outline.is_straight:
        return []
    x0, y0, x1, y1 = outline.bounds
    missing = []
    for p, q in sides(outline):
        dx, dy = abs(p[0] - q[0]), abs(p[1] - q[1])
        if min(dx, dy) < SAME_LENGTH:
            if not _on_side(p, q, (x0, y0, x1, y1)):
                return []
            continue
        box = (min(p[0], q[0]), min(p[1], q[1]), max(p[0], q[0]), max(p[1], q[1]))
        both = enumerate(zip(box_corners(x0, y0, x1, y1), box_corners(*box), strict=True))
        met = [(k, b) for k, (c, b) in both if math.dist(c, b) < SAME_LENGTH]
        at = [k for k, b in met if min(math.dist(b, p), math.dist(b, q)) > SAME_LENGTH]
        if abs(dx - dy) > SAME_LENGTH or len(at) != 1:
            return []
        missing.append((box, at[0]))
    return missing


def _on_side(p: Point, q: Point, box: tuple[float, float, float, float]) -> bool:
    sides = zip((0, 1, 0, 1), box, strict=True)
    return any(abs(p[i] - v) < SAME_LENGTH and abs(q[i] - v) < SAME_LENGTH for i, v in sides)
