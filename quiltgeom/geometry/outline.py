"""Closed outlines whose edges are straight lines or true circular arcs.

Conventions: x right, y down; an outline is stored clockwise as seen on paper. The *bulge* of an
edge is tan(sweep / 4), positive where the arc turns clockwise; 0 is a straight line, 1 a half
circle. A bulge survives turning, shifting and scaling unchanged and changes sign in a mirror.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.geometry.placement import Placement
from quiltgeom.tolerance import ARC_STEP_DEG, SAME_POINT, SAME_SHARE

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc. Angles clockwise from the x axis, radians; ``sweep`` is signed (clockwise +).

    >>> round(arc_of((1, 0), (0, 1), math.tan(math.pi / 8)).radius, 12)
    1.0
    """

    cx: float
    cy: float
    radius: float
    start: float
    sweep: float

    def point(self, angle: float) -> Point:
        """Point of the circle at ``angle``."""
        return (self.cx + self.radius * math.cos(angle), self.cy + self.radius * math.sin(angle))


def arc_of(p: Point, q: Point, bulge: float) -> Arc:
    """The arc from ``p`` to ``q`` with the given non-zero bulge."""
    (x0, y0), (x1, y1) = p, q
    half = (1 - bulge * bulge) / (4 * bulge)  # centre's distance from the chord / chord length
    cx, cy = (x0 + x1) / 2 - half * (y1 - y0), (y0 + y1) / 2 + half * (x1 - x0)
    return Arc(
        cx, cy, math.hypot(x0 - cx, y0 - cy), math.atan2(y0 - cy, x0 - cx), 4 * math.atan(bulge)
    )


def _arc_points(p: Point, q: Point, bulge: float) -> list[Point]:
    """Interior points of the polyline of an arc; the same points whichever way it is walked."""
    if (q, p) < (p, q):  # canonical direction, so that both neighbours get identical floats
        return _arc_points(q, p, -bulge)[::-1]
    arc = arc_of(p, q, bulge)
    n = max(2, math.ceil(abs(math.degrees(arc.sweep)) / ARC_STEP_DEG - SAME_SHARE))
    return [arc.point(arc.start + arc.sweep * k / n) for k in range(1, n)]


