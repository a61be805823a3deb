"""Cutting outlines along a straight line or to a rectangle; arcs stay true arcs."""

import itertools
import math
from collections.abc import Sequence

from quiltgeom.errors import QuiltError
from quiltgeom.geometry.outline import Outline, Point, arc_of
from quiltgeom.tolerance import SAME_POINT, SAME_SHARE, SLIVER

Edge = tuple[Point, Point, float]


def clip_to_box(outline: Outline, box: tuple[float, float, float, float]) -> list[Outline]:
    """The parts of an outline inside a box ``(left, top, right, bottom)``.

    >>> diamond = Outline(((1, -1), (2, 0), (1, 1), (0, 0)))
    >>> [o.area for o in clip_to_box(diamond, (1, -5, 5, 0))]
    [0.5]
    """
    x0, y0, x1, y1 = box
    parts = [outline]
    for normal, limit in (((-1, 0), -x0), ((0, -1), -y0), ((1, 0), x1), ((0, 1), y1)):
        parts = [q for p in parts for q in clip_to_line(p, normal, limit)]
    return parts


def clip_to_line(outline: Outline, normal: Point, limit: float) -> list[Outline]:
    """The parts of an outline where ``normal . point <= limit``; empty if there are none.

    >>> disc = Outline(((0, -1), (0, 1)), (1.0, 1.0))
    >>> [round(o.area / math.pi, 12) for o in clip_to_line(disc, (1, 0), 0)]
    [0.5]
    """

    def over(p: Point) -> float:
        return normal[0] * p[0] + normal[1] * p[1] - limit

    pieces = [piece for edge in outline.edges() for piece in _split(edge, normal, limit)]
    inside = [over(_middle(e)) <= SAME_POINT for e in pieces]
    if all(inside):
        return [outline]
    first = inside.index(False)
    order = [*range(first, len(pieces)), *range(first)]
    chains: list[list[Edge]] = []
    for k, before in zip(order[1:], order, strict=False):
        if inside[k]:
            on_line = abs(over(pieces[k][0])) <= SAME_POINT
            if not inside[before] or on_line or not chains:
                chains.append([])
            chains[-1].append(pieces[k])
    off_line = [c for c in chains if any(abs(over(_middle(e))) > SAME_POINT for e in c)]
    return _closed(off_line, normal)


def _split(edge: Edge, normal: Point, limit: float) -> list[Edge]:
    """An edge cut where it crosses the line."""
    p, q, b = edge
    stops = [0.0, *_crossings(edge, normal, limit), 1.0]
    points = [p, *(_at(edge, t) for t in stops[1:-1]), q]
    sweep = 4 * math.atan(b)
    bulges = [math.tan(sweep * (t - s) / 4) for s, t in itertools.pairwise(stops)]
    return [(u, v, c) for (u, v), c in zip(itertools.pairwise(points), bulges, strict=True)]


def _crossings(edge: Edge, normal: Point, limit: float) -> list[float]:
    """Where the edge crosses the line, as shares of its length, ends left out."""
    p, q, b = edge
    d0, d1 = (normal[0] * x + normal[1] * y - limit for x, y in (p, q))
    if not b:
        apart = abs(d0) > SAME_POINT and abs(d1) > SAME_POINT and d0 * d1 < 0
        return [d0 / (d0 - d1)] if apart else []
    arc = arc_of(p, q, b)
    off = (limit - normal[0] * arc.cx - normal[1] * arc.cy) / arc.radius
    if abs(off) > 1 + SAME_SHARE:
        return []
    # a cut at the touching point keeps what lies beside it apart
    touches = abs(off) > 1 - SAME_SHARE
    spread = (0.0 if off > 0 else math.pi) if touches else math.acos(off)
    facing = math.atan2(normal[1], normal[0])
    found = []
    for angle in (facing + spread,) if touches else (facing - spread, facing + spread):
        turn = (angle - arc.start) * math.copysign(1, arc.sweep) % (2 * math.pi)
        share = turn / abs(arc.sweep)
        point = arc.point(angle)
        if share < 1 and min(math.dist(point, p), math.dist(point, q)) > SAME_POINT:
            found.append(share)
    return sorted(found)


def _at(edge: Edge, share: float) -> Point:
    p, q, b = edge
    if b:
        arc = arc_of(p, q, b)
        return arc.point(arc.start + arc.sweep * share)
    return (p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share)


def _middle(edge: Edge) -> Point:
    return _at(edge, 0.5)


def _closed(chains: Sequence[list[Edge]], normal: Point) -> list[Outline]:
    """Close the chains along the line: neighbours along it belong together, in pairs."""
    ends: list[tuple[float, int, bool]] = []
    for k, chain in enumerate(chains):
        for point, leaves in ((chain[0][0], False), (chain[-1][1], True)):
            ends.append((round(normal[0] * point[1] - normal[1] * point[0], 9), k, leaves))
    ends.sort()
    for i in range(0, len(ends) - 2, 2):  # where two ends fall together, a way in meets a way out
        one, two, three = ends[i : i + 3]
        if one[2] == two[2] and two[0] == three[0]:
            ends[i + 1], ends[i + 2] = three, two
    following = {}
    for one, two in zip(ends[::2], ends[1::2], strict=True):
        out, back = (one, two) if one[2] else (two, one)
        following[out[1]] = back[1]
    parts, left = [], set(range(len(chains)))
    while left:
        start = at = min(left)
        edges: list[Edge] = []
        while at in left:
            left.discard(at)
            edges += chains[at]
            nxt = following.get(at, start)
            p, q = edges[-1][1], chains[nxt][0][0]
            if math.dist(p, q) > SAME_POINT:
                edges.append((p, q, 0.0))
            at = nxt
        try:
            part = Outline(tuple(e[0] for e in edges), tuple(e[2] for e in edges))
        except QuiltError:
            continue  # touches the line in a point or along an edge only
        if part.area > SLIVER:
            parts.append(part)
    return parts
