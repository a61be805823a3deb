"""Discs and arcs in a square: compasses, rings of kites, plates, fans."""

import math
from functools import partial

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params
from quiltgeom.tolerance import SAME_POINT


def _polar(radius: float, degrees: float, centre: Point = (1.0, 1.0)) -> Point:
    """Point at a radius and a direction clockwise from the top."""
    a = math.radians(degrees)
    return (centre[0] + radius * math.sin(a), centre[1] - radius * math.cos(a))


_corner = partial(_polar, centre=(0.0, 1.0))
"""The same about the lower left corner of a square of side 1."""


def _arc_bulge(degrees: float) -> float:
    """Bulge of an arc of so many degrees."""
    return math.tan(math.radians(degrees) / 4)


def _circle_in_square(d: Drawing, radius: float) -> None:
    """The ground of a circle in the middle of a square of side 2: four corners.

    Where the circle touches the sides the corners are whole; else they meet in short seams.
    """
    first = len(d.patches)
    q, r = _polar(radius, 0), _polar(radius, 270)
    edge, left = ([], []) if radius > 1 - SAME_POINT else ([(1.0, 0.0)], [(0.0, 1.0)])
    points = [(0.0, 0.0), *edge, q, r, *left]
    bulges = [0.0] * len(points)
    bulges[points.index(q)] = -_arc_bulge(90)
    d.add(Outline(tuple(points), tuple(bulges)), "background", "corner")
    d.around(first)


def compass(p: Params) -> Drawing:
    """Compass.

    ``sets``: of points that lie one behind the other: 1 gives 4 points, 2 gives 8, 3 gives 16;
    every point is split down the middle in two tones. ``radius`` of the circle (the
    block is 2 wide); ``waist``: how far from the centre the points of the first set
    meet, as a share of the radius; ``roles``: two tones of each set, from the front.
    """
    sets = p.whole("sets", 3, 1, 4)
    radius = p.size("radius", 0.92, 0.3, 1)
    waist = p.size("waist", 0.22, 0.05, 0.6) * radius
    roles = p.roles("roles", "accent", "second", "focus", "third", "accent", "second")
    d = Drawing(2, 2)
    sides = _points(d, radius, waist, sets, roles)
    for a, b in zip(sides, [*sides[1:], sides[0]], strict=True):
        sweep = (b[0] - a[0]) % 360
        points = (_polar(radius, a[0]), _polar(radius, b[0]), a[1])
        d.add(Outline(points, (_arc_bulge(sweep), 0.0, 0.0)), "background", "sky", a[0])
    _circle_in_square(d, radius)
    return d


def _points(
    d: Drawing, radius: float, waist: float, sets: int, roles: list[str]
) -> list[tuple[float, Point]]:
    """Draw all sets; returns (direction of a tip, valley after it) in order round the circle."""
    tips = [90.0 * k for k in range(4)]
    valleys = [_polar(waist, t + 45) for t in tips]
    for k, t in enumerate(tips):
        tip, heart = _polar(radius, t), (1.0, 1.0)
        d.poly(roles[0], "long point", heart, valleys[k - 1], tip, turn_deg=t)
        d.poly(roles[1 % len(roles)], "long point", heart, tip, valleys[k], turn_deg=t)
    for s in range(1, sets):
        light, dark = roles[2 * s % len(roles)], roles[(2 * s + 1) % len(roles)]
        part = "medium point" if s == 1 else "short point"
        new_tips, new_valleys = [], []
        for k, t in enumerate(tips):
            step = (tips[1] - tips[0]) / 2
            between, root = t + step, valleys[k]
            tip = _polar(radius, between)
            left = _along(root, _polar(radius, t))
            right = _along(root, _polar(radius, (t + 2 * step) % 360))
            d.poly(light, part, root, left, tip, turn_deg=between)
            d.poly(dark, part, root, tip, right, turn_deg=between)
            new_tips += [t, between]
            new_valleys += [left, right]
        tips, valleys = new_tips, new_valleys
    return list(zip(tips, valleys, strict=True))


