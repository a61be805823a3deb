"""Measures of finished patches that make sewing easy or hard, and what quilters call a unit."""

import math
from collections.abc import Sequence

import shapely

from quiltgeom.geometry.congruence import plain_outline
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.planar import PlanarMap
from quiltgeom.tolerance import SAME_CORNER, SLIVER

_CLOSE = 1e-4
_SQUARES = {4: "four-patch", 9: "nine-patch", 16: "sixteen-patch"}
_TRIANGLES = {
    (1, (0.5, 0.5)): "half-square triangles",
    (1, (0.25, 0.25, 0.25, 0.25)): "quarter-square triangles",
    (2, (0.25, 0.25, 0.5)): "flying geese",
}
"""By how many times longer than wide the unit is, and the share that each triangle takes of it."""


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
    return _box(outline.polygon)[0]


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
    long = [_hypotenuse(o) for o in outlines]
    return sum(
        len(e.faces) == 2 and all(abs(long[f] - e.length) < SAME_CORNER for f in e.faces)
        for e in plan.edges
    )


def _hypotenuse(outline: Outline) -> float:
    """Length of the long side of a right isosceles triangle; 0 for other shapes."""
    if len(outline.points) != 3 or not outline.is_straight:
        return 0.0
    a, b, c = sorted(math.dist(p, q) for p, q, _ in outline.edges())
    return c if max(b - a, abs(c - a * math.sqrt(2))) < SAME_CORNER else 0.0


def _box(shape: shapely.Geometry) -> tuple[float, float]:
    """Width and length of the smallest rectangle round it, however it is turned."""
    a, b, c, *_ = shapely.get_coordinates(shapely.oriented_envelope(shape))
    short, long = sorted((math.dist(a, b), math.dist(b, c)))
    return short, long


def unit_name(outlines: Sequence[Outline]) -> str:
    """The name of a unit of these patches; ``""`` if it has none of those known here.

    >>> halves = Outline(((0, 0), (2, 0), (0, 2))), Outline(((2, 0), (2, 2), (0, 2)))
    >>> unit_name(halves), unit_name(halves[:1])
    ('half-square triangles', '')
    """
    if not 1 < len(outlines) <= max(_SQUARES):
        return ""
    hull = shapely.union_all([o.polygon for o in outlines]).convex_hull
    sides = _box(hull.simplify(_CLOSE))  # an edge of no length would be its shortest side
    area = sum(o.area for o in outlines)
    ratio = round(sides[1] / sides[0], 4)
    if not all(o.is_straight for o in outlines) or abs(math.prod(sides) - area) > _CLOSE * area:
        return ""
    shares = tuple(sorted(round(o.area / area, 4) for o in outlines))
    if all(_hypotenuse(plain_outline(o)) for o in outlines):
        return _TRIANGLES.get((round(ratio), shares), "") if ratio in (1, 2) else ""
    equal = ratio == 1 and shares[0] == shares[-1] and all(map(_is_square, outlines))
    return _SQUARES.get(len(outlines), "") if equal else ""


def _is_square(outline: Outline) -> bool:
    short, long = _box(outline.polygon)
    return long - short < SAME_CORNER and abs(short * long - outline.area) < SLIVER
