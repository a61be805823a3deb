"""Eight-pointed stars whose points are edged with a row of small triangles, the feathers."""

import math

from quiltgeom.geometry.outline import Point, rectangle
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params

_H = math.sqrt(0.5)


def draw(p: Params) -> Drawing:
    """Feathered star.

    ``feathers``: along each outer edge of a point; the leg of a feather is the unit;
    ``roles``: of the points (one for each in turn), ``feather`` of the feathers, ``tip`` of the
    small diamonds at the tips and the small patches in the notches.

    The band of feathers is one unit wide and begins and ends at 45 degrees, so that a small
    parallelogram, ``n`` feathers and the ``n`` triangles of ground between them fill an edge of
    ``n + 1`` units exactly. The parallelogram keeps every other seam away from the notch, where
    the corner square is set in.
    """
    n = p.whole("feathers", 4, 1, 16)
    roles, feather = p.roles("roles", "accent"), p.roles("feather", "accent")[0]
    tip = p.roles("tip", "second")[0]
    inner = n + 1.0
    outer = inner + math.sqrt(2)
    side = outer * (2 + math.sqrt(2))
    d, c = Drawing(side, side), side / 2

    def at(k: int, u: float, v: float) -> Point:
        """``u`` along one edge of point ``k`` from the centre, ``v`` along the other."""
        a, b = math.radians(45 * k), math.radians(45 * k + 45)
        return c + u * math.cos(a) + v * math.cos(b), c + u * math.sin(a) + v * math.sin(b)

    def add(k: int, role: str, part: str, *corners: Point) -> None:
        d.poly(role, part, *(at(k, u, v) for u, v in corners), turn_deg=45.0 * k)

    for k in range(8):
        add(k, roles[k % len(roles)], "point", (0, 0), (inner, 0), (inner, inner), (0, inner))
        add(k, tip, "tip", (inner, inner), (outer, inner), (outer, outer), (inner, outer))
        for flip in (False, True):
            for role, part, corners in _band(n, inner, outer, feather, tip):
                add(k, role, part, *((v, u) if flip else (u, v) for u, v in corners))
    ground = Drawing(side, side)
    ground.add(rectangle(0, 0, outer, outer), "background", "corner")
    ground.poly("background", "edge", (outer, 0), (side - outer, 0), (c, outer * _H))
    ground.around(4)
    d.patches += ground.patches
    return d


def _band(
    n: int, inner: float, outer: float, feather: str, first: str
) -> list[tuple[str, str, tuple[Point, ...]]]:
    """The band along one edge: a small parallelogram in the notch, then feathers and ground by
    turns. A feather stands on the point's edge, its right angle at the end away from the notch."""
    out: list[tuple[str, str, tuple[Point, ...]]] = [
        (first, "notch", ((inner, 0), (inner, 1), (outer, 1), (outer, 0)))
    ]
    for j in range(1, n + 1):
        low, high = (inner, float(j)), (inner, float(j + 1))
        far, farther = (outer, float(j)), (outer, float(j + 1))
        out.append((feather, "feather", (low, high, far)))
        out.append(("background", "between", (high, far, farther)))
    return out
