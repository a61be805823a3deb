"""Compasses: points of two tones round a centre, in a circle set in a square."""

import math

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params


def polar(radius: float, degrees: float, centre: float = 1.0) -> Point:
    """Point at a radius and a direction clockwise from the top, about (centre, centre)."""
    a = math.radians(degrees)
    return (centre + radius * math.sin(a), centre - radius * math.cos(a))


def arc_bulge(degrees: float) -> float:
    """Bulge of an arc of so many degrees."""
    return math.tan(math.radians(degrees) / 4)


def circle_in_square(d: Drawing, radius: float, role: str = "background") -> None:
    """The ground of a circle in the middle of a square of side 2: four corners.

    Where the circle touches the sides the corners are whole; else they meet in short seams.
    """
    quarter = Drawing(2, 2)
    q, r = polar(radius, 0), polar(radius, 270)
    edge, left = ([], []) if radius > 1 - 1e-9 else ([(1.0, 0.0)], [(0.0, 1.0)])
    points = [(0.0, 0.0), *edge, q, r, *left]
    bulges = [0.0] * len(points)
    bulges[points.index(q)] = -arc_bulge(90)
    quarter.add(Outline(tuple(points), tuple(bulges)), role, "corner")
    quarter.around(4)
    d.patches += quarter.patches


def draw(p: Params) -> Drawing:
    """Compass.

    ``sets``: of points that lie one behind the other: 1 gives 4 points, 2 gives 8, 3 gives 16;
    every point is split down the middle in two tones. ``radius`` of the circle (the
    block is 2 wide); ``waist``: how far from the centre the points of the first set
    meet, as a share of the radius; ``roles``: two tones of each set, from the front.
    """
    count = 4 * 2 ** (p.whole("sets", 3, 1, 4) - 1)
    radius = p.size("radius", 0.92, 0.3, 1)
    waist = p.size("waist", 0.22, 0.05, 0.6) * radius
    roles = p.roles("roles", "accent", "second", "focus", "third", "accent", "second")
    d = Drawing(2, 2)
    sets = int(math.log2(count // 4)) + 1
    sides = _points(d, radius, waist, sets, roles)
    for a, b in zip(sides, [*sides[1:], sides[0]], strict=True):
        sweep = (b[0] - a[0]) % 360
        points = (polar(radius, a[0]), polar(radius, b[0]), a[1])
        d.add(Outline(points, (arc_bulge(sweep), 0.0, 0.0)), "background", "sky", a[0])
    circle_in_square(d, radius)
    return d


def _points(
    d: Drawing, radius: float, waist: float, sets: int, roles: list[str]
) -> list[tuple[float, Point]]:
    """Draw all sets; returns (direction of a tip, valley after it) in order round the circle."""
    tips = [90.0 * k for k in range(4)]
    valleys = [polar(waist, t + 45) for t in tips]
    for k, t in enumerate(tips):
        tip, heart = polar(radius, t), (1.0, 1.0)
        d.poly(roles[0], "long point", heart, valleys[k - 1], tip, turn_deg=t)
        d.poly(roles[1 % len(roles)], "long point", heart, tip, valleys[k], turn_deg=t)
    for s in range(1, sets):
        light, dark = roles[2 * s % len(roles)], roles[(2 * s + 1) % len(roles)]
        part = "medium point" if s == 1 else "short point"
        new_tips, new_valleys = [], []
        for k, t in enumerate(tips):
            step = (tips[1] - tips[0]) / 2
            between, root = t + step, valleys[k]
            tip = polar(radius, between)
            left = _along(root, polar(radius, t))
            right = _along(root, polar(radius, (t + 2 * step) % 360))
            d.poly(light, part, root, left, tip, turn_deg=between)
            d.poly(dark, part, root, tip, right, turn_deg=between)
            new_tips += [t, between]
            new_valleys += [left, right]
        tips, valleys = new_tips, new_valleys
    return list(zip(tips, valleys, strict=True))


def _along(a: Point, b: Point) -> Point:
    """Where a point stands on the sides of those before it."""
    return (a[0] + 0.42 * (b[0] - a[0]), a[1] + 0.42 * (b[1] - a[1]))
