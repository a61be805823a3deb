"""Plates and sunbursts: blades round a disc, on a square ground."""

import math

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.library.generators.compass import arc_bulge, circle_in_square, polar
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params

_TIPS = ("round", "pointed", "plain")


def draw(p: Params) -> Drawing:
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
    half = [polar(hub, 0), polar(hub, 180)]
    d.add(Outline(tuple(half), (1.0, 1.0)), heart, "centre")
    if tip == "plain":
        circle_in_square(d, radius)
    else:
        _ground(d, n, step, shoulder, radius, tip)
    return d


def _shoulder(radius: float, step: float, tip: str) -> float:
    half = math.radians(step / 2)
    part = 1.0 if tip == "round" else 0.8  # a half disc on the chord reaches out by half the chord
    return radius / (math.cos(half) + part * math.sin(half))


def _blade(hub: float, shoulder: float, radius: float, a: float, b: float, tip: str) -> Outline:
    inner, outer = (polar(hub, b), polar(hub, a)), (polar(shoulder, a), polar(shoulder, b))
    back = -arc_bulge(b - a)
    if tip == "pointed":
        points: tuple[Point, ...] = (*inner, outer[0], polar(radius, (a + b) / 2), outer[1])
        return Outline(points, (back, 0.0, 0.0, 0.0, 0.0))
    over = 1.0 if tip == "round" else arc_bulge(b - a)
    return Outline((*inner, *outer), (back, 0.0, over, 0.0))


def _ground(d: Drawing, n: int, step: float, shoulder: float, radius: float, tip: str) -> None:
    """The square round a scalloped or pointed ring, cut into four at the middles of the sides."""
    quarter, start, half = Drawing(2, 2), -step / 2, -math.tan(math.pi / 8)
    points: list[Point] = [(1.0, 0.0), (2.0, 0.0), (2.0, 1.0), polar(radius, 90)]
    bulges = [0.0, 0.0, 0.0, half if tip == "round" else 0.0]
    for k in range(n // 4, 0, -1):  # from the middle of one blade back to that of another
        points.append(polar(shoulder, start + k * step))
        bulges.append((-1.0 if k > 1 else half) if tip == "round" else 0.0)
        if tip == "pointed" and k > 1:
            points.append(polar(radius, (start + (k - 1) * step + (start + k * step)) / 2))
            bulges.append(0.0)
    points.append(polar(radius, 0))
    bulges.append(0.0)
    quarter.add(Outline(tuple(points), tuple(bulges)), "background", "corner")
    quarter.around(4)
    d.patches += quarter.patches
