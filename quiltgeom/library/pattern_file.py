"""One pattern file (TOML) to one :class:`~quiltgeom.model.pattern.Pattern`, with all findings."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, cast

from quiltgeom.errors import ContentError, Finding, QuiltError, QuiltFileError, TextError
from quiltgeom.geometry.symmetry import turns_onto_itself
from quiltgeom.library.block_file import read_block_file
from quiltgeom.library.blocks import BlockLibrary, name_key
from quiltgeom.library.table import Table
from quiltgeom.model.block import Block, plain_block
from quiltgeom.model.pattern import (
    Border,
    Cell,
    Column,
    CutKind,
    Lie,
    Pattern,
    RoleSpec,
    Sashing,
    Setting,
    Tile,
)
from quiltgeom.texts import read_toml

__all__ = ["check_pattern_file", "pattern_from_data", "pattern_paths"]

_SETTINGS = ("straight", "on-point", "columns", "medallion", "lattice")
LIES = ("upright", "block", "unit", "strip")
_CELL = re.compile(r"([A-Za-z]+?)([0-3]?)(m?)")


def pattern_paths(place: Path) -> list[Path]:
    """The pattern files of a folder, among which blocks and designs may lie; or the file itself.

    Raises:
        QuiltFileError: there is none.
    """
    files = sorted(place.glob("*.toml")) if place.is_dir() else [place]
    files = [p for p in files if p == place or _may_be_pattern(p)]
    if not files or not place.exists():
        raise QuiltFileError(
            f"patterns {place}: found no pattern file; accepted: a .toml file or folder"
        )
    return files


def _may_be_pattern(path: Path) -> bool:
    """Whether nothing in the file says that it is a block or a design."""
    try:
        data = read_toml(path)
    except TextError:
        return True
    return "tiles" in data or not (
        {"pattern", "patch", "make"} & data.keys() or isinstance(data.get("cells"), str)
    )


def _beside(folder: Path, name: str) -> Block | None:
    """The block of this key that lies beside a pattern file."""
    for path in sorted(folder.glob("*.toml")):
        if name_key(path.stem) == name_key(name) and "tiles" not in read_toml(path):
            return read_block_file(path)
    return None


def check_pattern_file(
    path: str | Path, blocks: BlockLibrary
) -> tuple[Pattern | None, list[Finding]]:
    """Read one pattern file: the pattern (None if it has faults) and all findings. A block that
    lies beside it wins over one of ``blocks``."""
    path = Path(path)
    try:
        data = read_toml(path)
    except TextError as e:
        return None, list(e.findings)
    own = partial(_beside, path.parent)
    return pattern_from_data(data, blocks, key=path.stem, where=path.name, own=own)


def pattern_from_data(
    data: Mapping[str, Any],
    blocks: BlockLibrary,
    *,
    key: str,
    where: str,
    own: Callable[[str], Block | None] = lambda _: None,
) -> tuple[Pattern | None, list[Finding]]:
    """As :func:`check_pattern_file`, for a file already parsed; ``own`` finds blocks that win over
    those of ``blocks``."""
    top = Table(data, where)
    roles = _roles(top)
    tiles = _tiles(top, lambda name: own(name) or blocks.get(name), roles)
    reader = _Parts(roles, tiles)
    setting = top.choice("setting", _SETTINGS, "straight")
    edges = top.sub(top.table("edges"), "edges")
    pattern = Pattern(
        key=key,
        name=top.text("name", required=True),
        summary=top.text("summary", required=True),
        setting=cast(Setting, setting),
        block_size=top.length("block", 12.0) or 12.0,
        rows=top.whole("rows", 4),
        columns=top.whole("columns", 3),
        roles=roles,
        tiles=tiles,
        cells=reader.cells(top, "cells"),
        inner=reader.cells(top, "inner"),
        fold=top.flag("fold"),
        stacks=reader.columns(top),
        sashing=reader.sashing(top),
        borders=reader.borders(top),
        side_role=reader.role(edges, "side") if setting == "on-point" else "",
        corner_role=reader.role(edges, "corner") if setting == "on-point" else "",
        origin=where,
    )
    if setting == "columns" and not pattern.stacks:
        top.report("a column setting has columns", "none", "[[column]]")
    if setting != "columns" and not pattern.cells:
        top.report("cells says where the tiles go", "none", 'cells = ["A B", "B A"]')
    if setting == "lattice":
        _lattice(top, pattern)
    edges.unknown()
    top.unknown()
    return (None if top.findings else pattern), top.findings


def _lattice(top: Table, pattern: Pattern) -> None:
    """What blocks laid by vectors need: vectors, one outline for all, no sashing between."""
    if pattern.sashing is not None:
        top.report("a lattice has no sashing", "[sashing]", "leave it out")
    cells = [c for row in pattern.cells for c in row if c.tile]
    first = pattern.tiles[cells[0].tile].block if cells else None
    for cell in dict.fromkeys(cells):
        block = pattern.tiles[cell.tile].block
        if block.tile is None:
            top.report(
                f"tile {cell.tile} fills the plane by vectors",
                f"{block.key} has none",
                "a block with tile = [[...], [...]], e.g. hexagon, clamshell",
            )
        elif first and (block.tile, block.boundary) != (first.tile, first.boundary):
            top.report(
                "all tiles of a lattice have one outline",
                f"{block.key} and {first.key}",
                "blocks of equal outline and vectors",
            )
        elif not turns_onto_itself(block.boundary, cell.quarter_turns, cell.mirror):
            top.report(
                "a turned tile fills its own place",
                f"{cell.tile}{cell.quarter_turns or ''}{'m' * cell.mirror}",
                "turns and mirrors that bring the outline onto itself",
            )


def _roles(top: Table) -> dict[str, RoleSpec]:
    roles = {}
    for name, entry in top.table("roles").items():
        row = top.sub(entry if isinstance(entry, dict) else {}, f"roles.{name}")
        roles[name] = RoleSpec(
            name,
            cast(CutKind, row.choice("cut", ("independent", "strip"), "independent")),
            cast(Lie, row.choice("lie", LIES, "upright")),
            row.flag("main"),
        )
        row.unknown()
    if not roles:
        top.report("at least one role", "none", "[roles.focus]")
    return roles


def _tiles(top: Table, find: Callable[[str], Block], roles: dict[str, RoleSpec]) -> dict[str, Tile]:
    tiles = {}
    for label, entry in top.table("tiles").items():
        row = top.sub(entry if isinstance(entry, dict) else {}, f"tiles.{label}")
        if row.has("plain"):
            role = row.text("plain")
            block = plain_block(1, 1, role, "plain")
        else:
            try:
                drawn = find(row.text("use", required=True))
            except ContentError as e:
                top.findings += e.findings
                continue
            except QuiltError as e:
                row.report("use names a block", str(e), "a block of the library")
                continue
            renames = row.table("roles")
            block = drawn.recoloured({str(k): str(v) for k, v in renames.items()})
            places = {p.part for p in drawn.patches} | set(drawn.roles)
            for name in sorted(set(renames) - places):
                row.report(
                    "roles renames a part or role of the block",
                    repr(name),
                    ", ".join(sorted(places - {""})),
                )
        for role in sorted({p.role for p in block.patches} - set(roles)):
            row.report(
                "every role of a tile is a role of the pattern", repr(role), ", ".join(roles)
            )
        row.unknown()
        tiles[label] = Tile(block, label)
    return tiles


class _Parts:
    """The parts of a pattern that name tiles and roles."""

    def __init__(self, roles: dict[str, RoleSpec], tiles: dict[str, Tile]) -> None:
        self.roles, self.tiles = roles, tiles

    def role(self, row: Table, key: str) -> str:
        name = row.text(key)
        if name not in self.roles:
            row.report(f"{key} names a role", repr(name), ", ".join(self.roles))
        return name

    def cell(self, row: Table, text: str) -> Cell:
        if text in self.tiles:  # also where it ends in an m
            return Cell(text)
        match = _CELL.fullmatch(text)
        if not match or match[1] not in self.tiles:
            row.report(
                "a cell names a tile, quarter turns and mirror",
                repr(text),
                f"one of {', '.join(self.tiles)}, e.g. A, A1, A2m",
            )
            return Cell("")
        return Cell(match[1], int(match[2] or 0), bool(match[3]))

    def cells(self, top: Table, key: str) -> tuple[tuple[Cell, ...], ...]:
        rows = tuple(tuple(self.cell(top, t) for t in line.split()) for line in top.texts(key))
        return tuple(row for row in rows if row)

    def columns(self, top: Table) -> tuple[Column, ...]:
        out = []
        for k, entry in enumerate(top.tables("column"), 1):
            row = top.sub(entry, f"column {k}")
            cell = self.cell(row, row.text("tile", required=True))
            spacer = row.number("spacer", 0.0) if row.has("spacer") else 0.0
            role = self.role(row, "spacer_role") if spacer else ""
            out.append(
                Column(cell, row.number("width", 1.0), row.number("height", 1.0), spacer, role)
            )
            row.unknown()
        spacers = sorted({column.spacer for column in out if column.spacer})
        if len(spacers) > 1:
            top.report(
                "all spacers of a pattern are of one height",
                ", ".join(f"{s:g}" for s in spacers),
                "one height",
            )
        return tuple(out)

    def sashing(self, top: Table) -> Sashing | None:
        if not top.has("sashing"):
            return None
        row = top.sub(top.table("sashing"), "sashing")
        sashing = Sashing(
            row.number("width", 0.25),
            self.role(row, "role"),
            self.role(row, "cornerstone") if row.has("cornerstone") else "",
            row.flag("outer"),
        )
        row.unknown()
        return sashing

    def borders(self, top: Table) -> tuple[Border, ...]:
        out = []
        for k, entry in enumerate(top.tables("border"), 1):
            row = top.sub(entry, f"border {k}")
            pieced = row.has("unit")
            unit = self.cell(row, row.text("unit")).tile if pieced else ""
            has_corner = row.has("corner_unit")
            corner = self.cell(row, row.text("corner_unit")).tile if has_corner else ""
            corners = row.choice("corners", ("butted", "mitred", "squares"), "butted")
            plain_corner = corners == "squares" or (pieced and not corner)
            out.append(
                Border(
                    width=row.number("width", 0.25),
                    role="" if pieced else self.role(row, "role"),
                    corners=cast(Any, corners),
                    corner_role=self.role(row, "corner_role") if plain_corner else "",
                    unit=unit,
                    unit_length=row.number("unit_length", 0.25) if pieced else 0.0,
                    corner_unit=corner,
                    lie=cast(Lie, row.choice("lie", LIES, "")) if row.has("lie") else "",
                )
            )
            row.unknown()
        return tuple(out)