@dataclass(frozen=True)
class Outline:
    """A simple closed outline of straight and arc edges; edge ``i`` runs from point i to i + 1.

    Attributes:
        points: ``((x, y), ...)``, at least 3 (2 if both edges are arcs), stored clockwise.
        bulges: one per edge; ``()`` means that all edges are straight.

    Raises:
        QuiltValueError: too few points, a bulge missing, or no area.

    >>> square = Outline(((0, 0), (2, 0), (2, 2), (0, 2)))
    >>> square.area, square.bounds
    (4.0, (0.0, 0.0, 2.0, 2.0))
    >>> half_disc = Outline(((0, 0), (2, 0)), (1.0, 0.0))
    >>> round(half_disc.area / math.pi, 12)
    0.5
    """

    points: tuple[Point, ...]
    bulges: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        try:
            points = tuple([(float(x), float(y)) for x, y in self.points])
            bulges = tuple(map(float, self.bulges)) or (0.0,) * len(points)
        except (TypeError, ValueError) as e:
            raise QuiltValueError(
                f"outline: found {shown(self.points)}; accepted: points (x, y), numbers for bulges"
            ) from e
        if len(bulges) != len(points):
            raise QuiltValueError(
                f"outline: one bulge per edge: found {len(bulges)}; accepted: {len(points)}"
            )
        if len(points) < 3 and not (len(points) == 2 and any(bulges)):
            raise QuiltValueError(f"outline: found {len(points)} points; accepted: at least 3")
        area = _signed_area(points, bulges)
        if not math.isfinite(area) or abs(area) < 1e-15:
            raise QuiltValueError(
                f"outline: no area: found points {shown(points)}; accepted: corners round an area"
            )
        if area < 0:
            points, bulges = _reverse(points, bulges)
            area = -area
        self.__dict__["area"] = area  # what the cached property would find again
        object.__setattr__(self, "points", points)
        object.__setattr__(self, "bulges", bulges)

    @classmethod
    def image(
        cls, points: tuple[Point, ...], bulges: tuple[float, ...], area: float, *, mirrored: bool
    ) -> Outline:
        """What an outline becomes when its corners are moved without a change of its kind.

        Quicker than to build it anew: nothing is checked, so this is only for turning, mirroring,
        shifting and stretching along the axes, with the area that comes of it.
        """
        made = object.__new__(cls)
        if mirrored:
            points, bulges = _reverse(points, bulges)
        made.__dict__.update(points=points, bulges=bulges, area=area)
        return made

    @property
    def is_straight(self) -> bool:
        """Whether no edge is an arc."""
        return not any(self.bulges)

    @cached_property
    def area(self) -> float:
        """Exact area, arcs included."""
        return _signed_area(self.points, self.bulges)

    @cached_property
    def perimeter(self) -> float:
        """Exact length all round, arcs included."""
        return sum(
            math.dist(p, q) if not b else abs(arc_of(p, q, b).sweep) * arc_of(p, q, b).radius
            for p, q, b in self.edges()
        )

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Exact ``(min x, min y, max x, max y)``, arcs included."""
        pts = list(self.points)
        for p, q, b in self.edges():
            if b:
                pts.extend(_arc_extremes(arc_of(p, q, b)))
        xs, ys = zip(*pts, strict=True)
        return (min(xs), min(ys), max(xs), max(ys))

    @cached_property
    def polyline(self) -> NDArray[np.float64]:
        """``(n, 2)`` vertices, arcs as fine polylines; not closed. Do not write to it."""
        out: list[Point] = []
        for p, q, b in self.edges():
            out.append(p)
            if b:
                out.extend(_arc_points(p, q, b))
        array = np.array(out)
        array.setflags(write=False)
        return array

    @cached_property
    def polygon(self) -> Polygon:
        """Shapely polygon of :attr:`polyline`."""
        return Polygon(self.polyline)

    def edges(self) -> Iterable[tuple[Point, Point, float]]:
        """``(start, end, bulge)`` of every edge, in order."""
        pts = self.points
        return zip(pts, (*pts[1:], pts[0]), self.bulges, strict=True)

    def placed(self, placement: Placement) -> Outline:
        """The outline after a placement."""
        pts = tuple((float(x), float(y)) for x, y in placement.apply(self.points))
        sign = -1.0 if placement.mirror else 1.0
        return Outline(pts, tuple(sign * b for b in self.bulges))

    def moved(self, dx: float, dy: float, scale: float = 1.0) -> Outline:
        """The outline scaled, then shifted."""
        return Outline(tuple((x * scale + dx, y * scale + dy) for x, y in self.points), self.bulges)

    def turned(self, degrees: float, centre: Point, *, mirror: bool = False) -> Outline:
        """Mirrored left-right about the vertical through ``centre`` (if asked), then turned
        clockwise about it. Exact at multiples of 15 degrees.

        >>> Outline(((0, 0), (1, 0), (0, 1))).turned(90, (1, 1)).points
        ((2.0, 0.0), (2.0, 1.0), (1.0, 0.0))
        """
        steps = degrees / 15
        if abs(steps - round(steps)) < SAME_SHARE:
            place = Placement(*centre, turn=round(steps), mirror=mirror)
            shifted = [(x - centre[0], y - centre[1]) for x, y in self.points]
            pts = place.points(shifted)
        else:
            c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
            m = -1.0 if mirror else 1.0
            rel = [(m * (x - centre[0]), y - centre[1]) for x, y in self.points]
            pts = [(c * x - s * y + centre[0], s * x + c * y + centre[1]) for x, y in rel]
        bulges = tuple(-b for b in self.bulges) if mirror else self.bulges
        return Outline.image(tuple(pts), bulges, self.area, mirrored=mirror)


def rectangle(x: float, y: float, width: float, height: float) -> Outline:
    """Axis-parallel rectangle with its top left corner at ``(x, y)``.

    >>> rectangle(1, 2, 3, 4).bounds
    (1.0, 2.0, 4.0, 6.0)
    """
    return Outline(((x, y), (x + width, y), (x + width, y + height), (x, y + height)))


def split_arcs(outlines: Sequence[Outline], neighbours: Sequence[Outline] = ()) -> list[Outline]:
    """Cut every arc wherever a vertex of another outline, or of a neighbour, lies on it.

    After this, neighbours that share a piece of an arc share exactly the same polyline points,
    so that an exact cover stays exact when arcs become polylines.
    """
    if all(o.is_straight for o in outlines):
        return list(outlines)
    vertices = sorted({p for o in (*outlines, *neighbours) for p in o.points})
    return [_split_one(o, vertices) for o in outlines]


def _split_one(outline: Outline, vertices: Sequence[Point]) -> Outline:
    all_cuts = [_cuts(p, q, b, vertices) if b else [] for p, q, b in outline.edges()]
    if not any(all_cuts):
        return outline
    points: list[Point] = []
    bulges: list[float] = []
    for (p, _, b), cuts in zip(outline.edges(), all_cuts, strict=True):
        stops = [0.0, *(f for f, _ in cuts), 1.0]
        points.extend([p, *(v for _, v in cuts)])
        sweep = 4 * math.atan(b)
        bulges.extend(math.tan(sweep * (t - s) / 4) for s, t in itertools.pairwise(stops))
    return Outline(tuple(points), tuple(bulges))


def _cuts(p: Point, q: Point, b: float, vertices: Sequence[Point]) -> list[tuple[float, Point]]:
    """Vertices strictly inside the arc, as (fraction of the sweep, vertex), in order."""
    arc = arc_of(p, q, b)
    found = []
    cx, cy, r = arc.cx, arc.cy, arc.radius
    low, high = (r - SAME_POINT) ** 2, (r + SAME_POINT) ** 2
    first = bisect_left(vertices, (cx - r - SAME_POINT,))  # sorted: leave out what is far aside
    for v in vertices[first : bisect_left(vertices, (cx + r + SAME_POINT, math.inf))]:
        if not low <= (v[0] - cx) ** 2 + (v[1] - cy) ** 2 <= high:
            continue
        turn = (math.atan2(v[1] - arc.cy, v[0] - arc.cx) - arc.start) * math.copysign(1, arc.sweep)
        fraction = turn % (2 * math.pi) / abs(arc.sweep)
        near_end = min(math.dist(v, p), math.dist(v, q)) < SAME_POINT
        if 0 < fraction < 1 and not near_end:
            found.append((fraction, v))
    found.sort()
    apart = [math.dist(a[1], b[1]) > SAME_POINT for a, b in itertools.pairwise(found)]
    return [cut for cut, keep in zip(found, [True, *apart], strict=False) if keep]


def _signed_area(points: Sequence[Point], bulges: Sequence[float]) -> float:
    """Shoelace area plus circular segments; positive when clockwise on paper (y down)."""
    total = 0.0
    x_0, y_0 = points[0]  # relative to the first point: keeps precision far from the origin
    if not any(bulges):
        x0, y0 = points[1]
        for x1, y1 in points[2:]:
            total += (x0 - x_0) * (y1 - y_0) - (x1 - x_0) * (y0 - y_0)
            x0, y0 = x1, y1
        return total / 2
    for i, ((x0, y0), b) in enumerate(zip(points, bulges, strict=True)):
        x1, y1 = points[(i + 1) % len(points)]
        total += ((x0 - x_0) * (y1 - y_0) - (x1 - x_0) * (y0 - y_0)) / 2
        if b:
            arc = arc_of((x0, y0), (x1, y1), b)
            total += arc.radius**2 * (arc.sweep - math.sin(arc.sweep)) / 2
    return total


def _reverse(
    points: tuple[Point, ...], bulges: tuple[float, ...]
) -> tuple[tuple[Point, ...], tuple[float, ...]]:
    flipped = (points[0], *points[:0:-1])
    return flipped, tuple(-b if b else 0.0 for b in bulges[::-1])


def _arc_extremes(arc: Arc) -> list[Point]:
    """Points where the arc reaches furthest left, right, up or down."""
    low, high = sorted((arc.start, arc.start + arc.sweep))
    quarter = math.pi / 2
    first, last = math.ceil(low / quarter - SAME_SHARE), math.floor(high / quarter + SAME_SHARE)
    exact = {0: (1, 0), 1: (0, 1), 2: (-1, 0), 3: (0, -1)}
    return [
        (arc.cx + arc.radius * exact[k % 4][0], arc.cy + arc.radius * exact[k % 4][1])
        for k in range(first, last + 1)
    ]
