"""Hexagons, rhombs and equilateral triangles of side 1, in rosettes, stars and pyramids."""

import itertools
import math
from collections.abc import Callable

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.geometry.planar import outline_round, planar_map
from quiltgeom.library.notation.drawing import Drawing
from quiltgeom.library.typed_reader import Params
from quiltgeom.model.block import Patch
from quiltgeom.tolerance import SAME_CORNER

_S = math.sqrt(3)
Grid = tuple[int, int]


def sixty(p: Params) -> Drawing:
    """Sixty-degree piecing; the outline is whatever the patches fill.

    ``shape``: ``rosette`` (rings of hexagons), ``star`` (six-pointed, each point ``size`` x
    ``size`` rhombs), ``hexagon star`` (a star with rhombs in its notches), ``seven stars``,
    ``pyramid`` (a triangle of ``size`` rows of triangles),
    ``diamond`` (``size`` x ``size`` hexagons), ``cubes`` (``size``
    rings of tumbling blocks), ``rhombs``, ``cut star``; ``roles`` in turn.
    """
    stars = (_rosette, _star, _hexagon_star, _seven_stars)
    shapes: dict[str, Callable[[int, list[str]], list[Patch]]] = {
        shape.__name__[1:].replace("_", " "): shape
        for shape in (*stars, _pyramid, _diamond, _cubes, _rhombs, _cut_star)
    }
    shape, size = p.choice("shape", tuple(shapes), "rosette"), p.whole("size", 2, 1, 12)
    d = _framed(shapes[shape](size, p.roles("roles", "accent", "background")))
    d.tile = _tile(shape, size)
    return d


def _tile(shape: str, n: int) -> tuple[Point, Point] | None:
    """The vectors by which copies fill the plane, where they do. Rosettes of hexagons (and of
    cubes): one step along the rows of hexagons, turned by 60 degrees for the other."""
    a, b = {
        "rosette": (n + 1, n),
        "diamond": (n, 0),
        "cubes": (n, n - 1),
        "rhombs": (n, 0),
        "hexagon star": (2 * n, 2 * n),
        "cut star": (2, 2),
    }.get(shape, (0, 0))
    if (a, b) == (0, 0):
        return None
    (c, d) = (0, n) if shape in ("diamond", "rhombs") else (-b, a + b)
    if shape == "cubes":
        return _xy(a - b, a + 2 * b), _xy(c - d, c + 2 * d)
    scale = _S if shape in ("rosette", "diamond") else 1.0
    (ux, uy), (vx, vy) = _xy(a, b), _xy(c, d)
    return (scale * ux, scale * uy), (scale * vx, scale * vy)


def _xy(a: float, b: float) -> Point:
    """Triangular grid: a steps to the right, b steps down and to the right (60 degrees)."""
    return (a + b / 2, b * _S / 2)


def _patch(role: str, part: str, *corners: tuple[float, float], turn: float = 0.0) -> Patch:
    return Patch(Outline(tuple(_xy(a, b) for a, b in corners)), role, part, turn)


def _framed(patches: list[Patch]) -> Drawing:
    """Shift the patches to the origin and take the outer edges as the outline."""
    boxes = [p.outline.bounds for p in patches]
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    d = Drawing(x1 - x0, y1 - y0)
    for p in patches:
        d.add(p.outline.moved(-x0, -y0), p.role, p.part, p.turn_deg)
    d.boundary = outline_round(planar_map([p.outline for p in d.patches]), range(len(patches)))
    return d


_SIX: tuple[Grid, ...] = ((1, 0), (0, 1), (-1, 1), (-1, 0), (0, -1), (1, -1))
_SECTORS = tuple(zip(_SIX, (*_SIX[1:], _SIX[0]), strict=True))


def _hexagon(a: float, b: float, role: str, part: str) -> Patch:
    """Regular hexagon round a point of the grid, corners up and down: grid steps 1/3 aside."""
    corners = ((1, 1), (-1, 2), (-2, 1), (-1, -1), (1, -2), (2, -1))
    points = tuple(_xy(a + u / 3, b + v / 3) for u, v in corners)
    return Patch(Outline(points).moved(0, 0, _S), role, part)


def _rosette(rings: int, roles: list[str]) -> list[Patch]:
    out = []
    for a, b in itertools.product(range(-rings, rings + 1), repeat=2):
        ring = max(abs(a), abs(b), abs(a + b))
        if ring <= rings:
            part = f"ring {ring}" if ring else "centre"
            out.append(_hexagon(a, b, roles[ring % len(roles)], part))
    return out


