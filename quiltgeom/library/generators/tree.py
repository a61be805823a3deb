"""Trees on the diagonal: rows of leaves on either side of a trunk."""

from quiltgeom.geometry.outline import Point, rectangle
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params


def draw(p: Params) -> Drawing:
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
