"""Fans: a quarter disc of blades in the corner of a square; also a corner of sharp points."""

import math

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.library.generators.compass import arc_bulge
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params


def draw(p: Params) -> Drawing:
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
    disc = Outline(((0, 1), _at(hub, 0), _at(hub, 90)), (0, arc_bulge(90), 0))
    d.add(disc, p.roles("heart", "focus")[0], "hub")
    if p.flag("teeth"):
        _teeth(d, n, hub, radius, roles)
    else:
        for k in range(n):
            a, b = k * step, (k + 1) * step
            points = (_at(hub, b), _at(hub, a), _at(radius, a), _at(radius, b))
            bend = arc_bulge(step)
            d.add(Outline(points, (-bend, 0, bend, 0)), roles[k % len(roles)], "blade", a)
    ends: list[Point] = [(1, 0)] if radius > 1 - 1e-9 else [(0, 0), (1, 0), (1, 1)]
    bulges = [0.0] * (len(ends) + 1) + [-arc_bulge(90)]
    outer = (_at(radius, 0), *ends, _at(radius, 90))
    d.add(Outline(outer, tuple(bulges)), "background", "ground")
    return d


def _teeth(d: Drawing, n: int, hub: float, radius: float, roles: list[str]) -> None:
    step = 90 / n
    bend = arc_bulge(step)
    for k in range(n):
        a, b = k * step, (k + 1) * step
        tip = _at(radius, (a + b) / 2)
        d.add(Outline((_at(hub, b), _at(hub, a), tip), (-bend, 0, 0)), roles[0], "point", a)
    between = roles[1 % len(roles)]
    half = arc_bulge(step / 2)
    for k in range(n + 1):
        a, low, high = k * step, max(0.0, (k - 0.5) * step), min(90.0, (k + 0.5) * step)
        bulge = half if k in (0, n) else bend
        points = (_at(hub, a), _at(radius, low), _at(radius, high))
        d.add(Outline(points, (0, bulge, 0)), between, "wedge", a)


def _at(radius: float, degrees: float) -> Point:
    """Direction clockwise from straight up, about the lower left corner."""
    a = math.radians(degrees)
    return (radius * math.sin(a), 1 - radius * math.cos(a))
