"""Where two patches of one cloth are sewn to each other: a seam that cuts through the print."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.outline import Point, arc_of
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.tolerance import SAME_POINT

__all__ = ["Join", "joins"]

Edge = tuple[Point, Point, float]
TURN = 2 * math.pi


@dataclass(frozen=True, slots=True)
class Join:
    """A seam between two patches of one role.

    Attributes:
        first, second: indexes of the pieces in the quilt, ascending.
        length: shared length, inches, arcs along the curve.
        same_lie: whether the cloth lies at one angle in both, so that the print could run on.
    """

    first: int
    second: int
    length: float
    same_lie: bool


def joins(quilt: Quilt, role: str) -> list[Join]:
    """Every pair of patches of a role that share an edge, or part of one.

    Patches that touch in a point share no edge. Straight edges and arcs are compared as such, so
    lengths are exact to rounding.

    Args:
        quilt: a laid-out quilt.
        role: name of a fabric role of the quilt.

    Returns:
        One join per pair, by the indexes of its pieces.

    Raises:
        QuiltValueError: the quilt has no such role.

    >>> from quiltgeom.layout.quilt import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> joins(lay_out(load_patterns().get("sail-loft")), "focus")
    []
    """
    if role not in quilt.roles:
        raise QuiltValueError(
            f"role: found {role!r}; accepted: a role of the quilt: {', '.join(quilt.roles)}"
        )
    pieces = [p for p in quilt if p.role == role]
    owners, edges = _edges(pieces)
    shared: defaultdict[tuple[int, int], float] = defaultdict(float)
    for i, j in _near(owners, edges):
        length = _shared(edges[i], edges[j])
        if length > SAME_POINT:
            shared[owners[i], owners[j]] += length
    return [
        Join(pieces[a].index, pieces[b].index, length, _same_lie(pieces[a], pieces[b]))
        for (a, b), length in sorted(shared.items())
    ]


def _edges(pieces: Sequence[Piece]) -> tuple[list[int], list[Edge]]:
    """All edges in place, and for each the number of its piece."""
    owners: list[int] = []
    edges: list[Edge] = []
    for number, piece in enumerate(pieces):
        for edge in piece.outline.edges():
            owners.append(number)
            edges.append(edge)
    return owners, edges


def _near(owners: Sequence[int], edges: Sequence[Edge]) -> Iterator[tuple[int, int]]:
    """Pairs of edges of different pieces whose boxes touch, the lower piece's edge first."""
    if not edges:
        return
    boxes = _boxes(edges)
    i, j = shapely.STRtree(boxes).query(boxes)
    owner = np.array(owners)
    for k in np.flatnonzero(owner[i] < owner[j]):
        yield int(i[k]), int(j[k])


def _boxes(edges: Sequence[Edge]) -> NDArray[np.object_]:
    """Boxes round edges; an arc lies nowhere farther from its chord's box than it bulges."""
    ends = np.array([(*p, *q) for p, q, _ in edges])
    bulge = np.array([b for _, _, b in edges])
    reach = np.abs(bulge) * np.hypot(ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1]) / 2
    room = reach + SAME_POINT
    low = np.minimum(ends[:, :2], ends[:, 2:]) - room[:, None]
    high = np.maximum(ends[:, :2], ends[:, 2:]) + room[:, None]
    made: NDArray[np.object_] = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    return made


def _shared(one: Edge, other: Edge) -> float:
    """Length that two edges have in common, inches."""
    if bool(one[2]) != bool(other[2]):
        return 0.0
    return _shared_arc(one, other) if one[2] else _shared_line(one, other)


def _shared_line(one: Edge, other: Edge) -> float:
    (px, py), (qx, qy), _ = one
    length = math.hypot(qx - px, qy - py)
    ux, uy = (qx - px) / length, (qy - py) / length
    along = []
    for x, y in other[:2]:
        if abs((x - px) * uy - (y - py) * ux) > SAME_POINT:
            return 0.0
        along.append((x - px) * ux + (y - py) * uy)
    return min(max(along), length) - max(min(along), 0.0)


def _shared_arc(one: Edge, other: Edge) -> float:
    a, b = arc_of(*one), arc_of(*other)
    if max(abs(a.cx - b.cx), abs(a.cy - b.cy), abs(a.radius - b.radius)) > SAME_POINT:
        return 0.0
    start_a, start_b = (c.start + min(c.sweep, 0.0) for c in (a, b))
    sweep_a, sweep_b = abs(a.sweep), abs(b.sweep)
    begin = (start_b - start_a) % TURN
    first = min(sweep_a, begin + sweep_b) - begin
    again = min(sweep_a, begin + sweep_b - TURN)  # the other arc may reach round to the start
    return (max(first, 0.0) + max(again, 0.0)) * a.radius


def _same_lie(one: Piece, other: Piece) -> bool:
    return abs(math.remainder(one.lie_deg - other.lie_deg, 360.0)) < 1e-6
