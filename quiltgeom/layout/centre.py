"""The middle of a quilt, before its borders: straight, on point, columns, medallion, lattice."""

import itertools
from collections.abc import Iterator

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.placement import Placement
from quiltgeom.layout.lattice_field import lattice_field
from quiltgeom.layout.placing import PlacedBlock, check_pieces, turned_in_place
from quiltgeom.model.block import Block, Patch, plain_block
from quiltgeom.model.pattern import Cell, Column, Pattern, Sashing
from quiltgeom.tolerance import SAME_SHARE

_ROOT2 = 2**0.5
Field = tuple[list[PlacedBlock], float, float]
"""Placed blocks, and the width and height (inches) that they cover."""


def centre_of(pattern: Pattern, rows: int, columns: int, size: float) -> Field:
    """Lay out the middle of ``pattern`` with blocks of ``size`` inches."""
    if pattern.setting == "on-point":
        return _on_point(pattern, rows, columns, size)
    if pattern.setting == "columns":
        return _columns(pattern, rows, columns, size)
    if pattern.setting == "lattice":
        return lattice_field(pattern, rows, columns, size)
    if pattern.setting == "medallion":
        cell = pattern.cells[0][0]
        width, height = columns * size, rows * size
        return [fit_cell(pattern, cell, 0, 0, width, height, "centre")], width, height
    return _straight(pattern, rows, columns, size)


def fit_cell(
    pattern: Pattern, cell: Cell, x: float, y: float, width: float, height: float, place: str
) -> PlacedBlock:
    """A tile placed into a rectangle, turned and mirrored as the cell says.

    A plain tile takes any shape; a pieced block must have the rectangle's proportions.
    """
    block = pattern.tiles[cell.tile].block
    turned = cell.quarter_turns % 2 == 1
    w, h = (height, width) if turned else (width, height)
    if len(block.patches) == 1 and block.key == "plain":
        patch = block.patches[0]
        block = plain_block(w, h, patch.role, patch.part)
    scale = w / block.width
    if abs(block.height * scale - h) > SAME_SHARE * max(w, h):
        raise QuiltValueError(
            f"pattern {pattern.key}: tile {cell.tile}: proportions must fit the cell: found block "
            f"{block.width:g} x {block.height:g} in a cell {w:g} x {h:g} inches"
        )
    where = turned_in_place(block, cell, x + width / 2, y + height / 2, scale)
    return PlacedBlock(block, where, place)


def _pick(cells: tuple[tuple[Cell, ...], ...], r: int, c: int) -> Cell:
    row = cells[r % len(cells)]
    return row[c % len(row)]


