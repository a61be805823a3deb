"""An octagon of eight wedges with corners: plain, or in bands like a web."""

import math

from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params


def draw(p: Params) -> Drawing:
    """Eight wedges of 45 degrees in a square of side 2, each cut into bands along its outer edge.

    ``bands``; ``roles``: two or more lists would be too many: the roles run from the centre out
    and every second wedge begins one later.
    """
    bands = p.whole("bands", 1, 1, 20)
    roles = p.roles("roles", "accent", "background")
    by_turns = p.flag("turn_by_turn", True)
    d = Drawing(2, 2)
    t = math.tan(math.radians(22.5))
    wedge = [(-t, -1.0), (t, -1.0)]
    for k in range(8):
        c, s = math.cos(math.radians(45 * k)), math.sin(math.radians(45 * k))
        for i in range(bands):
            a, b = i / bands, (i + 1) / bands
            flat = [(a * wedge[1][0], -a), (a * wedge[0][0], -a)] if i else [(0.0, 0.0)]
            ring = [(b * wedge[0][0], -b), (b * wedge[1][0], -b), *flat]
            role = roles[(i + (k % 2 if by_turns else 0)) % len(roles)]
            part = "wedge" if bands == 1 else "band"
            points = ((1 + c * x - s * y, 1 + s * x + c * y) for x, y in ring)
            d.poly(role, part, *points, turn_deg=45.0 * k)
    corners = Drawing(2, 2)
    corners.poly("background", "corner", (0, 0), (1 - t, 0), (0, 1 - t))
    corners.around(4)
    d.patches += corners.patches
    return d
