"""The middle of a quilt whose blocks are laid by vectors: hexagons, rhombs, shells, tumblers."""

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.placement import Placement
from quiltgeom.layout.lattice import Box, Copy, copies, lattice_rows, trimmed, with_neighbours
from quiltgeom.layout.placing import PlacedBlock, turned_in_place
from quiltgeom.model.block import Block
from quiltgeom.model.pattern import Cell, Pattern
from quiltgeom.tolerance import SAME_CORNER, SAME_POINT


def _main(pattern: Pattern) -> Block:
    return pattern.tiles[pattern.cells[0][0].tile].block


def lattice_size(pattern: Pattern, rows: int, columns: int) -> tuple[float, float]:
    """Width and height of the trimmed field, in block widths; not above 0 if nothing is left."""
    block = _main(pattern)
    width, height = lattice_rows(block).size(rows, columns)
    return width / block.width, height / block.width


def lattice_field(
    pattern: Pattern, rows: int, columns: int, size: float
) -> tuple[list[PlacedBlock], float, float]:
    """Lay the tiles of a lattice pattern, ``size`` inches wide each, and trim them to a rectangle.

    Raises:
        QuiltValueError: so few rows or columns that trimming leaves nothing.
    """
    block = _main(pattern)
    scale = size / block.width
    width, height = lattice_rows(block).size(rows, columns)
    if width < SAME_CORNER or height < SAME_CORNER:
        raise QuiltValueError(
            f"pattern {pattern.key}: {rows} rows of {columns} leave no straight-edged rectangle; "
            f"accepted: more of them (every count must fill something)"
        )
    placed: list[PlacedBlock] = []
    parts: dict[tuple[object, ...], list[Block]] = {}
    for copy, place in _named(copies(block, width, height)):
        row = pattern.cells[copy.row % len(pattern.cells)]
        cell = row[copy.column % len(row)]
        tile = with_neighbours(pattern.tiles[cell.tile].block)
        box = _own_box(cell, tile, copy, width, height)
        where = Placement(copy.dx * scale, copy.dy * scale, 0, scale)
        if cell.quarter_turns % 4 or cell.mirror:
            x, y = copy.dx + tile.width / 2, copy.dy + tile.height / 2
            where = turned_in_place(tile, cell, x * scale, y * scale, scale)
        if box is None:
            placed.append(PlacedBlock(tile, where, place))
            continue
        key = (cell.tile, *(round(v, 9) for v in box))
        if key not in parts:  # equal part patches are one shape, as whole ones are
            parts[key] = [
                tile.changed(patches=(p,), boundary=p.outline, tile=None)
                for p in trimmed(tile, box)
            ]
        placed += [PlacedBlock(part, where, place) for part in parts[key]]
    return placed, width * scale, height * scale


def _named(found: list[Copy]) -> list[tuple[Copy, str]]:
    """Each copy with its place: rows from the top, blocks of a row from the left, both from 1."""
    first = min((c.row for c in found), default=0)
    counts: dict[int, int] = {}
    out = []
    for c in found:
        counts[c.row] = counts.get(c.row, 0) + 1
        out.append((c, f"block {c.row - first + 1},{counts[c.row]}"))
    return out


def _own_box(cell: Cell, block: Block, copy: Copy, width: float, height: float) -> Box | None:
    """The quilt's rectangle in the block's own grid, no larger than the block; None = all of it."""
    cx, cy = block.width / 2, block.height / 2
    corners = []
    for x, y in ((0.0, 0.0), (width, height)):
        u, v = x - copy.dx - cx, y - copy.dy - cy
        for _ in range(cell.quarter_turns % 4):
            u, v = v, -u
        corners.append(((-u if cell.mirror else u) + cx, v + cy))
    (xa, ya), (xb, yb) = corners
    right, bottom = min(max(xa, xb), block.width), min(max(ya, yb), block.height)
    box = (max(min(xa, xb), 0.0), max(min(ya, yb), 0.0), right, bottom)
    edges = (box[0], box[1], block.width - box[2], block.height - box[3])
    return None if max(edges) < SAME_POINT else box