def _diamond(size: int, roles: list[str]) -> list[Patch]:
    middle = (size - 1) / 2
    out = []
    for a, b in itertools.product(range(size), repeat=2):
        ring = math.floor(max(abs(a - middle), abs(b - middle)))
        out.append(_hexagon(a, b, roles[ring % len(roles)], "hexagon"))
    return out


def _rhomb(
    at: Point, i: int, j: int, role: str, part: str, turn: float = 0.0, unit: float = 1
) -> Patch:
    """A rhomb whose sides run from ``at`` in two of the six directions."""
    (ax, ay), (bx, by), (x, y) = _SIX[i % 6], _SIX[j % 6], at
    sides = (x + unit * ax, y + unit * ay), (x + unit * bx, y + unit * by)
    far = (x + unit * (ax + bx), y + unit * (ay + by))
    return _patch(role, part, at, sides[0], far, sides[1], turn=turn)


def _star(size: int, roles: list[str], at: tuple[float, float] = (0, 0)) -> list[Patch]:
    out = []
    for k, ((ax, ay), (bx, by)) in enumerate(_SECTORS):
        for i, j in itertools.product(range(size), repeat=2):
            corner = (at[0] + i * ax + j * bx, at[1] + i * ay + j * by)
            role = roles[(i + j if size > 1 else k) % len(roles)]
            out.append(_rhomb(corner, k, k + 1, role, "diamond", 60.0 * k))
    return out


def _notches(at: tuple[float, float], size: int, role: str) -> list[Patch]:
    """A rhomb in each notch of a star: together they make a hexagon of side twice as long."""
    out = []
    for k in range(6):
        inner = (at[0] + size * _SIX[k][0], at[1] + size * _SIX[k][1])
        out.append(_rhomb(inner, k - 1, k + 1, role, "notch", 60.0 * k, size))
    return out


def _hexagon_star(size: int, roles: list[str]) -> list[Patch]:
    return _star(size, roles[:-1] or roles) + _notches((0, 0), size, roles[-1])


def _seven_stars(size: int, roles: list[str]) -> list[Patch]:
    """A star and six round it, tip to tip; every gap between three stars is filled by rhombs."""
    out = _hexagon_star(1, roles)
    for (ax, ay), (bx, by) in _SECTORS:
        at = (2 * (ax + bx), 2 * (ay + by))
        out += _star(1, roles[:-1] or roles, at)
        out += [q for q in _notches(at, 1, roles[-1]) if not _taken(q, out)]
    return out


def _taken(patch: Patch, others: list[Patch]) -> bool:
    def middle(p: Patch) -> Point:
        xs, ys = zip(*p.outline.points, strict=True)
        return (sum(xs) / len(xs), sum(ys) / len(ys))

    return any(math.dist(middle(patch), middle(q)) < SAME_CORNER for q in others)


def _cut_star(size: int, roles: list[str]) -> list[Patch]:
    """Six-pointed star whose points are halved lengthwise in two tones, rhombs in the notches."""
    out = []
    for k, ((ax, ay), (bx, by)) in enumerate(_SECTORS):
        tip, other = (ax + bx, ay + by), roles[1 % len(roles)]
        out.append(_patch(roles[0], "half point", (0, 0), (ax, ay), tip, turn=60.0 * k))
        out.append(_patch(other, "half point", (0, 0), tip, (bx, by), turn=60.0 * k))
    return out + _notches((0, 0), 1, roles[-1])


def _pyramid(rows: int, roles: list[str]) -> list[Patch]:
    out = []
    for r in range(rows):
        for k in range(r + 1):
            a, b = k - r, r
            out.append(_patch(roles[0], "up", (a, b), (a, b + 1), (a - 1, b + 1)))
            if k < r:
                out.append(_patch(roles[1 % len(roles)], "down", (a, b), (a + 1, b), (a, b + 1)))
    return out


def _cubes(rings: int, roles: list[str]) -> list[Patch]:
    """Tumbling blocks round the middle one: three rhombs to a hexagon, three tones."""
    out = []
    for a, b in itertools.product(range(1 - rings, rings), repeat=2):
        if abs(a + b) < rings:
            for k in range(3):  # each 120 degrees wide at the middle of the hexagon
                role = roles[k % len(roles)]
                out.append(_rhomb((a - b, a + 2 * b), 2 * k, 2 * k + 2, role, "side", 120.0 * k))
    return out


def _rhombs(size: int, roles: list[str]) -> list[Patch]:
    return [
        _rhomb((i, j), 0, 1, roles[(i + 2 * j) % len(roles)], "diamond")
        for j, i in itertools.product(range(size), repeat=2)
    ]
