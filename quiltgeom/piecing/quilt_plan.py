"""How a quilt top goes together: blocks, sashing and borders as the units of one more plan."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.geometry.congruence import plain_outline, same_shape
from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.geometry.placement import Placement
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.piecing.plan import SewingPlan, plan_outlines
from quiltgeom.piecing.planar import PlanarMap, planar_map
from quiltgeom.piecing.seams import connected_parts
from quiltgeom.piecing.steps import Steps, sewing_steps

__all__ = ["QuiltPart", "QuiltPlan", "plan_quilt", "unit_outlines"]

@dataclass(frozen=True)
class QuiltPart:
    """A block, setting patch, sashing strip or border piece of a quilt top.

    Attributes:
        outline: finished outline in the quilt, inches.
        pieces: numbers of its pieces.
        name: key of the block it is; "" for a single patch.
        look: equal for parts of the same patches in the same fabrics.
    """

    outline: Outline
    pieces: tuple[int, ...]
    name: str
    look: str


@dataclass(frozen=True)
class QuiltPlan:
    """The parts of a top and the order in which they are sewn together."""

    parts: tuple[QuiltPart, ...]
    plan: SewingPlan
    steps: Steps

    def different_blocks(self) -> list[tuple[QuiltPart, int]]:
        """One of each kind of part that is itself pieced, with its number."""
        count: dict[str, int] = {}
        first: dict[str, QuiltPart] = {}
        for part in self.parts:
            if len(part.pieces) > 1:
                count[part.look] = count.get(part.look, 0) + 1
                first.setdefault(part.look, part)
        return [(first[look], count[look]) for look in first]


def plan_quilt(quilt: Quilt) -> QuiltPlan:
    """The order of sewing a quilt top: rows of blocks and sashing, then the borders.

    >>> from quiltgeom.layout.quilt import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> made = plan_quilt(lay_out(load_patterns().get("harbour-windows"), rows=2, columns=2))
    >>> made.plan.seam_class
    'straight'
    """
    frames: dict[object, list[Piece]] = {}
    for piece in quilt:  # a pieced border is one place, but a row of units
        place = piece.placement
        frames.setdefault((piece.place, place.dx, place.dy, place.turn), []).append(piece)
    parts = [part for pieces in frames.values() for part in _parts(pieces)]
    outlines, labels = [p.outline for p in parts], [p.look for p in parts]
    plan = plan_outlines(outlines, labels)
    return QuiltPlan(tuple(parts), plan, sewing_steps(plan, labels, "top"))


def unit_outlines(pieces: Sequence[Piece]) -> list[Outline]:
    """Outlines of the pieces of one block in inches, the block set upright as its file draws it."""
    return [
        p.patch.outline.placed(Placement(scale=p.placement.scale, mirror=p.placement.mirror))
        for p in pieces
    ]


def _parts(pieces: Sequence[Piece]) -> list[QuiltPart]:
    """The connected parts of one place; a part with a hole falls into its patches."""
    outlines = [p.outline for p in pieces]
    plan = planar_map(outlines)
    found = []
    for group in connected_parts(plan):
        merged = _rim(plan, group)
        if merged is not None:
            found.append(_part(merged, [pieces[f] for f in group]))
        else:
            found += [_part(outlines[f], [pieces[f]]) for f in group]
    return found


def _part(outline: Outline, pieces: Sequence[Piece]) -> QuiltPart:
    roles = [p.role for p in pieces]
    look = same_shape([p.outline for p in pieces], roles) if len(pieces) > 1 else roles[0]
    key = look if isinstance(look, str) else f"{pieces[0].block} {hash_text(look.key)}"
    name = pieces[0].block if len(pieces) > 1 else ""
    return QuiltPart(outline, tuple(p.index for p in pieces), name, key)


def hash_text(key: object) -> str:
    """A short text that is equal for equal keys, on every machine."""
    return hashlib.sha256(repr(key).encode()).hexdigest()[:12]


def _rim(plan: PlanarMap, faces: Sequence[int]) -> Outline | None:
    """The outline round patches; None if it has a hole or touches itself."""
    after: dict[int, tuple[int, float]] = {}
    for face in faces:
        for u, e in zip(plan.corners[face], plan.loops[face], strict=True):
            edge = plan.edges[e]
            if len(edge.faces) == 1:
                if u in after:
                    return None
                after[u] = (edge.other(u), edge.bulge if edge.ends[0] == u else -edge.bulge)
    start = min(after)
    points: list[Point] = []
    bulges: list[float] = []
    v = start
    while not points or v != start:
        points.append(plan.points[v])
        v, bulge = after[v]
        bulges.append(bulge)
    if len(points) != len(after):
        return None
    return plain_outline(Outline(tuple(points), tuple(bulges)))
