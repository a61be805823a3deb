"""Borders: butted, mitred, with corner squares, or pieced from units."""

from collections.abc import Iterator
from dataclasses import replace

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.geometry.placement import Placement
from quiltgeom.layout.centre import Field, fit_cell
from quiltgeom.layout.placing import PlacedBlock, check_pieces
from quiltgeom.model.block import Block, Patch, plain_block
from quiltgeom.model.pattern import Border, Cell, Pattern
from quiltgeom.tolerance import SAME_SHARE


def add_border(pattern: Pattern, border: Border, number: int, field: Field, size: float) -> Field:
    """Put a border round a field; everything inside moves by the border's width."""
    placed, width, height = field
    b = border.width * size
    inside = [replace(p, placement=p.placement.then(Placement(b, b))) for p in placed]
    name = f"border {number}"
    if border.unit:
        ring = list(_pieced(pattern, border, name, width, height, size))
    elif border.corners == "mitred":
        ring = list(_mitred(border, name, width, height, b))
    else:
        ring = list(_straight(border, name, width, height, b))
    return inside + ring, width + 2 * b, height + 2 * b


def _piece(
    border: Border, x: float, y: float, w: float, h: float, place: str, role: str = ""
) -> PlacedBlock:
    block = plain_block(w, h, role or border.role, "border")
    return PlacedBlock(block, Placement(x, y), place, border.lie)


def _corners(width: float, height: float, b: float) -> tuple[Point, ...]:
    return (0.0, 0.0), (b + width, 0.0), (b + width, b + height), (0.0, b + height)


def _straight(
    border: Border, name: str, width: float, height: float, b: float
) -> Iterator[PlacedBlock]:
    """Sides first; then top and bottom across them (butted) or between corner squares."""
    yield _piece(border, 0, b, b, height, f"{name} left")
    yield _piece(border, b + width, b, b, height, f"{name} right")
    squares = border.corners == "squares"
    x, w = (b, width) if squares else (0.0, width + 2 * b)
    yield _piece(border, x, 0, w, b, f"{name} top")
    yield _piece(border, x, b + height, w, b, f"{name} bottom")
    if squares:
        for cx, cy in _corners(width, height, b):
            yield _piece(border, cx, cy, b, b, f"{name} corner", border.corner_role)


def _mitred(
    border: Border, name: str, width: float, height: float, b: float
) -> Iterator[PlacedBlock]:
    w, h = width + 2 * b, height + 2 * b
    sides = {
        "top": ((0, 0), (w, 0), (w - b, b), (b, b)),
        "right": ((w, 0), (w, h), (w - b, h - b), (w - b, b)),
        "bottom": ((w, h), (0, h), (b, h - b), (w - b, h - b)),
        "left": ((0, h), (0, 0), (b, b), (b, h - b)),
    }
    for side, corners in sides.items():
        outline = Outline(corners)
        patches, place = (Patch(outline, border.role, "border"),), f"{name} {side}"
        own = {"key": "mitred-border", "name": place, "width": w, "height": h}
        block = Block.sound(**own, patches=patches, boundary=outline)
        yield PlacedBlock(block, Placement(), place, border.lie)


def _pieced(
    pattern: Pattern, border: Border, name: str, width: float, height: float, size: float
) -> Iterator[PlacedBlock]:
    """Units along all four sides, their top edges outward, and a square unit in each corner."""
    b, length = border.width * size, border.unit_length * size
    patches = len(pattern.tiles[border.unit].block.patches)
    sides = (("top", width, 0), ("right", height, 1), ("bottom", width, 2), ("left", height, 3))
    for side, run, turns in sides:
        count = round(run / length)
        if count < 1 or abs(count * length - run) > SAME_SHARE * run:
            raise QuiltValueError(
                f"pattern {pattern.key}: {name}: units must fill each side exactly: found "
                f"{run / length:.4g} units of {length:g} in along a side of {run:g} in"
            )
        check_pieces(4 * count * patches, name)
        for k in range(count):
            at = b + k * length
            box = {
                "top": (at, 0.0, length, b),
                "bottom": (at, b + height, length, b),
                "left": (0.0, at, b, length),
                "right": (b + width, at, b, length),
            }[side]
            yield fit_cell(pattern, Cell(border.unit, turns), *box, f"{name} {side}")
    for turns, (x, y) in enumerate(_corners(width, height, b)):
        if border.corner_unit:
            yield fit_cell(pattern, Cell(border.corner_unit, turns), x, y, b, b, f"{name} corner")
        else:
            yield _piece(border, x, y, b, b, f"{name} corner", border.corner_role)
