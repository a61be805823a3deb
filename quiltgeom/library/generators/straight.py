"""Straight-edged families: cabins, pineapples, octagons, trees, strips, squares in rings."""

import itertools
import math

from quiltgeom.geometry.outline import Point, rectangle
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params

_STYLES = ("spiral", "steps", "frames", "half")


def log_cabin(p: Params) -> Drawing:
    """Log cabin.

    ``rounds``; ``centre`` and ``log`` in grid units; ``style``: ``spiral`` (two light logs, then
    two dark), ``steps`` (opposite pairs), ``frames`` (whole rounds by turns), ``half`` (logs on two
    sides only); ``cornerstones`` puts small squares on one diagonal, where the logs of
    a tone meet; ``roles``
    are those of the logs, ``heart`` that of the centre.
    """
    rounds, log = p.whole("rounds", 3, 1, 12), p.size("log", 1, 0.05, 10)
    centre = p.size("centre", 1, 0.05, 20)
    style = p.choice("style", _STYLES, _STYLES[0])
    roles = p.roles("roles", "background", "accent")
    heart = p.roles("heart", "focus")[0]
    stones = p.roles("cornerstones", "") if p.has("cornerstones") else []
    side = centre + (log * rounds if style == "half" else 2 * log * rounds)
    d = Drawing(side, side)
    start = 0.0 if style == "half" else log * rounds
    d.add(rectangle(start, start, centre, centre), heart, "centre")
    for k in range(rounds):
        if style == "half":
            inner, role = centre + k * log, roles[k % len(roles)]
            d.add(rectangle(inner, 0, log, inner), role, "log", 180)
            d.add(rectangle(0, inner, inner + log, log), role, "log", 270)
        elif style == "steps":
            _pairs(d, start - k * log, centre + 2 * k * log, log, roles)
        else:
            pair = [roles[k % len(roles)]] * 2 if style == "frames" else (roles * 2)[:2]
            _spiral(d, start - k * log, centre + 2 * k * log, log, pair, stones)
    return d


def _spiral(
    d: Drawing, at: float, inner: float, log: float, roles: list[str], stones: list[str]
) -> None:
    """Left and top in the first role, right and bottom in the second, each log over the end of the
    one before it, so that every seam is straight."""
    low, end = at - log, at + inner
    light, dark = roles
    if stones:
        d.add(rectangle(low, at, log, inner + log), light, "log")
        d.add(rectangle(at, low, inner, log), light, "log", 90)
        d.add(rectangle(end, low, log, inner + log), dark, "log", 180)
        d.add(rectangle(at, end, inner, log), dark, "log", 270)
        for corner in (low, end):
            d.add(rectangle(corner, corner, log, log), stones[0], "cornerstone")
        return
    d.add(rectangle(low, at, log, inner), light, "log")
    d.add(rectangle(low, low, inner + log, log), light, "log", 90)
    d.add(rectangle(end, low, log, inner + log), dark, "log", 180)
    d.add(rectangle(low, end, inner + 2 * log, log), dark, "log", 270)


def _pairs(d: Drawing, at: float, inner: float, log: float, roles: list[str]) -> None:
    low, end = at - log, at + inner
    for x, turn in ((low, 0), (end, 180)):
        d.add(rectangle(x, at, log, inner), roles[0], "log", turn)
    for y, turn in ((low, 90), (end, 270)):
        d.add(rectangle(low, y, inner + 2 * log, log), roles[1 % len(roles)], "log", turn)


def pineapple(p: Params) -> Drawing:
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
    first = len(d.patches)
    rings = [(1.0 + k, math.sqrt(2) + k) for k in range(n + 1)]  # half width: straight, slanted
    for k in range(n):
        (a0, b0), (a1, b1) = rings[k], rings[k + 1]
        w0, w1 = b0 * math.sqrt(2) - a0, b0 * math.sqrt(2) - a1
        d.poly(roles[0], "side log", *_at(h, (-w0, -a0), (-w1, -a1), (w1, -a1), (w0, -a0)))
        v1 = b1 * math.sqrt(2) - a1
        d.poly(
            roles[1 % len(roles)], "corner log", *_at(h, (a1, -w1), (w1, -a1), (v1, -a1), (a1, -v1))
        )
    a, b = rings[-1]
    v = b * math.sqrt(2) - a
    d.poly(last, "corner", *_at(h, (v, -a), (a, -a), (a, -v)))
    d.around(first)
    return d


def _at(h: float, *points: Point) -> list[Point]:
    return [(h + x, h + y) for x, y in points]


def wedges(p: Params) -> Drawing:
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
    first = len(d.patches)
    d.poly("background", "corner", (0, 0), (1 - t, 0), (0, 1 - t))
    d.around(first)
    return d


