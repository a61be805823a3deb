"""Where seams meet: the points inside a cover at which three or more seams come together."""

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from quiltgeom.geometry.outline import Outline, Point, arc_of

Rays = dict[Point, list[float]]


def meeting_points(patches: Sequence[Outline], boundary: Outline) -> list[Point]:
    """Points inside the outline where at least three patches meet, sorted.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> four = [rectangle(x, y, 1, 1) for x in (0, 1) for y in (0, 1)]
    >>> meeting_points(four, rectangle(0, 0, 2, 2))
    [(1.0, 1.0)]
    """
    return sorted(p for p, rays in _rays(patches, boundary).items() if len(rays) >= 3)


def set_in_points(patches: Sequence[Outline], boundary: Outline) -> list[Point]:
    """Points inside the outline through which no seam runs straight on: set-in (Y) seams.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> corner = Outline(((0, 0), (2, 0), (2, 2), (1, 2), (1, 1), (0, 1)))
    >>> set_in_points([corner, rectangle(0, 1, 1, 1)], rectangle(0, 0, 2, 2))
    [(1.0, 1.0)]
    """
    return sorted(p for p, rays in _rays(patches, boundary).items() if not _straight_on(rays))


def _rays(patches: Sequence[Outline], boundary: Outline) -> Rays:
    """Directions of the seams at every corner inside; a seam passing by counts as two."""
    at: defaultdict[tuple[int, int], list[float]] = defaultdict(list)
    spot: dict[tuple[int, int], Point] = {}
    edges = [edge for o in patches for edge in o.edges()]
    for p, q, b in edges:
        for point, direction in ((p, _direction(p, q, b)), (q, _direction(q, p, -b))):
            at[_key(point)].append(direction)
            spot.setdefault(_key(point), point)
    outer = {_key(p) for p in boundary.points}
    inside = {k: p for k, p in spot.items() if k not in outer and not _on_edges(p, boundary)}
    for key, directions in _passing(edges, inside).items():
        at[key] += directions
    return {p: _distinct(at[k]) for k, p in inside.items()}


def _key(p: Point) -> tuple[int, int]:
    return (round(p[0] * 1e7), round(p[1] * 1e7))


def _direction(p: Point, q: Point, bulge: float) -> float:
    """Direction in which an edge leaves ``p``."""
    return math.atan2(q[1] - p[1], q[0] - p[0]) - 2 * math.atan(bulge)


def _on_edges(point: Point, boundary: Outline) -> bool:
    for p, q, b in boundary.edges():
        if b:
            arc = arc_of(p, q, b)
            if abs(math.dist(point, (arc.cx, arc.cy)) - arc.radius) < 1e-7:
                return True
        elif _between(point, p, q):
            return True
    return False


def _between(point: Point, p: Point, q: Point) -> bool:
    length = math.dist(p, q)
    off = abs((q[0] - p[0]) * (point[1] - p[1]) - (q[1] - p[1]) * (point[0] - p[0])) / length
    return off < 1e-7 and math.dist(p, point) + math.dist(point, q) < length + 1e-7


def _passing(
    edges: Sequence[tuple[Point, Point, float]], inside: dict[tuple[int, int], Point]
) -> dict[tuple[int, int], list[float]]:
    """Straight edges that run through a corner without ending there."""
    if not inside:
        return {}
    keys, xy = list(inside), np.array(list(inside.values()))
    out: defaultdict[tuple[int, int], list[float]] = defaultdict(list)
    for p, q, b in edges:
        if b:
            continue  # arcs are cut at every corner that lies on them
        d = np.array(q) - p
        length = float(np.hypot(*d))
        u = d / length
        rel = xy - p
        along = rel @ u
        off = np.abs(rel[:, 0] * u[1] - rel[:, 1] * u[0])
        angle = math.atan2(d[1], d[0])
        for i in np.flatnonzero((off < 1e-7) & (along > 1e-7) & (along < length - 1e-7)):
            out[keys[i]] += [angle, angle + math.pi]
    return out


def _distinct(directions: Sequence[float]) -> list[float]:
    turns = sorted(d % (2 * math.pi) for d in directions)
    kept: list[float] = []
    for t in turns:
        if not kept or t - kept[-1] > 1e-5:
            kept.append(t)
    if len(kept) > 1 and kept[0] + 2 * math.pi - kept[-1] < 1e-5:
        kept.pop()
    return kept


def _straight_on(rays: Sequence[float]) -> bool:
    return any(abs(abs(a - b) - math.pi) < 1e-4 for i, a in enumerate(rays) for b in rays[i + 1 :])