def _cell_at(pattern: Pattern, r: int, c: int, rows: int, columns: int) -> Cell:
    """The cell of row r, column c; a folded arrangement is mirrored outward from the middle."""
    if not pattern.fold:
        return _pick(pattern.cells, r, c)
    r2, c2 = 2 * r - rows + 1, 2 * c - columns + 1  # twice the distance from the middle, signed
    cell = _pick(pattern.cells, abs(r2) // 2, abs(c2) // 2)
    turns, mirror = cell.quarter_turns, cell.mirror
    if c2 < 0:  # mirrored left-right: the turn runs the other way round
        turns, mirror = -turns, not mirror
    if r2 < 0:  # mirrored top-bottom = mirrored left-right and turned half round
        turns, mirror = 2 - turns, not mirror
    return Cell(cell.tile, turns % 4, mirror)


def _straight(pattern: Pattern, rows: int, columns: int, size: float) -> Field:
    sash = pattern.sashing
    gap = sash.width * size if sash else 0.0
    edge = gap if sash and sash.outer else 0.0
    placed = []
    for r, c in itertools.product(range(rows), range(columns)):
        cell = _cell_at(pattern, r, c, rows, columns)
        x, y = edge + c * (size + gap), edge + r * (size + gap)
        placed.append(fit_cell(pattern, cell, x, y, size, size, f"block {r + 1},{c + 1}"))
    width = columns * size + (columns - 1) * gap + 2 * edge
    height = rows * size + (rows - 1) * gap + 2 * edge
    if sash:
        placed += _sashing(sash, rows, columns, size, gap, width)
    return placed, width, height


def _sashing(
    sash: Sashing, rows: int, columns: int, size: float, gap: float, width: float
) -> Iterator[PlacedBlock]:
    """Strips between blocks; the rows run through where there are no cornerstones."""
    edge = gap if sash.outer else 0.0
    lines_x, lines_y = (
        [k * (size + gap) for k in range(n + 1)]
        if sash.outer
        else [k * (size + gap) - gap for k in range(1, n)]
        for n in (columns, rows)
    )
    for r in range(rows):
        for x in lines_x:
            yield _strip(x, edge + r * (size + gap), gap, size, sash.role, "sashing")
    for y in lines_y:
        if not sash.cornerstone:
            yield _strip(0, y, width, gap, sash.role, "sashing")
            continue
        for c in range(columns):
            yield _strip(edge + c * (size + gap), y, size, gap, sash.role, "sashing")
        for x in lines_x:
            yield _strip(x, y, gap, gap, sash.cornerstone, "cornerstone")


def _strip(x: float, y: float, width: float, height: float, role: str, place: str) -> PlacedBlock:
    return PlacedBlock(plain_block(width, height, role, place), Placement(x, y), place)


def _on_point(pattern: Pattern, rows: int, columns: int, size: float) -> Field:
    """Main blocks in ``rows`` x ``columns`` standing on a corner, others between them."""
    diagonal = size * _ROOT2
    placed = []
    for r, c in itertools.product(range(rows), range(columns)):
        cell = _cell_at(pattern, r, c, rows, columns)
        placed.append(_tilted(pattern, cell, c + 0.5, r + 0.5, size, f"block {r + 1},{c + 1}"))
    for r, c in itertools.product(range(rows - 1), range(columns - 1)):
        cell, place = _pick(pattern.inner or pattern.cells, r, c), f"inner block {r + 1},{c + 1}"
        placed.append(_tilted(pattern, cell, c + 1.0, r + 1.0, size, place))
    placed += _setting_triangles(pattern, rows, columns, diagonal)
    return placed, columns * diagonal, rows * diagonal


def _tilted(
    pattern: Pattern, cell: Cell, cx: float, cy: float, size: float, place: str
) -> PlacedBlock:
    """A tile turned 45 degrees clockwise, centred at (cx, cy) diagonals."""
    diagonal = size * _ROOT2
    flat = fit_cell(pattern, cell, -size / 2, -size / 2, size, size, place)
    tilt = Placement(cx * diagonal, cy * diagonal, turn=3)
    return PlacedBlock(flat.block, flat.placement.then(tilt), place)


def _setting_triangles(
    pattern: Pattern, rows: int, columns: int, diagonal: float
) -> Iterator[PlacedBlock]:
    """Side triangles (long edge on the quilt's edge) and corner triangles (right angle there).

    All of these edges lie along the threads, or the quilt would stretch: cloth that is to run along
    strips runs along the long edge of a side triangle, but not along that of a corner."""
    side = _triangle("side", ((-0.5, 0), (0.5, 0), (0, 0.5)), pattern.side_role)
    corner = _triangle("corner", ((0, 0), (0.5, 0), (0, 0.5)), pattern.corner_role)
    w, h = columns * diagonal, rows * diagonal
    lie = "upright" if pattern.roles[pattern.corner_role].lie == "strip" else ""
    for c in range(1, columns):
        yield PlacedBlock(side, Placement(c * diagonal, 0, 0, diagonal), "side triangle")
        yield PlacedBlock(side, Placement(c * diagonal, h, 12, diagonal), "side triangle")
    for r in range(1, rows):
        yield PlacedBlock(side, Placement(0, r * diagonal, 18, diagonal), "side triangle")
        yield PlacedBlock(side, Placement(w, r * diagonal, 6, diagonal), "side triangle")
    for x, y, turn in ((0.0, 0.0, 0), (w, 0.0, 6), (w, h, 12), (0.0, h, 18)):
        yield PlacedBlock(corner, Placement(x, y, turn, diagonal), "corner triangle", lie)


def _triangle(part: str, points: tuple[tuple[float, float], ...], role: str) -> Block:
    outline = Outline(points)
    patches, size = (Patch(outline, role, part),), {"width": 1.0, "height": 1.0}
    named = {"key": "setting-triangle", "name": f"{part} triangle"}
    return Block.sound(**named, **size, patches=patches, boundary=outline)


def pieces_in(pattern: Pattern, stack: Column, rows: int) -> float:
    """How many pieces fill a column; a layout is possible if that is a whole number, not 0."""
    missing = 0.0 if stack.spacer else pattern.spacer
    return (rows - missing) / (stack.height + stack.spacer)


def _columns(pattern: Pattern, rows: int, columns: int, size: float) -> Field:
    """Columns side by side, each a stack of one tile; sashing (if any) between the columns."""
    gap = pattern.sashing.width * size if pattern.sashing else 0.0
    height = (rows - pattern.spacer) * size
    placed: list[PlacedBlock] = []
    x = 0.0
    for c in range(columns):
        stack = pattern.stacks[c % len(pattern.stacks)]
        w, h = stack.width * size, stack.height * size
        found = pieces_in(pattern, stack, rows)
        count = round(found)
        if count < 1 or abs(count - found) > SAME_SHARE * count:
            raise QuiltValueError(
                f"pattern {pattern.key}: column {c + 1}: pieces of {stack.height:g} block must "
                f"fill {rows} rows exactly: found {found:g} pieces"
            )
        check_pieces(len(placed) + count, f"column {c + 1}")
        if c and pattern.sashing:
            placed.append(_strip(x, 0, gap, height, pattern.sashing.role, "sashing"))
            x += gap
        step = h + stack.spacer * size
        placed += [
            fit_cell(pattern, stack.cell, x, k * step, w, h, f"column {c + 1}, piece {k + 1}")
            for k in range(count)
        ]
        if stack.spacer:
            high, role = stack.spacer * size, stack.spacer_role
            strips = (_strip(x, k * step - high, w, high, role, "spacer") for k in range(1, count))
            placed += strips
        x += w
    return placed, x, height