def _along(a: Point, b: Point) -> Point:
    """Where a point stands on the sides of those before it."""
    return (a[0] + 0.42 * (b[0] - a[0]), a[1] + 0.42 * (b[1] - a[1]))


def ring_of_points(p: Params) -> Drawing:
    """Rings of kites round a disc, each ring half a step on; the block is 2 wide.

    ``points``: how many kites in each ring; ``rings``; ``hub`` and ``radius``; ``roles``: one for
    each ring from the inside; ``heart``.
    """
    n, rings = p.whole("points", 16, 8, 48), p.whole("rings", 3, 1, 6)
    hub, radius = p.size("hub", 0.3, 0.05, 0.7), p.size("radius", 0.9, 0.3, 1)
    roles = p.roles("roles", "accent", "third", "second")
    d = Drawing(2, 2)
    heart = p.roles("heart", "focus")[0]
    d.add(Outline((_polar(hub, 0), _polar(hub, 180)), (1.0, 1.0)), heart, "centre")
    step = 360 / n
    radii = [hub + (radius - hub) * k / (rings + 1) for k in range(rings + 2)]
    for k in range(n):  # triangles on the hub, whose tips are the inner corners of the first ring
        a = k * step
        points = (_polar(hub, a + step), _polar(hub, a), _polar(radii[1], a + step / 2))
        d.add(Outline(points, (-_arc_bulge(step), 0, 0)), roles[0], "point", a)
    for ring in range(1, rings + 1):
        for k in range(n):
            a = k * step + (0 if ring % 2 else step / 2)
            low, high, foot = a - step / 2, a + step / 2, _polar(radii[ring - 1], a)
            left, right = _polar(radii[ring], low), _polar(radii[ring], high)
            if ring < rings:
                kite = (foot, right, _polar(radii[ring + 1], a), left)
                d.poly(roles[ring % len(roles)], f"ring {ring}", *kite, turn_deg=a)
            else:
                sky = (foot, left, _polar(radius, low), _polar(radius, high), right)
                d.add(Outline(sky, (0, 0, _arc_bulge(step), 0, 0)), "background", "sky", a)
    _circle_in_square(d, radius)
    return d


_TIPS = ("round", "pointed", "plain")


def plate(p: Params) -> Drawing:
    """Ring of blades round a disc.

    ``blades_in_a_quarter`` of the circle; ``radius`` and ``hub`` (the block is 2 wide);
    ``tip``: ``round`` (half discs), ``pointed``, ``plain`` (one circle);
    ``roles`` of the blades in turn; ``heart`` of the disc.
    """
    n = 4 * p.whole("blades_in_a_quarter", 4, 2, 12)
    radius, hub = p.size("radius", 0.86, 0.3, 1), p.size("hub", 0.22, 0.02, 0.7)
    tip = p.choice("tip", _TIPS, _TIPS[0])
    roles = p.roles("roles", "accent", "second")
    heart = p.roles("heart", "focus")[0]
    step, d = 360 / n, Drawing(2, 2)
    shoulder = radius if tip == "plain" else _shoulder(radius, step, tip)
    start = -step / 2
    for k in range(n):
        a, b = start + k * step, start + (k + 1) * step
        d.add(_blade(hub, shoulder, radius, a, b, tip), roles[k % len(roles)], "blade", k * step)
    half = [_polar(hub, 0), _polar(hub, 180)]
    d.add(Outline(tuple(half), (1.0, 1.0)), heart, "centre")
    if tip == "plain":
        _circle_in_square(d, radius)
    else:
        _ground(d, n, step, shoulder, radius, tip)
    return d


def _shoulder(radius: float, step: float, tip: str) -> float:
    half = math.radians(step / 2)
    part = 1.0 if tip == "round" else 0.8  # a half disc on the chord reaches out by half the chord
    return radius / (math.cos(half) + part * math.sin(half))


