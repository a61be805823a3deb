"""Blocks that are not squares: laid by two vectors, trimmed straight at the quilt's edges.

A lattice is laid in rows. The rectangle that is kept is the largest inside the rows and columns
asked for: its edges run through the deepest notches of the field, so that nothing has to be
filled in; what sticks out beyond is cut off and leaves part patches.
"""

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import shapely
from shapely.affinity import translate

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.clip import clip_to_box
from quiltgeom.geometry.outline import Outline, Point, split_arcs
from quiltgeom.model.block import Block, Patch
from quiltgeom.tolerance import SAME_CORNER, SAME_POINT

Box = tuple[float, float, float, float]
_FARTHEST_ROW = 12
_STEPS = list(itertools.product(range(-_FARTHEST_ROW, _FARTHEST_ROW + 1), repeat=2))
_NOTCH = 1e-3  # share of a block; what arcs that became polylines leave between them is far less
_WIDEST = 2.5  # a row whose blocks stand farther apart than so many widths is no row to the eye


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy of a block: its row, its place in the row, and how far it is shifted."""

    row: int
    column: int
    dx: float
    dy: float


@dataclass(frozen=True, slots=True)
class Rows:
    """A lattice seen as rows, in grid units.

    Attributes:
        across: from one block of a row to the next, ``(x, y)``; level where the lattice has rows.
        down: from a block to one of the next row.
        left, top: where the straight edges fall, from the corner of the first block's box; None
            where the lattice has no level rows: then one block stands in the middle.
        first: width and height of a field of one row and one column.
        step: width and height that one more column, one more row adds.
    """

    across: Point
    down: Point
    left: float | None
    top: float | None
    first: Point
    step: Point

    def size(self, rows: int, columns: int) -> Point:
        """Width and height of the trimmed field, grid units."""
        (w, h), (across, down) = self.first, self.step
        return w + (columns - 1) * across, h + (rows - 1) * down


def _vectors(block: Block) -> tuple[Point, Point]:
    if block.tile is not None:
        return block.tile
    if block.is_rectangular:
        return (block.width, 0.0), (0.0, block.height)
    raise QuiltValueError(f"block {block.key}: found no tile vectors; accepted: tile = [[...]]")


@lru_cache(maxsize=256)
def lattice_rows(block: Block) -> Rows:
    """The rows in which copies of a block fill the plane.

    Raises:
        QuiltValueError: the block has no tile vectors.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> rows = lattice_rows(load_blocks().get("hexagon"))
    >>> [round(v, 6) for v in rows.size(3, 4)]  # the points above and below are cut off
    [6.062178, 4.0]
    """
    a, b = _vectors(block)
    area = abs(a[0] * b[1] - a[1] * b[0])
    across = _level(a, b)
    if across is None or across > _WIDEST * block.width:
        w, h = block.width, area / block.width
        return Rows(a, b, None, None, (w, h), (w, h))
    down = area / across
    slant = _slant(a, b, down, across)
    left, right, top, bottom = _notches(block, across, down, slant)
    first = (right - left, bottom - top)
    return Rows((across, 0.0), (slant, down), left, top, first, (across, down))


def _level(a: Point, b: Point) -> float | None:
    """The shortest level vector of the lattice."""
    found = [i * a[0] + j * b[0] for i, j in _STEPS if abs(i * a[1] + j * b[1]) < SAME_POINT]
    return min((x for x in found if x > SAME_POINT), default=None)


def _slant(a: Point, b: Point, down: float, across: float) -> float:
    """How far a row stands to the right of the row above it, less than one step."""
    found = [
        _part(i * a[0] + j * b[0], across)
        for i, j in _STEPS
        if abs(i * a[1] + j * b[1] - down) < SAME_POINT
    ]
    if not found:
        raise QuiltValueError(
            f"lattice: found no next row within {_FARTHEST_ROW} steps of {a} and {b}; accepted: "
            "tile vectors to near neighbours"
        )
    return min(found)


def _part(x: float, step: float) -> float:
    """The remainder of ``x``; one that differs from a whole step by noise alone is zero."""
    rest = x % step
    return 0.0 if min(rest, step - rest) < SAME_CORNER * step else rest


def _notches(block: Block, across: float, down: float, slant: float) -> Box:
    """The deepest notches of a field: at the left, at the right (of one column), at the top and
    at the bottom (of one row)."""
    period = next(
        (n for n in range(1, _FARTHEST_ROW + 1) if _part(n * slant, across) == 0), _FARTHEST_ROW
    )
    high, wide = math.ceil(block.height / down) + 1, math.ceil(block.width / across) + 3
    x0, x1 = block.width + across, (wide - 1) * across  # covered in every row
    tall = period * down

    def field(first: int, last: int, columns: range) -> shapely.Geometry:
        shapes = [
            translate(block.boundary.polygon, i * across + _part(r * slant, across), r * down)
            for r in range(first, last + 1)
            for i in columns
        ]
        return shapely.union_all(shapes, grid_size=SAME_POINT)

    def gap(box: Box, covered: shapely.Geometry) -> Box:
        parts = shapely.get_parts(shapely.box(*box).difference(covered))
        kept = [p for p in parts if p.area > _NOTCH * block.boundary.area]
        bounds: tuple[float, ...] = shapely.total_bounds(kept)
        return (bounds[0], bounds[1], bounds[2], bounds[3])

    rows = field(-high, period + high, range(wide + 1))
    left = gap((-across, 0, x0, tall), rows)[2]
    right = gap((x1, 0, (wide + 2) * across + block.width, tall), rows)[0] - wide * across
    below = field(0, high, range(-wide, 2 * wide))
    top = gap((0, -down, across, block.height), below)[3]
    above = field(-high, 0, range(-wide, 2 * wide))
    bottom = gap((0, 0, across, block.height + down), above)[1]
    box = block.boundary.bounds
    xs = [x for x, _ in block.boundary.points] + [box[0], box[2]]
    ys = [y for _, y in block.boundary.points] + [box[1], box[3]]
    marks = [x + _part(r * slant, across) for x in xs for r in range(period)]
    sides = _exact(left, marks, across), _exact(right, marks, across)
    return *sides, _exact(top, ys, down), _exact(bottom, ys, down)


def _exact(found: float, marks: Iterable[float], step: float) -> float:
    """The mark nearest to what was found on the rounding grid, whole steps away as may be; where
    none is near (an arc's own extreme), what was found."""
    near = [m + step * round((found - m) / step) for m in marks]
    best = min(near, key=lambda m: abs(m - found))
    return best if abs(best - found) < SAME_CORNER else float(found)


def copies(block: Block, width: float, height: float) -> list[Copy]:
    """All copies that reach into a rectangle, row by row, each row from the left; they lie as
    :func:`lattice_rows` trims them, or one block in the middle.

    Args:
        width, height: the rectangle, in the block's grid units.
    """
    rows = lattice_rows(block)
    (ax, ay), (bx, by) = rows.across, rows.down
    x0, y0, x1, y1 = block.boundary.bounds
    start = ((width - x0 - x1) / 2, (height - y0 - y1) / 2)
    if rows.left is not None and rows.top is not None:
        start = (-rows.left, -rows.top)
    area = ax * by - ay * bx
    corners = [(x - start[0], y - start[1]) for x in (-x1, width - x0) for y in (-y1, height - y0)]
    js = [(ax * y - ay * x) / area for x, y in corners]
    is_ = [(x * by - y * bx) / area for x, y in corners]
    found = []
    for j in range(math.floor(min(js)), math.ceil(max(js)) + 1):
        # level rows start anew at the left, so that the arrangement does not drift with the slant
        shift = round((j * bx - _part(j * bx, ax)) / ax) if ay == 0 else 0
        for i in range(math.floor(min(is_)), math.ceil(max(is_)) + 1):
            dx, dy = start[0] + i * ax + j * bx, start[1] + i * ay + j * by
            inside = dx + x1 > SAME_POINT and dx + x0 < width - SAME_POINT
            if inside and dy + y1 > SAME_POINT and dy + y0 < height - SAME_POINT:
                found.append(Copy(j, i + shift, dx, dy))
    return sorted(found, key=lambda c: (round(c.dy, 6), round(c.dx, 6)))


def trimmed(block: Block, box: Box) -> Iterator[Patch]:
    """The patches of a block, cut to a box in its own grid units."""
    left, top, right, bottom = box
    for patch in block.patches:
        x0, y0, x1, y1 = patch.outline.bounds
        if x0 >= left and y0 >= top and x1 <= right and y1 <= bottom:
            yield patch
        elif x1 > left and y1 > top and x0 < right and y0 < bottom:
            for part in clip_to_box(patch.outline, box):
                yield replace(patch, outline=part)


@lru_cache(maxsize=256)
def with_neighbours(block: Block) -> Block:
    """The block with its arcs cut where corners of its neighbours in the lattice lie on them, so
    that neighbours share every point of their seams, trimmed or not."""
    if all(p.outline.is_straight for p in block.patches):
        return block
    (ax, ay), (bx, by) = _vectors(block)
    own = [p.outline for p in block.patches]
    around = [
        Outline(tuple((x + i * ax + j * bx, y + i * ay + j * by) for x, y in o.points), o.bulges)
        for i, j in itertools.product((-2, -1, 0, 1, 2), repeat=2)
        if (i, j) != (0, 0)
        for o in own
    ]
    cut = split_arcs(own, around)
    patches = tuple(replace(p, outline=o) for p, o in zip(block.patches, cut, strict=True))
    return block.changed(patches=patches)
