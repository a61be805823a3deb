"""What quilters call a unit, told by its patches alone."""

import math
from collections.abc import Sequence
from itertools import pairwise

import shapely

from quiltgeom.geometry.outline import Outline

_CLOSE = 1e-4
_SQUARES = {4: "four-patch", 9: "nine-patch", 16: "sixteen-patch"}
_TRIANGLES = {
    (1, (0.5, 0.5)): "half-square triangles",
    (1, (0.25, 0.25, 0.25, 0.25)): "quarter-square triangles",
    (2, (0.25, 0.25, 0.5)): "flying geese",
}
"""By how many times longer than wide the unit is, and the share that each triangle takes of it."""


def unit_name(outlines: Sequence[Outline]) -> str:
    """The name of a unit of these patches; ``""`` if it has none of those known here.

    >>> halves = Outline(((0, 0), (2, 0), (0, 2))), Outline(((2, 0), (2, 2), (0, 2)))
    >>> unit_name(halves), unit_name(halves[:1])
    ('half-square triangles', '')
    """
    if not 1 < len(outlines) <= max(_SQUARES):
        return ""
    sides = _box(shapely.union_all([o.polygon for o in outlines]))
    area = sum(o.area for o in outlines)
    ratio = round(sides[1] / sides[0], 4)
    if not all(o.is_straight for o in outlines) or abs(math.prod(sides) - area) > _CLOSE * area:
        return ""
    shares = tuple(sorted(round(o.area / area, 4) for o in outlines))
    if all(map(_is_half_square, outlines)):
        return _TRIANGLES.get((round(ratio), shares), "") if ratio in (1, 2) else ""
    equal = ratio == 1 and shares[0] == shares[-1] and all(map(_is_square, outlines))
    return _SQUARES.get(len(outlines), "") if equal else ""


def _box(shape: shapely.Geometry) -> tuple[float, float]:
    """Width and length of the smallest rectangle round it, however it is turned."""
    hull = shape.convex_hull.simplify(_CLOSE)  # an edge of no length would be its shortest side
    a, b, c, *_ = shapely.get_coordinates(shapely.oriented_envelope(hull))
    short, long = sorted((math.dist(a, b), math.dist(b, c)))
    return short, long


def _is_square(outline: Outline) -> bool:
    short, long = _box(outline.polygon)
    return long - short < _CLOSE * long and abs(short * long - outline.area) < _CLOSE * outline.area


def _is_half_square(outline: Outline) -> bool:
    """Two equal sides and a right angle between them."""
    hull = shapely.get_coordinates(outline.polygon.simplify(_CLOSE).exterior)
    a, b, c = sorted(math.dist(p, q) for p, q in pairwise(hull))[-3:]
    return len(hull) == 4 and b - a < _CLOSE * b and abs(c - b * math.sqrt(2)) < _CLOSE * c
