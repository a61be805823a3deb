"""A field of equal squares (or bricks) coloured in rings, rows or checks."""

from quiltgeom.geometry.outline import rectangle
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params

_ORDERS = ("diamonds", "frames", "diagonals", "checks")


def draw(p: Params) -> Drawing:
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
