"""One block file (TOML) to one :class:`~quiltgeom.model.block.Block`, with all findings."""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from quiltgeom.errors import ContentError, Finding, TextError, raise_findings
from quiltgeom.geometry.cover import CoverFault
from quiltgeom.geometry.outline import Point, rectangle
from quiltgeom.library.generators import generate
from quiltgeom.library.notation.cells import read_cells
from quiltgeom.library.notation.drawing import MOST_PATCHES, Drawing
from quiltgeom.library.notation.expression import SMALLEST
from quiltgeom.library.notation.patch_table import read_patches
from quiltgeom.library.typed_reader import Params, Reader
from quiltgeom.model.block import Block
from quiltgeom.texts import read_toml
from quiltgeom.tolerance import SAME_POINT

_BODY = {"grid", "cells", "columns", "rows", "letters", "make", "patch"}
_KEYS = _BODY | {"name", "aliases", "family", "source", "notes", "let", "outline", "tile", "unit"}


def read_block_file(path: str | Path) -> Block:
    """Read and audit one block file.

    Raises:
        ContentError: with every fault found (file, patch, rule, coordinates, size).
        QuiltError: the file cannot be read.
    """
    block, findings, _ = check_block_file(path)
    raise_findings(findings)
    if block is None:  # cannot happen: an unreadable file has findings
        raise ContentError(findings)
    return block


def check_block_file(path: str | Path) -> tuple[Block | None, list[Finding], list[CoverFault]]:
    """Read one block file and return what could be made of it together with all findings.

    Returns:
        The block (None if no patch could be read), the findings, and the cover faults as
        geometry, for drawing them.
    """
    path = Path(path)
    try:
        data = read_toml(path)
    except TextError as e:
        return None, list(e.findings), []
    return block_from_data(data, key=path.stem, where=path.name)


def block_from_data(
    data: Mapping[str, Any], *, key: str, where: str
) -> tuple[Block | None, list[Finding], list[CoverFault]]:
    """As :func:`check_block_file`, for a file already parsed."""
    reader = Reader(where)
    top = reader.table(data, where)
    name = top.text("name", required=True)
    texts = {k: top.text(k) for k in ("family", "source", "notes")}
    aliases = tuple(top.texts("aliases"))
    top.unknown(*_KEYS)
    reader.let(data.get("let", {}))
    drawing = _body(reader, data, _units(reader, data), where)
    if "outline" in data:
        drawing.boundary = reader.outline(data["outline"], f"{where}: outline")
    if "tile" in data:
        drawing.tile = _tile(reader, data["tile"], where)
    if not drawing.patches:
        nothing = Finding(where, "at least one patch", "none", "cells, [make.NAME] or [[patch]]")
        return None, reader.findings or [nothing], []
    size = _too_much(drawing)
    if size:
        reader.report(where, "a block of bounded size", size, _BOUND)
        return None, reader.findings, []
    block, findings, faults = Block.drawn(
        drawing.labels,
        key=key,
        name=name or key,
        width=drawing.width,
        height=drawing.height,
        patches=tuple(drawing.patches),
        boundary=drawing.boundary or rectangle(0, 0, drawing.width, drawing.height),
        aliases=aliases,
        origin=where,
        tile=drawing.tile,
        **texts,
    )
    return block, reader.findings + findings, faults


def _units(reader: Reader, data: Mapping[str, Any]) -> dict[str, Drawing]:
    """The file's own words: ``[unit.paw]``, each drawn like a block; later ones may use earlier."""
    units: dict[str, Drawing] = {}
    table = _tables(reader, data, "unit", "units are [unit.NAME] tables", "[unit.paw]")
    for name, body in table.items():
        where = f"{reader.where}: unit {name}"
        reader.table(body, where).unknown(*_BODY)
        units[name] = _body(reader, body, units, where)
    return units


def _body(
    reader: Reader, table: Mapping[str, Any], units: Mapping[str, Drawing], where: str
) -> Drawing:
    """Cells first, then what a generator makes, then patches drawn over the cells left free."""
    drawing = read_cells(reader, table, units, where)
    example = "[make.log-cabin]  rounds = 3"
    makes = _tables(reader, table, "make", "make is a table", example, where)
    for name, parameters in makes.items():
        made = generate(name, Params(parameters, reader, f"{where}: make {name}"))
        if made and drawing:
            drawing.patches += made.patches
            drawing.labels += [f"make {name}"] * len(made.patches)
        elif made:
            drawing = made
            drawing.labels = [f"make {name}, piece {k + 1}" for k in range(len(made.patches))]
    if drawing is None or "grid" in table:
        width, height = _grid(reader, table.get("grid"), where)
        if drawing is None:
            drawing = Drawing(width, height)
        elif max(abs(drawing.width - width), abs(drawing.height - height)) > SAME_POINT:
            drawn = f"{drawing.width:g} x {drawing.height:g}, or leave grid out"
            found = f"{width:g} x {height:g}"
            reader.report(where, "grid agrees with what is drawn", found, drawn)
    read_patches(reader, table.get("patch", []), drawing, where)
    return drawing


def _tables(
    reader: Reader, table: Mapping[str, Any], key: str, rule: str, accepted: str, where: str = ""
) -> dict[str, Any]:
    """Tables by name; none after a finding."""
    found = table.get(key, {})
    if isinstance(found, dict) and all(isinstance(v, dict) for v in found.values()):
        return found
    reader.report(where or reader.where, rule, repr(found), accepted)
    return {}


def _grid(reader: Reader, value: object, where: str) -> Point:
    pair = value if isinstance(value, list) and len(value) == 2 else [value, value]
    sides = [reader.number(v, where, "grid") for v in pair]
    if not all(v >= SMALLEST for v in sides):
        if not any(math.isnan(v) for v in sides):
            reader.report(where, "grid is positive", value, "grid = 3 or grid = [4, 2]")
        return 1.0, 1.0
    return sides[0], sides[1]


def _tile(reader: Reader, value: object, where: str) -> tuple[Point, Point] | None:
    if not isinstance(value, list) or len(value) != 2:
        reader.report(where, "tile is two vectors", repr(value), "tile = [[1, 0], [0, 1]]")
        return None
    before = len(reader.findings)
    a, b = (reader.pair(v, where, "tile") for v in value)
    return (a, b) if len(reader.findings) == before else None


_BOUND = f"{MOST_PATCHES} patches with {4 * MOST_PATCHES} corners, {MOST_PATCHES} arcs"


def _too_much(drawing: Drawing) -> str:
    """What would keep the audit busy for minutes; "" for any block that somebody could sew."""
    patches = len(drawing.patches)
    corners = sum([len(p.outline.points) for p in drawing.patches])
    if corners <= MOST_PATCHES:  # a patch without arcs has three corners, one with arcs two
        return ""
    arcs = sum(sum(map(bool, p.outline.bulges)) for p in drawing.patches)
    if patches <= MOST_PATCHES and corners <= 4 * MOST_PATCHES and arcs <= MOST_PATCHES:
        return ""
    return f"{patches} patches with {corners} corners, {arcs} arcs"
