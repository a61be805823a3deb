"""A pattern: how blocks, strips and borders make a whole quilt, as data."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal, get_args

from quiltgeom import checks
from quiltgeom.geometry.congruence import turns_onto_itself
from quiltgeom.model.block import Block

CutKind = Literal["independent", "strip"]
"""``independent``: each patch is cut from the cloth by itself; ``strip``: sliced from an assembly
of strips, so that nobody chooses what it shows."""

Lie = Literal["upright", "block", "unit", "strip"]
"""How a directional print lies: ``upright`` in the quilt; turning with the ``block``; turning with
the ``unit`` inside the block; along the ``strip`` (strips are cut across the cloth, so the print
stands square to the strip's length)."""

Setting = Literal["straight", "on-point", "columns", "medallion", "lattice"]
Corners = Literal["butted", "mitred", "squares"]

CUTS, LIES, SETTINGS, CORNERS = map(get_args, (CutKind, Lie, Setting, Corners))
_MOST = 1000.0
"""Block units: no part of a pattern is so many blocks long."""
_NO_ROLE: checks.Rule = (lambda v: v == "", "none beside a unit")
_WIDTH = checks.number(0, _MOST, above=True)
_TURNS, _COUNT = checks.whole(0, 3), checks.whole(1, 1000)


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
        checks.guard(self, name=checks.TEXT)


@dataclass(frozen=True, slots=True)
class Tile:
    """A block with its roles already those of the pattern; the filling of a cell."""

    block: Block
    label: str = ""

    def __post_init__(self) -> None:
        checks.guard(self)


@dataclass(frozen=True, slots=True)
class Cell:
    """Which tile goes into a place of the arrangement, how many quarter turns, mirrored or not."""

    tile: str
    quarter_turns: int = 0
    mirror: bool = False

    def __post_init__(self) -> None:
        checks.guard(self, tile=checks.TEXT, quarter_turns=_TURNS)

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
        named = {"spacer_role": checks.TEXT} if _WIDTH[0](self.spacer) else {}
        gap = checks.number(0, _MOST)
        checks.guard(self, width=_WIDTH, height=_WIDTH, spacer=gap, **named)


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
        checks.guard(self, width=_WIDTH, role=checks.TEXT)


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
        pieced = bool(self.unit)
        rules = {
            "role": _NO_ROLE if pieced else checks.TEXT,
            "unit_length": _WIDTH if pieced else checks.number(0, 0),
        }
        if self.corners == "squares" or (pieced and not self.corner_unit):
            rules["corner_role"] = checks.TEXT
        checks.guard(self, width=_WIDTH, **rules)


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
        check = checks.Checks(self.origin or f"pattern {self.key}")
        size = checks.number(0, 200, " in", above=True)
        named = {"key": checks.TEXT, "name": checks.TEXT}
        check.fields(self, **named, block_size=size, rows=_COUNT, columns=_COUNT)
        if not check.findings:
            self._check_names(check)
        if not check.findings and self.setting == "lattice":
            self._check_lattice(check)
        check.done()

    def __repr__(self) -> str:
        laid = f"{self.columns} x {self.rows} blocks of {self.block_size:g} in"
        return checks.brief(
            f"Pattern {self.key}, {self.setting}, {laid}, roles: {', '.join(self.roles)}"
        )

    def _check_names(self, check: checks.Checks) -> None:
        """Everything that is named is there, and there is something to lay."""
        if not self.roles:
            check.add("at least one role", "none", "roles by name")
            return
        for key, spec in self.roles.items():
            check.that(spec.name, f"name of role {key}", checks.choice((key,)))
        if self.setting == "columns" and not self.stacks:
            check.add("a column setting has columns", "none", "at least one column")
        if not all((*self.cells, *self.inner, self.cells or self.setting == "columns")):
            check.add("cells", "none", "where the tiles go, such as 'A B'")
        for place, key, name, known in dict.fromkeys(self._names()):
            check.that(name, key, known, place)
        spacers = sorted({stack.spacer for stack in self.stacks if stack.spacer})
        if len(spacers) > 1:
            found = ", ".join(f"{s:g}" for s in spacers)
            check.add("all spacers of a pattern are of one height", found, "one height")

    def _names(self) -> Iterator[tuple[str, str, str, checks.Rule]]:
        """Place, what names it, the name, and what it may be, of every tile and role."""
        tile, role = checks.choice(self.tiles), checks.choice(self.roles)
        for label, filling in self.tiles.items():
            for name in filling.block.roles:
                yield f"tiles.{label}", "every role of a tile is a role of the pattern", name, role
        for key, rows in (("cells", self.cells), ("inner", self.inner)):
            yield from (("", key, cell.tile, tile) for row in rows for cell in row)
        for k, stack in enumerate(self.stacks, 1):
            yield f"column {k}", "tile", stack.cell.tile, tile
        parts: list[tuple[str, object]] = [("sashing", self.sashing)]
        parts += [(f"column {k}", stack) for k, stack in enumerate(self.stacks, 1)]
        parts += [(f"border {k}", border) for k, border in enumerate(self.borders, 1)]
        for place, part in parts:
            for key in ("role", "corner_role", "cornerstone", "spacer_role", "unit", "corner_unit"):
                if name := getattr(part, key, ""):
                    yield place, key, name, tile if "unit" in key else role
        if self.setting == "on-point":
            yield "edges", "side", self.side_role, role
            yield "edges", "corner", self.corner_role, role

    def _check_lattice(self, check: checks.Checks) -> None:
        """What blocks laid by vectors need: vectors, one outline for all, no sashing between."""
        if self.sashing is not None:
            check.add("a lattice has no sashing", "a sashing", "leave it out")
        cells = dict.fromkeys(c for row in self.cells for c in row)
        first = self.tiles[next(iter(cells)).tile].block
        for cell in cells:
            block = self.tiles[cell.tile].block
            if block.tile is None:
                rule = f"tile {cell.tile} fills the plane by vectors"
                wanted = "a block with tile = [[...], [...]], e.g. hexagon, clamshell"
                check.add(rule, f"{block.key} has none", wanted)
            elif (block.tile, block.boundary) != (first.tile, first.boundary):
                found, equal = f"{block.key} and {first.key}", "blocks of equal outline and vectors"
                check.add("all tiles of a lattice have one outline", found, equal)
            elif not turns_onto_itself(block.boundary, cell.quarter_turns, cell.mirror):
                turns = "turns and mirrors that bring the outline onto itself"
                check.add("a turned tile fills its own place", str(cell), turns)

    @property
    def spacer(self) -> float:
        """Height of the strips between pieces of its columns, block units: by so much a column
        setting is lower than its rows, because the last strip has nothing below it."""
        return max((s.spacer for s in self.stacks), default=0.0)

    @property
    def main_role(self) -> str:
        """The role whose patches show the print (the one marked ``main``, else the first)."""
        return next((r.name for r in self.roles.values() if r.main), next(iter(self.roles)))


def pattern_of(block: Block) -> Pattern:
    """A quilt of one block, its main role ``focus`` or the one with the largest share.

    >>> from quiltgeom.model.block import plain_block
    >>> pattern_of(plain_block(1, 1, "accent")).main_role
    'accent'
    """
    share = block.area_share
    main = "focus" if "focus" in share else max(sorted(share), key=lambda r: share[r])
    return Pattern(
        key=block.key,
        name=block.name,
        summary=f"One {block.name}.",
        setting="straight",
        block_size=12.0,
        rows=1,
        columns=1,
        roles={r: RoleSpec(r, main=r == main) for r in block.roles},
        tiles={"A": Tile(block)},
        cells=((Cell("A"),),),
    )
