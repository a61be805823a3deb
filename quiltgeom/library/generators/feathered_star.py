"""Eight-pointed stars whose points are edged with a row of small triangles, the feathers."""

from __future__ import annotations

import math

from quiltgeom.geometry.outline import Point, rectangle
from quiltgeom.library.drawing import Drawing
from quiltgeom.library.reader import Params

__all__ = ["draw"]

_H = math.sqrt(0.5)


def draw(p: Params) -> Drawing:
    """Feathered star.

    ``feathers``: along each outer edge of a point; the leg of a feather is the unit;
    ``roles``: of the points (one for each in turn), ``feather`` of the feathers, ``tip`` of the
    small diamonds at the tips.

    The band of feathers is one unit wide and begins and ends at 45 degrees, so that ``n`` feathers
    and the ``n`` triangles of ground between them fill an edge of ``n`` units exactly.
    """
    n = p.whole("feathers", 4, 2, 16)
    roles, feather = p.roles("roles", "accent"), p.roles("feather", "accent")[0]
    tip = p.roles("tip", "second")[0]
    outer = n + math.sqrt(2)
    side = outer * (2 + math.sqrt(2))
    d, c = Drawing(side, side), side / 2

    def at(k: int, u: float, v: float) -> Point:
        """``u`` along one edge of point ``k`` from the centre, ``v`` along the other."""
        a, b = math.radians(45 * k), math.radians(45 * k + 45)
        return c + u * math.cos(a) + v * math.cos(b), c + u * math.sin(a) + v * math.sin(b)

    for k in range(8):
        turn = 45.0 * k
        corners = (at(k, 0, 0), at(k, n, 0), at(k, n, n), at(k, 0, n))
        d.poly(roles[k % len(roles)], "point", *corners, turn_deg=turn)
        d.poly(tip, "tip", at(k, n, n), at(k, outer, n), at(k, outer, outer), at(k, n, outer),
               turn_deg=turn)  # fmt: skip
        for flip in (False, True):
            for j in range(n):
                # a feather stands on the point's edge; its right angle at the farther end
                low, high = (n, float(j)), (n, float(j + 1))
                far, farther = (outer, float(j)), (outer, float(j + 1))
                for role, part, three in (
                    (feather, "feather", (low, high, far)),
                    ("background", "between", (high, far, farther)),
                ):
                    points = [at(k, v, u) if flip else at(k, u, v) for u, v in three]
                    d.poly(role, part, *points, turn_deg=turn)
    ground = Drawing(side, side)
    ground.add(rectangle(0, 0, outer, outer), "background", "corner")
    ground.poly("background", "edge", (outer, 0), (side - outer, 0), (c, outer * _H))
    ground.around(4)
    d.patches += ground.patches
    return d
