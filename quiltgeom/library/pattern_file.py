"""One pattern file (TOML) to one :class:`~quiltgeom.model.pattern.Pattern`, with all findings."""

import re
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from quiltgeom.errors import ContentError, Finding, QuiltError, QuiltFileError, TextError
from quiltgeom.library.block_file import read_block_file
from quiltgeom.library.blocks import BlockLibrary, name_key
from quiltgeom.library.table import Table
from quiltgeom.model.block import Block, plain_block
from quiltgeom.model.pattern import (
    CORNERS,
    CUTS,
    LIES,
    SETTINGS,
    Border,
    Cell,
    Column,
    Pattern,
    RoleSpec,
    Sashing,
    Tile,
)
from quiltgeom.texts import read_toml

_BLOCKS = "block units, such as 1/4 (3 inches with blocks of 12)"
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


def _block_in(folder: Path, name: str) -> Block | None:
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
    own = partial(_block_in, path.parent)
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
    tiles = _tiles(top, lambda name: own(name) or blocks.get(name))
    reader = _Parts(tiles)
    edges = top.sub(top.table("edges"), "edges")
    setting = top.choice("setting", SETTINGS, "straight")
    sides = [edges.text(k) if setting == "on-point" else "" for k in ("side", "corner")]
    pattern = top.make(
        Pattern,
        key=key,
        name=top.text("name", required=True) or key,
        summary=top.text("summary", required=True),
        setting=setting,
        block_size=top.length("block", 12.0),
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
        side_role=sides[0],
        corner_role=sides[1],
        origin=where,
    )
    edges.unknown()
    top.unknown()
    return (None if top.findings else pattern), top.findings


def _roles(top: Table) -> dict[str, RoleSpec]:
    roles = {}
    for name, entry in top.table("roles").items():
        row = top.sub(entry if isinstance(entry, dict) else {}, f"roles.{name}")
        words = row.choice("cut", CUTS, "independent"), row.choice("lie", LIES, "upright")
        made = row.make(RoleSpec, name, *words, row.flag("main"))
        if made:
            roles[name] = made
        row.unknown()
    return roles


def _tiles(top: Table, find: Callable[[str], Block]) -> dict[str, Tile]:
    tiles = {}
    for label, entry in top.table("tiles").items():
        row = top.sub(entry if isinstance(entry, dict) else {}, f"tiles.{label}")
        if row.has("plain"):
            block = row.make(plain_block, 1, 1, row.text("plain"), "plain")
        else:
            try:
                used = find(row.text("use", required=True))
            except QuiltError as e:
                if isinstance(e, ContentError):
                    top.findings += e.findings
                else:
                    row.report("use names a block", str(e), "a block of the library")
                # so that nothing is said of what only follows from this
                used = plain_block(1, 1, next(iter(top.table("roles")), "background"))
                tiles[label] = Tile(used, label)
                continue
            renames = row.table("roles")
            block = row.make(used.recoloured, {str(k): str(v) for k, v in renames.items()})
            places = {p.part for p in used.patches} | set(used.roles)
            for name in sorted(set(renames) - places):
                known = ", ".join(sorted(places - {""}))
                row.report("roles renames a part or role of the block", repr(name), known)
        row.unknown()
        if block:
            tiles[label] = Tile(block, label)
    return tiles


class _Parts:
    """The parts of a pattern that name tiles; ``known`` stands for those that are written wrong."""

    def __init__(self, tiles: Mapping[str, Tile]) -> None:
        self.tiles, self.known = tiles, next(iter(tiles), "A")

    def cell(self, row: Table, text: str) -> Cell:
        if text in self.tiles:  # also where it ends in an m
            return Cell(text)
        match = _CELL.fullmatch(text)
        if not match:
            row.report(
                "a cell names a tile, quarter turns and mirror", repr(text), "e.g. A, A1, A2m"
            )
            return Cell(self.known)
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
            role = row.text("spacer_role") if spacer else ""
            sizes = row.number("width", 1.0), row.number("height", 1.0)
            out.append(row.make(Column, cell, *sizes, spacer, role))
            row.unknown()
        return tuple(filter(None, out))

    def sashing(self, top: Table) -> Sashing | None:
        if not top.has("sashing"):
            return None
        row = top.sub(top.table("sashing"), "sashing")
        width = row.number("width", 0.25, accepted=_BLOCKS)
        roles = (row.text("role"), row.text("cornerstone"))
        sashing = row.make(Sashing, width, *roles, row.flag("outer"))
        row.unknown()
        return sashing

    def borders(self, top: Table) -> tuple[Border, ...]:
        out = []
        for k, entry in enumerate(top.tables("border"), 1):
            row = top.sub(entry, f"border {k}")
            unit, corner = (
                self.cell(row, row.text(key)).tile if row.has(key) else ""
                for key in ("unit", "corner_unit")
            )
            pieced = row.has("unit")
            corners = row.choice("corners", CORNERS, "butted")
            plain_corner = corners == "squares" or (pieced and not corner)
            out.append(
                row.make(
                    Border,
                    width=row.number("width", 0.25, accepted=_BLOCKS),
                    role="" if pieced else row.text("role"),
                    corners=corners,
                    corner_role=row.text("corner_role") if plain_corner else "",
                    unit=unit,
                    unit_length=row.number("unit_length", 0.25) if pieced else 0.0,
                    corner_unit=corner,
                    lie=row.choice("lie", LIES, "") if row.has("lie") else "",
                )
            )
            row.unknown()
        return tuple(filter(None, out))
