"""Eight-pointed stars: of diamonds, and edged with a row of small triangles, the feathers."""

import math
from dataclasses import replace

from quiltgeom.geometry.outline import Outline, Point, rectangle
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params
from quiltgeom.model.block import Patch
from quiltgeom.tolerance import SAME_POINT

_H = math.sqrt(0.5)


def diamond_star(p: Params) -> Drawing:
    """Eight-pointed star.

    ``rows``: diamonds along each side of a point; ``roles``: one for each row from the centre
    out (used again from the start if there are fewer); ``turn_by_turn``: every second point
    begins the list one later; ``half``: only half a star, cut along its diagonal, over a triangle
    of that role; ``small_stars``: role of small stars that fill the corner squares,
    and half stars the side triangles.
    """
    n = p.whole("rows", 1, 1, 12)
    roles = p.roles("roles", "accent")
    by_turns = p.flag("turn_by_turn")
    d = _star(n, 1.0, roles, by_turns)
    if p.has("half"):
        return _on_base(d, p.roles("half", "third")[0])
    if not p.has("small_stars"):
        return d
    role = p.roles("small_stars", "second")
    filled = Drawing(d.width, d.height)
    small = _star(1, n / (2 + math.sqrt(2)), role, False)
    filled.patches += small.patches + _half(small, d.width / 2)
    filled.around(0)
    filled.patches += [q for q in d.patches if q.part == "diamond"]
    return filled


def _star(n: int, unit: float, roles: list[str], by_turns: bool) -> Drawing:
    a = n * unit
    side = a * (2 + math.sqrt(2))
    d, c = Drawing(side, side), side / 2
    step = [(math.cos(math.radians(45 * k)), math.sin(math.radians(45 * k))) for k in range(9)]
    for k in range(8):
        (ax, ay), (bx, by) = step[k], step[k + 1]
        for i, j in ((i, j) for i in range(n) for j in range(n)):
            points: list[Point] = [
                (c + unit * (s * ax + t * bx), c + unit * (s * ay + t * by))
                for s, t in ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))
            ]
            role = roles[(i + j + (k % 2 if by_turns else 0)) % len(roles)]
            d.poly(role, "diamond", *points, turn_deg=45.0 * k)
    _ground(d, a)
    return d


def _ground(d: Drawing, point: float) -> None:
    """The squares and triangles round a star whose points have edges of this length."""
    first, side = len(d.patches), d.width
    d.add(rectangle(0, 0, point, point), "background", "corner")
    d.poly("background", "edge", (point, 0), (side - point, 0), (side / 2, point * _H))
    d.around(first)


def _on_base(star: Drawing, role: str) -> Drawing:
    """The half of a star above its diagonal, the other half a plain triangle."""
    n, e = star.width, star.width / (2 + math.sqrt(2))
    centre = (n / 2, n / 2)
    above = [
        replace(q, outline=q.outline.turned(180, centre), turn_deg=(q.turn_deg + 180) % 360)
        for q in star.patches
        if _beyond(q.outline, n)
    ]
    upper = Drawing(n, n, above)
    upper.poly("background", "half corner", (n, 0), (n - e, 0), (n - e, e))
    upper.poly("background", "half corner", (0, n), (0, n - e), (e, n - e))
    upper.poly(role, "base", (n, 0), (n, n), (0, n))
    return upper


def _half(small: Drawing, middle: float) -> list[Patch]:
    """The half of a small star below its diagonal, that diagonal laid along the block's edge."""
    n, e = small.width, small.width / (2 + math.sqrt(2))
    half = Drawing(n, n, [q for q in small.patches if _beyond(q.outline, n)])
    half.poly("background", "half corner", (n, 0), (n, e), (n - e, e))
    half.poly("background", "half corner", (e, n - e), (e, n), (0, n))
    dx, dy = middle - n / 2, -n / 2
    out = []
    for q in half.patches:
        shape = q.outline.turned(45, (n / 2, n / 2)).moved(dx, dy)
        out.append(replace(q, outline=shape, turn_deg=q.turn_deg + 45))
    return out


def _beyond(outline: Outline, n: float) -> bool:
    return all(x + y > n - SAME_POINT for x, y in outline.points)


def feathered_star(p: Params) -> Drawing:
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
    _ground(d, outer)
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
