"""Seam allowance: an outline moved outward, corners mitred exactly, arcs staying true arcs."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.geometry.outline import Arc, Outline, Point, arc_of
from quiltgeom.tolerance import SAME_POINT, SMOOTH_RAD

SEAM = 0.25
"""The usual seam allowance, inches."""
LEAST_SEAM, MOST_SEAM = 0.125, 1.0
"""Seam allowances that cloth is cut with, inches: narrower ones fray, wider ones are hems."""


@dataclass(frozen=True, slots=True)
class _Edge:
    """One edge with its allowance, its directions at both ends and its offset curve."""

    p: Point
    q: Point
    bulge: float
    out: float
    arc: Arc | None
    start: Point
    end: Point

    @property
    def radius(self) -> float:
        """Radius of the moved arc: larger where it bulges outward, smaller where inward."""
        if self.arc is None:
            return math.inf
        return self.arc.radius + math.copysign(self.out, self.bulge)


def check_seam(seam: float, *, none: bool = False, found: str = "") -> float:
    """The seam allowance itself, inches, if cloth can be cut with it.

    Args:
        none: 0, for finished sizes, is accepted as well.

    Raises:
        QuiltValueError: it is not from 1/8 to 1 inch.

    >>> check_seam(0.375), check_seam(0, none=True)
    (0.375, 0)
    """
    number = isinstance(seam, int | float) and not isinstance(seam, bool)
    if not number or not (LEAST_SEAM <= seam <= MOST_SEAM or (none and seam == 0)):  # nor is nan
        found = found or (f"{seam:.4g} in" if number else shown(seam))
        raise QuiltValueError(
            f"seam allowance: found {found}; accepted: 1/8 in to 1 in "
            f"(3.175 mm to 25.4 mm){', or 0 for none' * none}"
        )
    return seam


def offset_outline(outline: Outline, allowance: float | Sequence[float]) -> Outline:
    """The outline moved outward by a seam allowance, every corner mitred to its full point.

    Arcs keep their centre and gain (or, curving inward, lose) the allowance in radius. Computed
    analytically: no polyline, no mitre limit. At a tip of angle t the corner moves
    ``allowance / sin(t / 2)``. A tip of angle zero (two arcs touching) gets a square end.

    Args:
        allowance: in the outline's own units, >= 0; one number, or one per edge.

    Raises:
        QuiltValueError: negative, not one per edge, or too large for an inward curve or notch.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> offset_outline(rectangle(0, 0, 2, 3), 0.25).bounds
    (-0.25, -0.25, 2.25, 3.25)
    >>> offset_outline(rectangle(0, 0, 2, 3), (0, 0.5, 0, 0)).bounds
    (0.0, 0.0, 2.5, 3.0)
    >>> triangle = Outline(((0, 0), (2, 0), (0, 2)))
    >>> round(2 * offset_outline(triangle, 0.25).area, 6) == round((2 + 0.8535534) ** 2, 6)
    True
    """
    widths = _per_edge(outline, allowance)
    if not any(widths):
        return outline
    edges = _edges(outline, widths)
    joins = [_join(a, b) for a, b in itertools.pairwise([edges[-1], *edges])]
    _check_room(edges, joins)
    points: list[Point] = []
    bulges: list[float] = []
    for k, edge in enumerate(edges):
        here, after = joins[k], joins[(k + 1) % len(edges)]
        points.extend(here)
        bulges.extend([0.0] * (len(here) - 1))
        bulges.append(_bulge(edge, here[-1], after[0]))
    moved = Outline(tuple(points), tuple(bulges))
    if not moved.polygon.is_valid:
        x, y = _narrowest(outline)
        raise QuiltValueError(
            f"seam allowance: found {allowance!r} where the outline has a notch too narrow for "
            f"it, near ({x:.4g}, {y:.4g}); accepted: notches wider than two allowances"
        )
    return moved


def _narrowest(outline: Outline) -> Point:
    """The inner corner nearest to an edge that does not end there: where a notch is tight."""
    best = (math.inf, outline.points[0])
    edges = list(outline.edges())
    for k, ((p, c, _), (_, q, _)) in enumerate(zip(edges[-1:] + edges[:-1], edges, strict=True)):
        if (c[0] - p[0]) * (q[1] - c[1]) - (c[1] - p[1]) * (q[0] - c[0]) > 0:
            continue
        others = [e for i, e in enumerate(edges) if i not in (k, (k - 1) % len(edges))]
        gap = min((_to_edge(c, e[0], e[1]) for e in others), default=math.inf)
        best = min(best, (gap, c))
    return best[1]


def _to_edge(c: Point, p: Point, q: Point) -> float:
    dx, dy = q[0] - p[0], q[1] - p[1]
    t = ((c[0] - p[0]) * dx + (c[1] - p[1]) * dy) / (dx * dx + dy * dy or 1.0)
    t = min(1.0, max(0.0, t))
    return math.dist(c, (p[0] + t * dx, p[1] + t * dy))


def _per_edge(outline: Outline, allowance: float | Sequence[float]) -> tuple[float, ...]:
    n = len(outline.points)
    values = (allowance,) * n if isinstance(allowance, int | float) else tuple(allowance)
    if len(values) != n or not all(math.isfinite(v) and v >= 0 for v in values):
        raise QuiltValueError(
            f"seam allowance: found {allowance!r} for {n} edges; accepted: one number of at "
            "least 0, or one per edge"
        )
    return tuple(float(v) for v in values)


def _edges(outline: Outline, allowances: Sequence[float]) -> list[_Edge]:
    out = []
    for (p, q, b), a in zip(outline.edges(), allowances, strict=True):
        chord = math.dist(p, q)
        d = ((q[0] - p[0]) / chord, (q[1] - p[1]) / chord)
        if not b:
            out.append(_Edge(p, q, b, a, None, d, d))
            continue
        arc = arc_of(p, q, b)
        if b < 0 and a >= arc.radius:
            raise QuiltValueError(
                f"seam allowance: found {a:g} at an inward curve of radius {arc.radius:g}; "
                "accepted: less than the radius"
            )
        half = arc.sweep / 2  # directions at the ends turn from the chord by half the sweep
        out.append(_Edge(p, q, b, a, arc, _turn(d, -half), _turn(d, half)))
    return out


def _turn(d: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return (c * d[0] - s * d[1], s * d[0] + c * d[1])


def _outward(p: Point, direction: Point, out: float) -> Point:
    """The point ``out`` away from ``p``, outward of an edge with this direction (clockwise)."""
    return (p[0] + direction[1] * out, p[1] - direction[0] * out)


def _join(a: _Edge, b: _Edge) -> list[Point]:
    """Points of the moved outline at the corner between edges a and b (usually one)."""
    p, d, e = b.p, a.end, b.start
    sine, cosine = d[0] * e[1] - d[1] * e[0], d[0] * e[0] + d[1] * e[1]
    first, last = _outward(p, d, a.out), _outward(p, e, b.out)
    if abs(sine) < SMOOTH_RAD:
        if cosine > 0:  # runs on; a change of allowance makes a step
            return [first] if a.out == b.out else [first, last]
        longest = max(a.out, b.out)
        return [
            first,
            (first[0] + d[0] * longest, first[1] + d[1] * longest),
            (last[0] - e[0] * longest, last[1] - e[1] * longest),
            last,
        ]
    mitre = _meet_lines(p, d, a.out, p, e, b.out)
    if a.arc is None and b.arc is None:
        return [mitre]
    found = _meet_curves(a, b, mitre)
    if found is None:  # curves fall short of each other: run on straight to the mitre point
        return [first, mitre, last]
    return [found]


def _meet_lines(p: Point, d: Point, a: float, q: Point, e: Point, b: float) -> Point:
    """Where the line through p along d, moved out by a, meets that through q along e."""
    (px, py), (qx, qy) = _outward(p, d, a), _outward(q, e, b)
    sine = d[0] * e[1] - d[1] * e[0]
    if abs(sine) < SMOOTH_RAD:
        return ((px + qx) / 2, (py + qy) / 2)
    t = ((qx - px) * e[1] - (qy - py) * e[0]) / sine
    return (px + t * d[0], py + t * d[1])


def _meet_curves(a: _Edge, b: _Edge, near: Point) -> Point | None:
    """Crossing, nearest to ``near``, of two moved curves of which at least one is a circle."""
    if a.arc is not None and b.arc is not None:
        spots = _circle_circle((a.arc.cx, a.arc.cy), a.radius, (b.arc.cx, b.arc.cy), b.radius)
    else:
        line, curve = (a, b) if a.arc is None else (b, a)
        if curve.arc is None:
            return near
        spots = _line_circle(
            _outward(line.p, line.start, line.out),
            line.start,
            (curve.arc.cx, curve.arc.cy),
            curve.radius,
        )
    return min(spots, key=lambda s: (math.dist(s, near), s), default=None)


def _line_circle(p: Point, d: Point, c: Point, r: float) -> list[Point]:
    along = (c[0] - p[0]) * d[0] + (c[1] - p[1]) * d[1]
    foot = (p[0] + along * d[0], p[1] + along * d[1])
    rest = r * r - math.dist(foot, c) ** 2
    if rest < 0:
        return []
    h = math.sqrt(rest)
    return [(foot[0] - h * d[0], foot[1] - h * d[1]), (foot[0] + h * d[0], foot[1] + h * d[1])]


def _circle_circle(c: Point, r: float, k: Point, s: float) -> list[Point]:
    gap = math.dist(c, k)
    if gap < SAME_POINT:
        return []
    u = ((k[0] - c[0]) / gap, (k[1] - c[1]) / gap)
    along = (r * r - s * s + gap * gap) / (2 * gap)
    # the common chord stands square to the line of centres
    foot = (c[0] + along * u[0], c[1] + along * u[1])
    return _line_circle(foot, (-u[1], u[0]), c, r)


def _bulge(edge: _Edge, start: Point, end: Point) -> float:
    if edge.arc is None:
        return 0.0
    centre = edge.arc
    turn = math.atan2(end[1] - centre.cy, end[0] - centre.cx) - math.atan2(
        start[1] - centre.cy, start[0] - centre.cx
    )
    sweep = math.copysign(turn * math.copysign(1, edge.bulge) % (2 * math.pi), edge.bulge)
    return math.tan(sweep / 4)


def _check_room(edges: Sequence[_Edge], joins: Sequence[list[Point]]) -> None:
    """No edge may close up: a short one at the bottom of a notch runs backwards once the notch is
    filled.

    Raises:
        QuiltValueError: one does; where, and the allowance that there is room for.
    """
    for k, edge in enumerate(edges):
        start, end = joins[k][-1], joins[(k + 1) % len(edges)][0]
        dx, dy = edge.q[0] - edge.p[0], edge.q[1] - edge.p[1]
        length = math.hypot(dx, dy)
        left = ((end[0] - start[0]) * dx + (end[1] - start[1]) * dy) / length
        if left < -SAME_POINT:
            room = edge.out * length / (length - left)
            raise QuiltValueError(
                f"seam allowance: found {edge.out:.4g} at the edge from ({edge.p[0]:.4g}, "
                f"{edge.p[1]:.4g}) to ({edge.q[0]:.4g}, {edge.q[1]:.4g}), a notch that it closes "
                f"up; accepted: at most {room:.4g} there"
            )
