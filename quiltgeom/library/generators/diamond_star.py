"""Eight-pointed stars whose points are n x n diamonds."""

import math
from dataclasses import replace

from quiltgeom.geometry.outline import Outline, Point, rectangle
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params
from quiltgeom.model.block import Patch

_H = math.sqrt(0.5)


def draw(p: Params) -> Drawing:
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
    filled.around(4)
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
    corners = Drawing(side, side)
    corners.add(rectangle(0, 0, a, a), "background", "corner")
    corners.poly("background", "edge", (a, 0), (side - a, 0), (c, a * _H))
    corners.around(4)
    d.patches += corners.patches
    return d


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
        shape = q.outline.turned(45, (n / 2, n / 2))
        moved = Outline(tuple((x + dx, y + dy) for x, y in shape.points))
        out.append(replace(q, outline=moved, turn_deg=q.turn_deg + 45))
    return out


def _beyond(outline: Outline, n: float) -> bool:
    return all(x + y > n - 1e-9 for x, y in outline.points)
