"""A pattern: how blocks, strips and borders make a whole quilt, as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from quiltgeom.model.block import Block

__all__ = [
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


@dataclass(frozen=True, slots=True)
class Tile:
    """A block with its roles already those of the pattern; the filling of a cell."""

    block: Block
    label: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """Which tile goes into a place of the arrangement, how many quarter turns, mirrored or not."""

    tile: str
    quarter_turns: int = 0
    mirror: bool = False


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
    corners: Literal["butted", "mitred", "squares"] = "butted"
    corner_role: str = ""
    unit: str = ""
    unit_length: float = 0.0
    corner_unit: str = ""
    lie: Lie | Literal[""] = ""


@dataclass(frozen=True)
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

    @property
    def spacer(self) -> float:
        """Height of the strips between pieces of its columns, block units: by so much a column
        setting is lower than its rows, because the last strip has nothing below it."""
        return max((s.spacer for s in self.stacks), default=0.0)

    @property
    def main_role(self) -> str:
        """The role whose patches show the print (the one marked ``main``, else the first)."""
        return next((r.name for r in self.roles.values() if r.main), next(iter(self.roles)))