def tree(p: Params) -> Drawing:
    """Tree that grows towards the upper left corner; set on point it stands upright.

    ``rows`` of leaves along the two upper sides; ``trunk``: side of the square in which the trunk
    stands; ``foot``: a leaf on either side of the trunk; ``roles`` of leaves and of
    trunk.
    """
    rows, trunk = p.whole("rows", 3, 1, 8), p.whole("trunk", 3, 2, 8)
    foot = p.flag("foot")
    roles = p.roles("roles", "accent", "second")
    leaf, wood = roles[0], roles[-1]
    n = rows + trunk
    d = Drawing(n, n)
    for j in range(n):
        for i in range(n):
            if min(i, j) >= rows:
                continue
            if i == j:  # squares up the middle: light at the top, leaf further down
                d.add(rectangle(i, j, 1, 1), "background" if i == 0 else leaf, "middle")
                continue
            d.poly(leaf, "leaf", (i + 1, j), (i + 1, j + 1), (i, j + 1))
            d.poly("background", "between", (i, j), (i + 1, j), (i, j + 1))
    _trunk(d, rows, trunk, wood, leaf if foot else "")
    return d


def _trunk(d: Drawing, at: int, side: int, wood: str, foot: str) -> None:
    """A bar of half a unit on either side of the diagonal, ground beside it, a root triangle."""
    a, b, w = float(at), float(at + side), 0.5
    root = b - 1.0  # the root triangle has legs of one unit; the bar meets its long edge between
    near, far = b - (1 - w) / 2, b - (1 + w) / 2
    d.poly(wood, "trunk", (a, a), (a + w, a), (near, far), (far, near), (a, a + w))
    d.poly(wood, "root", (b, root), (b, b), (root, b))
    top: list[Point] = [(b, a)]
    if foot:  # a leaf in the outer corner of the ground on either side
        d.poly(foot, "foot", (b - 1, a), (b, a), (b, a + 1))
        d.poly(foot, "foot", (a, b - 1), (a + 1, b), (a, b))
        top = [(b - 1, a), (b, a + 1)]
    ground: list[Point] = [(a + w, a), *top, (b, root), (near, far)]
    d.poly("background", "beside", *ground)
    d.poly("background", "beside", *((y, x) for x, y in ground))


_KINDS = ("bars", "geese", "coins", "bricks")


def stripes(p: Params) -> Drawing:
    """Strips.

    ``kind``: ``bars`` (full-length upright strips), ``geese`` (a column of geese pointing up, two
    to one), ``coins`` (columns of stacked bars between plain strips), ``bricks`` (every second
    row moved on by half a brick; the cut bricks at the ends are half bricks); ``count``;
    ``columns`` for coins and bricks; ``roles`` in turn.
    """
    kind = p.choice("kind", _KINDS, _KINDS[0])
    count, columns = p.whole("count", 4, 1, 40), p.whole("columns", 2, 1, 20)
    roles = p.roles("roles", "accent", "background")
    if kind == "bars":
        d = Drawing(count, count)
        for k in range(count):
            d.add(rectangle(k, 0, 1, count), roles[k % len(roles)], "bar")
        return d
    if kind == "geese":
        d = Drawing(2, count)
        for k in range(count):
            d.poly(roles[0], "goose", (0, k + 1), (1, k), (2, k + 1))
            for x, y in ((0, 1), (2, 1)):
                d.poly(roles[-1], "sky", (x, k), (y, k), (x, k + 1))
        return d
    return _coins(count, columns, roles) if kind == "coins" else _bricks(count, columns, roles)


def _coins(count: int, columns: int, roles: list[str]) -> Drawing:
    """Columns two units wide of bars one unit high, plain strips of one unit between them."""
    d = Drawing(3 * columns - 1, count)
    for c in range(columns):
        for k in range(count):
            d.add(rectangle(3 * c, k, 2, 1), roles[(k + 2 * c) % len(roles)], "coin")
        if c:
            d.add(rectangle(3 * c - 1, 0, 1, count), "background", "strip")
    return d


def _bricks(count: int, columns: int, roles: list[str]) -> Drawing:
    d = Drawing(2 * columns, count)
    for k in range(count):
        ends = [*([0] * (k % 2)), *range(k % 2, 2 * columns, 2), 2 * columns]
        for i, (a, b) in enumerate(itertools.pairwise(ends)):
            part = "brick" if b - a == 2 else "half brick"
            d.add(rectangle(a, k, b - a, 1), roles[(i + 2 * k) % len(roles)], part)
    return d


_ORDERS = ("diamonds", "frames", "diagonals", "checks")


def rings(p: Params) -> Drawing:
    """Squares coloured by their distance from the centre.

    ``squares``: how many along each side; ``order``: ``diamonds`` (steps across and down),
    ``frames`` (the larger of the two), ``diagonals`` (column + row), ``checks``; ``roles`` in
    turn from the centre (or the top left corner) out.
    """
    n = p.whole("squares", 7, 1, 40)
    order = p.choice("order", _ORDERS, _ORDERS[0])
    roles = p.roles("roles", "accent", "background", "second", "third")
    d = Drawing(n, n)
    for j in range(n):
        for i in range(n):
            a, b = abs(2 * i - n + 1) // 2, abs(2 * j - n + 1) // 2
            k = {"diamonds": a + b, "frames": max(a, b), "diagonals": i + j, "checks": (i + j) % 2}[
                order
            ]
            part = "centre" if 2 * i == 2 * j == n - 1 else "square"
            d.add(rectangle(i, j, 1, 1), roles[k % len(roles)], part)
    return d