def _blade(hub: float, shoulder: float, radius: float, a: float, b: float, tip: str) -> Outline:
    inner, outer = (_polar(hub, b), _polar(hub, a)), (_polar(shoulder, a), _polar(shoulder, b))
    back = -_arc_bulge(b - a)
    if tip == "pointed":
        points: tuple[Point, ...] = (*inner, outer[0], _polar(radius, (a + b) / 2), outer[1])
        return Outline(points, (back, 0.0, 0.0, 0.0, 0.0))
    over = 1.0 if tip == "round" else _arc_bulge(b - a)
    return Outline((*inner, *outer), (back, 0.0, over, 0.0))


def _ground(d: Drawing, n: int, step: float, shoulder: float, radius: float, tip: str) -> None:
    """The square round a scalloped or pointed ring, cut into four at the middles of the sides."""
    first, start, half = len(d.patches), -step / 2, -math.tan(math.pi / 8)
    points: list[Point] = [(1.0, 0.0), (2.0, 0.0), (2.0, 1.0), _polar(radius, 90)]
    bulges = [0.0, 0.0, 0.0, half if tip == "round" else 0.0]
    for k in range(n // 4, 0, -1):  # from the middle of one blade back to that of another
        points.append(_polar(shoulder, start + k * step))
        bulges.append((-1.0 if k > 1 else half) if tip == "round" else 0.0)
        if tip == "pointed" and k > 1:
            points.append(_polar(radius, (start + (k - 1) * step + (start + k * step)) / 2))
            bulges.append(0.0)
    points.append(_polar(radius, 0))
    bulges.append(0.0)
    d.add(Outline(tuple(points), tuple(bulges)), "background", "corner")
    d.around(first)


def fan(p: Params) -> Drawing:
    """Fan in the lower left corner of a square of side 1.

    ``blades``; ``radius``, ``hub``; ``teeth = true`` draws, between the two arcs, sharp points
    that stand on the inner arc, instead of blades; ``roles`` of the blades (or of points and
    the wedges between them); ``heart`` of the hub.
    """
    n = p.whole("blades", 6, 2, 24)
    radius, hub = p.size("radius", 0.8, 0.2, 1), p.size("hub", 0.25, 0.05, 0.9)
    roles = p.roles("roles", "accent", "second")
    d = Drawing(1, 1)
    step = 90 / n
    disc = Outline(((0, 1), _corner(hub, 0), _corner(hub, 90)), (0, _arc_bulge(90), 0))
    d.add(disc, p.roles("heart", "focus")[0], "hub")
    if p.flag("teeth"):
        _teeth(d, n, hub, radius, roles)
    else:
        for k in range(n):
            a, b = k * step, (k + 1) * step
            points = (_corner(hub, b), _corner(hub, a), _corner(radius, a), _corner(radius, b))
            bend = _arc_bulge(step)
            d.add(Outline(points, (-bend, 0, bend, 0)), roles[k % len(roles)], "blade", a)
    ends: list[Point] = [(1, 0)] if radius > 1 - SAME_POINT else [(0, 0), (1, 0), (1, 1)]
    bulges = [0.0] * (len(ends) + 1) + [-_arc_bulge(90)]
    outer = (_corner(radius, 0), *ends, _corner(radius, 90))
    d.add(Outline(outer, tuple(bulges)), "background", "ground")
    return d


def _teeth(d: Drawing, n: int, hub: float, radius: float, roles: list[str]) -> None:
    step = 90 / n
    bend = _arc_bulge(step)
    for k in range(n):
        a, b = k * step, (k + 1) * step
        tip = _corner(radius, (a + b) / 2)
        d.add(Outline((_corner(hub, b), _corner(hub, a), tip), (-bend, 0, 0)), roles[0], "point", a)
    between = roles[1 % len(roles)]
    half = _arc_bulge(step / 2)
    for k in range(n + 1):
        a, low, high = k * step, max(0.0, (k - 0.5) * step), min(90.0, (k + 0.5) * step)
        bulge = half if k in (0, n) else bend
        points = (_corner(hub, a), _corner(radius, low), _corner(radius, high))
        d.add(Outline(points, (0, bulge, 0)), between, "wedge", a)
