"""Suns: rings of kites and points round a disc, in a circle set in a square."""

from quiltgeom.geometry.outline import Outline
from quiltgeom.library.generators.compass import arc_bulge, circle_in_square, polar
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params


def draw(p: Params) -> Drawing:
    """Rings of kites round a disc, each ring half a step on; the block is 2 wide.

    ``points``: how many kites in each ring; ``rings``; ``hub`` and ``radius``; ``roles``: one for
    each ring from the inside; ``heart``.
    """
    n, rings = p.whole("points", 16, 8, 48), p.whole("rings", 3, 1, 6)
    hub, radius = p.size("hub", 0.3, 0.05, 0.7), p.size("radius", 0.9, 0.3, 1)
    roles = p.roles("roles", "accent", "third", "second")
    d = Drawing(2, 2)
    heart = p.roles("heart", "focus")[0]
    d.add(Outline((polar(hub, 0), polar(hub, 180)), (1.0, 1.0)), heart, "centre")
    step = 360 / n
    radii = [hub + (radius - hub) * k / (rings + 1) for k in range(rings + 2)]
    for k in range(n):  # triangles on the hub, whose tips are the inner corners of the first ring
        a = k * step
        points = (polar(hub, a + step), polar(hub, a), polar(radii[1], a + step / 2))
        d.add(Outline(points, (-arc_bulge(step), 0, 0)), roles[0], "point", a)
    for ring in range(1, rings + 1):
        for k in range(n):
            a = k * step + (0 if ring % 2 else step / 2)
            low, high, foot = a - step / 2, a + step / 2, polar(radii[ring - 1], a)
            left, right = polar(radii[ring], low), polar(radii[ring], high)
            if ring < rings:
                kite = (foot, right, polar(radii[ring + 1], a), left)
                d.poly(roles[ring % len(roles)], f"ring {ring}", *kite, turn_deg=a)
            else:
                sky = (foot, left, polar(radius, low), polar(radius, high), right)
                d.add(Outline(sky, (0, 0, arc_bulge(step), 0, 0)), "background", "sky", a)
    circle_in_square(d, radius)
    return d
