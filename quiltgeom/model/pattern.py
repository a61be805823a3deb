"""A pattern: how blocks, strips and borders make a whole quilt, as data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from quiltgeom.checks import Checks, as_tuples, brief
from quiltgeom.geometry.symmetry import turns_onto_itself
from quiltgeom.model.block import Block

__all__ = [
    "CORNERS",
    "CUTS",
    "LIES",
    "SETTINGS",
    "Border",
    "Cell",
    "Column",
    "CutKind",
    "Lie",
    "Pattern",
    "RoleSpec",
    "Sashing",
    "Setting",
    "Tile",
]

CutKind = Literal["independent", "strip"]
"""``independent``: each patch is cut from the cloth by itself; ``strip``: sliced from an assembly
of strips, so that nobody chooses what it shows."""

Lie = Literal["upright", "block", "unit", "strip"]
"""How a directional print lies: ``upright`` in the quilt; turning with the ``block``; turning with
the ``unit`` inside the block; along the ``strip`` (strips are cut across the cloth, so the print
stands square to the strip's length)."""

Setting = Literal["straight", "on-point", "columns", "medallion", "lattice"]
Corners = Literal["butted", "mitred", "squares"]

CUTS = ("independent", "strip")
LIES = ("upright", "block", "unit", "strip")
SETTINGS = ("straight", "on-point", "columns", "medallion", "lattice")
CORNERS = ("butted", "mitred", "squares")
_MOST = 1000.0
"""Block units: no part of a pattern is so many blocks long."""


@dataclass(frozen=True, slots=True)
class RoleSpec:
    """What a role asks of its fabric.

    Attributes:
        name: e.g. ``"focus"``.
        cut: whether its patches are cut independently or come out of a strip assembly.
        lie: how a directional print lies in them.
        main: whether this role's patches are the pattern's main patches.
    """

    name: str
    cut: CutKind = "independent"
    lie: Lie = "upright"
    main: bool = False

    def __post_init__(self) -> None:
        check = Checks("role")
        check.text("name", self.name)
        check.choice("cut", self.cut, CUTS)
        check.choice("lie", self.lie, LIES)
        check.flag("main", self.main)
        check.done()


@dataclass(frozen=True, slots=True)
class Tile:
    """A block with its roles already those of the pattern; the filling of a cell."""

    block: Block
    label: str = ""

    def __post_init__(self) -> None:
        check = Checks("tile")
        check.kind("block", self.block, Block, "a Block")
        check.text("label", self.label, empty=True)
        check.done()


@dataclass(frozen=True, slots=True)
class Cell:
    """Which tile goes into a place of the arrangement, how many quarter turns, mirrored or not."""

    tile: str
    quarter_turns: int = 0
    mirror: bool = False

    def __post_init__(self) -> None:
        check = Checks("cell")
        check.text("tile", self.tile)
        check.whole("quarter turns", self.quarter_turns, 0, 3)
        check.flag("mirror", self.mirror)
        check.done()

    def __str__(self) -> str:
        return f"{self.tile}{self.quarter_turns or ''}{'m' * self.mirror}"


@dataclass(frozen=True, slots=True)
class Column:
    """A column that stacks one tile: sizes in block units, repeated to the quilt's height.

    Attributes:
        spacer: height of the strips between its pieces, 0 if they meet.
        spacer_role: fabric of these strips.
    """

    cell: Cell
    width: float
    height: float
    spacer: float = 0.0
    spacer_role: str = ""

    def __post_init__(self) -> None:
        check = Checks("column")
        check.kind("cell", self.cell, Cell, "a Cell")
        check.number("width", self.width, 0, _MOST, above=True)
        check.number("height", self.height, 0, _MOST, above=True)
        spaced = check.number("spacer", self.spacer, 0, _MOST) and self.spacer > 0
        check.text("spacer_role", self.spacer_role, empty=not spaced)
        check.done()


@dataclass(frozen=True, slots=True)
class Sashing:
    """Strips between the blocks: width in block units; cornerstones if a role is named.

    Attributes:
        outer: whether sashing also runs round the outside.
    """

    width: float
    role: str
    cornerstone: str = ""
    outer: bool = False

    def __post_init__(self) -> None:
        check = Checks("sashing")
        check.number("width", self.width, 0, _MOST, above=True)
        check.text("role", self.role)
        check.text("cornerstone", self.cornerstone, empty=True)
        check.flag("outer", self.outer)
        check.done()


@dataclass(frozen=True, slots=True)
class Border:
    """A border: widths in block units.

    Attributes:
        width: depth of the border.
        role: fabric of a plain border.
        corners: ``butted`` (sides first, then top and bottom over them), ``mitred`` or ``squares``.
        corner_role: fabric of the corner squares.
        unit: tile that is repeated along a pieced border, its top edge outward ("" if plain).
        unit_length: length of one unit along the side.
        corner_unit: tile in the corners of a pieced border ("" = plain square of ``corner_role``).
        lie: overrides the role's lie ("" = the role's own).
    """

    width: float
    role: str = ""
    corners: Corners = "butted"
    corner_role: str = ""
    unit: str = ""
    unit_length: float = 0.0
    corner_unit: str = ""
    lie: Lie | Literal[""] = ""

    def __post_init__(self) -> None:
        check = Checks("border")
        check.number("width", self.width, 0, _MOST, above=True)
        check.choice("corners", self.corners, CORNERS)
        if self.lie != "":
            check.choice("lie", self.lie, LIES)
        check.text("unit", self.unit, empty=True)
        check.text("corner_unit", self.corner_unit, empty=True)
        if self.unit:
            check.that(self.role == "", "role of a pieced border", self.role, "role, or unit")
            check.number("unit_length", self.unit_length, 0, _MOST, above=True)
        else:
            check.text("role", self.role)
            check.number("unit_length of a plain border", self.unit_length, 0, 0)
        squares = self.corners == "squares" or bool(self.unit and not self.corner_unit)
        check.text("corner_role", self.corner_role, empty=not squares)
        check.done()


@dataclass(frozen=True, repr=False)
class Pattern:
    """A whole quilt as data.

    Attributes:
        key: file name without ending.
        setting: ``straight``, ``on-point``, ``columns``, ``medallion`` or ``lattice`` (blocks
            that are not squares, laid by their tile vectors and trimmed straight at the edges).
        block_size: usual finished block size in inches (lattice: the full width of one block).
        rows, columns: usual number of blocks (columns: of columns; medallion: size of the centre;
            lattice: rows that show, and blocks in a row, trimmed ones counted).
        roles: by name.
        tiles: by label.
        cells: the arrangement, rows of cells, repeated over the quilt.
        inner: on point: the cells between the main blocks (same repetition).
        fold: mirror the arrangement outward from the middle of the quilt.
        stacks: the columns of a column setting, repeated from the left.
        sashing, borders: what goes between and around.
        side_role, corner_role: setting triangles of an on-point setting.
    """

    key: str
    name: str
    summary: str
    setting: Setting
    block_size: float
    rows: int
    columns: int
    roles: dict[str, RoleSpec]
    tiles: dict[str, Tile]
    cells: tuple[tuple[Cell, ...], ...] = ()
    inner: tuple[tuple[Cell, ...], ...] = ()
    fold: bool = False
    stacks: tuple[Column, ...] = ()
    sashing: Sashing | None = None
    borders: tuple[Border, ...] = ()
    side_role: str = ""
    corner_role: str = ""
    origin: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        as_tuples(self, ("cells", "inner", "stacks", "borders"))
        check = Checks(self.origin or f"pattern {self.key}".strip())
        check.text("key", self.key)
        check.text("name", self.name)
        check.text("summary", self.summary, empty=True)
        check.choice("setting", self.setting, SETTINGS)
        check.number("block size", self.block_size, 0, 200, above=True, unit=" in")
        check.whole("rows", self.rows, 1, 1000)
        check.whole("columns", self.columns, 1, 1000)
        check.flag("fold", self.fold)
        check.several("stacks", self.stacks, Column, "Columns")
        check.several("borders", self.borders, Border, "Borders")
        check.table("roles", self.roles, str, RoleSpec, "RoleSpecs by name")
        check.table("tiles", self.tiles, str, Tile, "Tiles by label")
        for key in ("cells", "inner"):
            if check.several(key, getattr(self, key), (tuple, list), "rows of Cells"):
                for row in getattr(self, key):
                    check.several(key, tuple(row), Cell, "rows of Cells")
        if self.sashing is not None:
            check.kind("sashing", self.sashing, Sashing, "a Sashing")
        if not check.findings:
            self._check_names(check)
        if not check.findings and self.setting == "lattice":
            self._check_lattice(check)
        check.done()

    def __repr__(self) -> str:
        laid = f"{self.columns} x {self.rows} blocks of {self.block_size:g} in"
        return brief(f"Pattern {self.key}, {self.setting}, {laid}, roles: {', '.join(self.roles)}")

    def _check_names(self, check: Checks) -> None:
        """Everything that is named is there, and there is something to lay."""
        if not check.that(bool(self.roles), "at least one role", self.roles, "roles by name"):
            return
        if self.setting == "columns":
            check.that(bool(self.stacks), "columns", self.stacks, "columns to lay")
        else:
            filled = bool(self.cells) and all(self.cells)
            check.that(filled, "cells", self.cells, "where the tiles go, such as 'A B'")
        for place, key, tile in self._named_tiles():
            check.that(tile in self.tiles, key, tile, f"a tile: {', '.join(self.tiles)}", place)
        for place, key, role in self._named_roles():
            check.that(role in self.roles, key, role, f"a role: {', '.join(self.roles)}", place)
        spacers = sorted({stack.spacer for stack in self.stacks if stack.spacer})
        if len(spacers) > 1:
            found = ", ".join(f"{s:g}" for s in spacers)
            check.add("all spacers of a pattern are of one height", found, "one height")

    def _named_tiles(self) -> Iterator[tuple[str, str, str]]:
        """Place, what names it, and the name of a tile."""
        for key, rows in (("cells", self.cells), ("inner", self.inner)):
            yield from (("", key, name) for name in dict.fromkeys(c.tile for r in rows for c in r))
        for number, stack in enumerate(self.stacks, 1):
            yield f"column {number}", "tile", stack.cell.tile
        for number, border in enumerate(self.borders, 1):
            for key, name in (("unit", border.unit), ("corner_unit", border.corner_unit)):
                if name:
                    yield f"border {number}", key, name

    def _named_roles(self) -> Iterator[tuple[str, str, str]]:
        """Place, what names it, and the name of a role."""
        rule = "every role of a tile is a role of the pattern"
        for label, tile in self.tiles.items():
            yield from ((f"tiles.{label}", rule, role) for role in tile.block.roles)
        parts = [
            (f"column {k}", "spacer_role", s.spacer_role) for k, s in enumerate(self.stacks, 1)
        ]
        if self.sashing:
            parts += [
                ("sashing", key, getattr(self.sashing, key)) for key in ("role", "cornerstone")
            ]
        for number, border in enumerate(self.borders, 1):
            parts += [(f"border {number}", k, getattr(border, k)) for k in ("role", "corner_role")]
        edges = [("edges", "side", self.side_role), ("edges", "corner", self.corner_role)]
        if self.setting == "on-point":
            yield from edges
        yield from (part for part in parts if part[2])

    def _check_lattice(self, check: Checks) -> None:
        """What blocks laid by vectors need: vectors, one outline for all, no sashing between."""
        if self.sashing is not None:
            check.add("a lattice has no sashing", "a sashing", "leave it out")
        cells = dict.fromkeys(c for row in self.cells for c in row)
        first = self.tiles[next(iter(cells)).tile].block
        for cell in cells:
            block = self.tiles[cell.tile].block
            if block.tile is None:
                check.add(
                    f"tile {cell.tile} fills the plane by vectors",
                    f"{block.key} has none",
                    "a block with tile = [[...], [...]], e.g. hexagon, clamshell",
                )
            elif (block.tile, block.boundary) != (first.tile, first.boundary):
                check.add(
                    "all tiles of a lattice have one outline",
                    f"{block.key} and {first.key}",
                    "blocks of equal outline and vectors",
                )
            elif not turns_onto_itself(block.boundary, cell.quarter_turns, cell.mirror):
                check.add(
                    "a turned tile fills its own place",
                    str(cell),
                    "turns and mirrors that bring the outline onto itself",
                )

    @property
    def spacer(self) -> float:
        """Height of the strips between pieces of its columns, block units: by so much a column
        setting is lower than its rows, because the last strip has nothing below it."""
        return max((s.spacer for s in self.stacks), default=0.0)

    @property
    def main_role(self) -> str:
        """The role whose patches show the print (the one marked ``main``, else the first)."""
        return next((r.name for r in self.roles.values() if r.main), next(iter(self.roles)))
