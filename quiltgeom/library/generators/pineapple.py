"""Pineapple: a log cabin with eight sides."""

import math

from quiltgeom.geometry.outline import Point
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params


def draw(p: Params) -> Drawing:
    """Pineapple.

    ``rounds``: each adds four logs along the sides and four across the corners, each one unit
    wide; ``roles``: of side logs, of corner logs; ``heart``; ``corner`` of the last triangles.
    """
    n = p.whole("rounds", 3, 1, 12)
    roles = p.roles("roles", "background", "accent")
    heart, last = p.roles("heart", "focus")[0], p.roles("corner", "accent")[0]
    h = 1.0 + n  # half of the block: a centre of side 2, then rounds of one unit
    d = Drawing(2 * h, 2 * h)
    d.poly(heart, "centre", (h - 1, h - 1), (h + 1, h - 1), (h + 1, h + 1), (h - 1, h + 1))
    quarter = Drawing(2 * h, 2 * h)
    reach = [(1.0 + k, math.sqrt(2) + k) for k in range(n + 1)]  # half width: straight, slanted
    for k in range(n):
        (a0, b0), (a1, b1) = reach[k], reach[k + 1]
        w0, w1 = b0 * math.sqrt(2) - a0, b0 * math.sqrt(2) - a1
        quarter.poly(roles[0], "side log", *_at(h, (-w0, -a0), (-w1, -a1), (w1, -a1), (w0, -a0)))
        v1 = b1 * math.sqrt(2) - a1
        quarter.poly(
            roles[1 % len(roles)], "corner log", *_at(h, (a1, -w1), (w1, -a1), (v1, -a1), (a1, -v1))
        )
    a, b = reach[-1]
    v = b * math.sqrt(2) - a
    quarter.poly(last, "corner", *_at(h, (v, -a), (a, -a), (a, -v)))
    quarter.around(4)
    d.patches += quarter.patches
    return d


def _at(h: float, *points: Point) -> list[Point]:
    return [(h + x, h + y) for x, y in points]
