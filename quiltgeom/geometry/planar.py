"""Patches as a planar map: corners, seams between exactly two patches, and what runs on straight.

A seam of the map (an *edge*) runs from one corner to the next one on the line, whichever patch
that corner belongs to. So T-junctions need no special care anywhere else.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.congruence import plain_outline
from quiltgeom.geometry.outline import Outline, Point, arc_of, split_arcs
from quiltgeom.tolerance import SAME_CORNER, SMOOTH_RAD


@dataclass(frozen=True, slots=True)
class Edge:
    """A stretch of seam (two faces) or of the outer edge (one face).

    Attributes:
        ends: corner numbers, the smaller first.
        bulge: of the arc from ``ends[0]`` to ``ends[1]``; 0 = straight.
        faces: numbers of the one or two patches beside it.
        leave: direction (radians) in which it leaves ``ends[0]`` and ``ends[1]``.
        length: exact.
    """

    ends: tuple[int, int]
    bulge: float
    faces: tuple[int, ...]
    leave: tuple[float, float]
    length: float

    def other(self, vertex: int) -> int:
        """The corner at the far end."""
        return self.ends[1] if self.ends[0] == vertex else self.ends[0]

    def direction(self, vertex: int) -> float:
        """Direction in which the edge leaves ``vertex``."""
        return self.leave[0] if self.ends[0] == vertex else self.leave[1]


@dataclass(frozen=True)
class PlanarMap:
    """Corners, edges and faces of a set of patches that touch without overlap.

    Attributes:
        loops: per face, its edge numbers in order round it.
        corners: per face, its corner numbers in order round it (corner k starts edge k).
    """

    points: tuple[Point, ...]
    edges: tuple[Edge, ...]
    loops: tuple[tuple[int, ...], ...]
    corners: tuple[tuple[int, ...], ...]

    @cached_property
    def around(self) -> tuple[tuple[int, ...], ...]:
        """Per corner, the edges that end there."""
        out: list[list[int]] = [[] for _ in self.points]
        for number, edge in enumerate(self.edges):
            for v in edge.ends:
                out[v].append(number)
        return tuple(tuple(e) for e in out)

    @cached_property
    def smooth(self) -> dict[tuple[int, int], tuple[int, ...]]:
        """By (corner, edge arriving): the edges that carry on without a bend, the likest first."""
        out: dict[tuple[int, int], tuple[int, ...]] = {}
        for v, numbers in enumerate(self.around):
            for e in numbers:
                on = [f for f in numbers if f != e and self._runs_on(v, e, f)]
                on.sort(key=lambda f: (abs(self._curvature(v, f) + self._curvature(v, e)), f))
                out[v, e] = tuple(on)
        return out

    @cached_property
    def inner(self) -> tuple[bool, ...]:
        """Per corner, whether it is surrounded by patches."""
        return tuple(all(len(self.edges[e].faces) == 2 for e in es) for es in self.around)

    @cached_property
    def pivots(self) -> tuple[int, ...]:
        """Inner corners where no seam runs on: each needs a set-in seam in any order of sewing."""
        return tuple(
            v
            for v, es in enumerate(self.around)
            if self.inner[v] and not any(self.smooth[v, e] for e in es)
        )

    def meeting_points(self, least: int) -> int:
        """How many inner corners there are where at least so many seams meet.

        >>> from quiltgeom.geometry.outline import rectangle
        >>> four = planar_map([rectangle(x, y, 1, 1) for x in (0, 1) for y in (0, 1)])
        >>> four.meeting_points(4), four.meeting_points(5)
        (1, 0)
        """
        return sum(
            inner and len(es) >= least for inner, es in zip(self.inner, self.around, strict=True)
        )

    def _runs_on(self, v: int, e: int, f: int) -> bool:
        turn = self.edges[e].direction(v) + math.pi - self.edges[f].direction(v)
        return abs(math.remainder(turn, 2 * math.pi)) < SMOOTH_RAD

    def _curvature(self, v: int, e: int) -> float:
        """Signed curvature walking away from ``v`` (clockwise +)."""
        edge = self.edges[e]
        if not edge.bulge:
            return 0.0
        b = edge.bulge if edge.ends[0] == v else -edge.bulge
        return 4 * math.atan(b) / edge.length


def planar_map(outlines: Sequence[Outline]) -> PlanarMap:
    """The planar map of patches that touch without overlap.

    Raises:
        QuiltValueError: more than two patches along one edge (they overlap).

    >>> from quiltgeom.geometry.outline import rectangle
    >>> m = planar_map([rectangle(0, 0, 2, 1), rectangle(0, 1, 1, 1), rectangle(1, 1, 1, 1)])
    >>> len(m.points), sum(len(e.faces) == 2 for e in m.edges)
    (8, 3)
    >>> planar_map([]).edges
    ()
    """
    outlines = split_arcs(outlines)
    numbers = _Corners()
    rings = [[numbers.number(p) for p in o.points] for o in outlines]
    stops = _stops(np.array(numbers.points).reshape(-1, 2), rings, outlines)
    faces: dict[tuple[int, int, int], list[int]] = defaultdict(list)
    bulges: dict[tuple[int, int, int], float] = {}
    loops: list[list[tuple[int, int, int]]] = []
    corners: list[tuple[int, ...]] = []
    for face, (ring, outline) in enumerate(zip(rings, outlines, strict=True)):
        loop: list[tuple[int, int, int]] = []
        starts: list[int] = []
        for k, (u, bulge) in enumerate(zip(ring, outline.bulges, strict=True)):
            v = ring[(k + 1) % len(ring)]
            if u == v:
                continue
            for a, b in pairwise([u, v] if bulge else stops[u, v]):
                signed = bulge if a < b else -bulge
                key = (min(a, b), max(a, b), round(signed * 1e6))
                faces[key].append(face)
                bulges.setdefault(key, signed)
                loop.append(key)
                starts.append(a)
        loops.append(loop)
        corners.append(tuple(starts))
    index = {key: i for i, key in enumerate(faces)}
    edges = tuple(_edge(numbers.points, key, bulges[key], faces[key]) for key in faces)
    return PlanarMap(
        tuple(numbers.points),
        edges,
        tuple(tuple(index[k] for k in loop) for loop in loops),
        tuple(corners),
    )


def outline_round(plan: PlanarMap, faces: Sequence[int]) -> Outline | None:
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
    for _ in after:
        points.append(plan.points[v])
        v, bulge = after[v]
        bulges.append(bulge)
        if v == start:
            break
    if len(points) != len(after):
        return None
    return plain_outline(Outline(tuple(points), tuple(bulges)))


class _Corners:
    """Numbers for points; points within SAME_CORNER of each other get the same one."""

    def __init__(self) -> None:
        self.points: list[Point] = []
        self._cells: dict[tuple[int, int], int] = {}

    def number(self, p: Point) -> int:
        cx, cy = round(p[0] / (4 * SAME_CORNER)), round(p[1] / (4 * SAME_CORNER))
        for dx in (0, -1, 1):
            for dy in (0, -1, 1):
                found = self._cells.get((cx + dx, cy + dy))
                if found is not None and math.dist(self.points[found], p) < SAME_CORNER:
                    return found
        self.points.append(p)
        return self._cells.setdefault((cx, cy), len(self.points) - 1)


_CELLS = 2_000_000
"""Pairs of edge and corner looked at together: 16 megabytes a table."""


def _stops(
    points: np.ndarray, rings: Sequence[Sequence[int]], outlines: Sequence[Outline]
) -> dict[tuple[int, int], list[int]]:
    """For every straight edge, both ways: its ends and the corners that lie on it, in order."""
    pairs = sorted(
        {
            (min(u, v), max(u, v))
            for ring, outline in zip(rings, outlines, strict=True)
            for u, v, bulge in zip(ring, [*ring[1:], ring[0]], outline.bulges, strict=True)
            if u != v and not bulge
        }
    )
    stops: dict[tuple[int, int], list[int]] = {}
    rows = max(1, _CELLS // max(1, len(points)))
    for start in range(0, len(pairs), rows):
        for pair, between in zip(
            pairs[start : start + rows], _between(points, pairs[start : start + rows]), strict=True
        ):
            stops[pair] = [pair[0], *between, pair[1]]
            stops[pair[::-1]] = stops[pair][::-1]
    return stops


def _between(points: np.ndarray, pairs: Sequence[tuple[int, int]]) -> list[list[int]]:
    """Corners strictly inside each straight edge, in order from its first end."""
    ends = np.array(pairs)
    start, along = points[ends[:, 0]], points[ends[:, 1]] - points[ends[:, 0]]
    length = np.hypot(along[:, 0], along[:, 1])
    ux, uy = (along / length[:, None]).T
    dx = points[None, :, 0] - start[:, 0, None]
    dy = points[None, :, 1] - start[:, 1, None]
    t = dx * ux[:, None] + dy * uy[:, None]
    off = np.abs(dx * uy[:, None] - dy * ux[:, None])
    on, corner = np.nonzero(
        (off < SAME_CORNER) & (t > SAME_CORNER) & (t < length[:, None] - SAME_CORNER)
    )
    found: list[list[int]] = [[] for _ in pairs]
    for k in np.lexsort((t[on, corner], on)):
        found[on[k]].append(int(corner[k]))
    return found


def _edge(
    points: Sequence[Point], key: tuple[int, int, int], bulge: float, faces: list[int]
) -> Edge:
    u, v, _ = key
    p, q = points[u], points[v]
    if len(faces) > 2:
        raise QuiltValueError(
            f"patches {', '.join(str(f + 1) for f in faces)}: found all of them along the edge "
            f"({p[0]:.4g}, {p[1]:.4g}) to ({q[0]:.4g}, {q[1]:.4g}); accepted: two at most"
        )
    chord = math.atan2(q[1] - p[1], q[0] - p[0])
    if not bulge:
        return Edge((u, v), 0.0, tuple(faces), (chord, chord + math.pi), math.dist(p, q))
    arc, half = arc_of(p, q, bulge), 2 * math.atan(bulge)
    return Edge(
        (u, v),
        bulge,
        tuple(faces),
        (chord - half, chord + math.pi + half),
        abs(arc.sweep) * arc.radius,
    )
