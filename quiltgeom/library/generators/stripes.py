"""Equal bars side by side; geese in a row; bricks."""

import itertools

from quiltgeom.geometry.outline import rectangle
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params

_KINDS = ("bars", "geese", "coins", "bricks")


def draw(p: Params) -> Drawing:
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
