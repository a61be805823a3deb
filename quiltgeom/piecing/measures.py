"""Measures of finished patches that make sewing easy or hard."""

import math
from collections.abc import Sequence

import shapely

from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.planar import PlanarMap
from quiltgeom.tolerance import SAME_CORNER


def has_bias(outline: Outline) -> bool:
    """Whether a straight edge runs aslant, off the lengthwise and crosswise grain.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> has_bias(rectangle(0, 0, 1, 2)), has_bias(Outline(((0, 0), (1, 0), (0, 1))))
    (False, True)
    """
    return any(
        not b and min(abs(p[0] - q[0]), abs(p[1] - q[1])) > SAME_CORNER
        for p, q, b in outline.edges()
    )


def strip_width(outline: Outline) -> float:
    """Shorter side of the smallest rectangle round it: the strip it could be cut from.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> strip_width(rectangle(0, 0, 3, 2))
    2.0
    """
    box = shapely.minimum_rotated_rectangle(outline.polygon)
    (x0, y0), (x1, y1), (x2, y2), *_ = list(box.exterior.coords)
    return min(math.hypot(x1 - x0, y1 - y0), math.hypot(x2 - x1, y2 - y1))


def corner_angles(outline: Outline) -> list[float]:
    """Inner angles between straight edges, degrees."""
    edges = list(outline.edges())
    out = []
    for one, two in zip(edges[-1:] + edges[:-1], edges, strict=True):
        if not one[2] and not two[2]:
            (ax, ay), (bx, by), (cx, cy) = one[0], one[1], two[1]
            turn = math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax)
            out.append(180.0 - math.degrees(math.remainder(turn, 2 * math.pi)))
    return out


def half_square_triangles(plan: PlanarMap, outlines: Sequence[Outline]) -> int:
    """Squares made of two right isosceles triangles."""
    long_edge = {f: _hypotenuse(o) for f, o in enumerate(outlines)}
    return sum(
        len(e.faces) == 2
        and all(long_edge[f] and abs((long_edge[f] or 0) - e.length) < SAME_CORNER for f in e.faces)
        for e in plan.edges
    )


def _hypotenuse(outline: Outline) -> float | None:
    """Length of the long side of a right isosceles triangle; None for other shapes."""
    if len(outline.points) != 3 or not outline.is_straight:
        return None
    a, b, c = sorted(math.dist(p, q) for p, q, _ in outline.edges())
    return c if abs(a - b) < SAME_CORNER and abs(c - a * math.sqrt(2)) < SAME_CORNER else None
