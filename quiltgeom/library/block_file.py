"""One block file (TOML) to one :class:`~quiltgeom.model.block.Block`, with all findings."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from quiltgeom.errors import ContentError, Finding, QuiltError, TextError, raise_findings
from quiltgeom.geometry.cover import CoverFault, cover_faults
from quiltgeom.geometry.outline import Outline, Point, rectangle, split_arcs
from quiltgeom.library.cells import read_cells
from quiltgeom.library.drawing import MOST_PATCHES, Drawing
from quiltgeom.library.expression import SMALLEST
from quiltgeom.library.generators import generate
from quiltgeom.library.patch_table import read_patches
from quiltgeom.library.typed_reader import Params, Reader
from quiltgeom.model.block import Block
from quiltgeom.texts import read_toml

__all__ = ["block_from_data", "check_block_file", "read_block_file"]

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
    name = reader.text(data, "name", where, required=True)
    texts = {k: reader.text(data, k, where) for k in ("family", "source", "notes")}
    aliases = reader.texts(data, "aliases", where)
    reader.unknown(data, _KEYS, where)
    reader.let(data.get("let", {}))
    drawing = _body(reader, data, _units(reader, data), where)
    if "outline" in data:
        drawing.boundary = reader.outline(data["outline"], f"{where}: outline")
        _fills_grid(reader, drawing, where)
    if "tile" in data:
        drawing.tile = _tile(reader, data["tile"], drawing, where)
    if not drawing.patches:
        nothing = Finding(where, "at least one patch", "none", "cells, [make.NAME] or [[patch]]")
        return None, reader.findings or [nothing], []
    size = _too_much(drawing)
    if size:
        reader.report(where, "a block of bounded size", size, _BOUND)
        return None, reader.findings, []
    try:
        faults, drawing = _audit(drawing)
    except QuiltError as e:
        reader.report(where, "an audit of what the patches cover", str(e), "")
        return None, reader.findings, []
    findings = reader.findings + [_cover_finding(f, where, drawing.labels) for f in faults]
    boundary = drawing.boundary or rectangle(0, 0, drawing.width, drawing.height)
    block = Block(
        key,
        name or key,
        drawing.width,
        drawing.height,
        tuple(drawing.patches),
        boundary,
        aliases=aliases,
        origin=where,
        tile=drawing.tile,
        **texts,
    )
    return block, findings, faults


def _units(reader: Reader, data: Mapping[str, Any]) -> dict[str, Drawing]:
    """The file's own words: ``[unit.paw]``, each drawn like a block; later ones may use earlier."""
    units: dict[str, Drawing] = {}
    table = data.get("unit", {})
    if not isinstance(table, dict) or not all(isinstance(v, dict) for v in table.values()):
        reader.report(reader.where, "units are [unit.NAME] tables", repr(table), "[unit.paw]")
        return units
    for name, body in table.items():
        where = f"{reader.where}: unit {name}"
        reader.unknown(body, _BODY, where)
        units[name] = _body(reader, body, units, where)
    return units


def _body(
    reader: Reader, table: Mapping[str, Any], units: Mapping[str, Drawing], where: str
) -> Drawing:
    """Cells first, then what a generator makes, then patches drawn over the cells left free."""
    drawing = read_cells(reader, table, units, where)
    for name, parameters in _makes(reader, table, where):
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
        elif abs(drawing.width - width) > 1e-9 or abs(drawing.height - height) > 1e-9:
            reader.report(
                where,
                "grid agrees with what is drawn",
                f"{width:g} x {height:g}",
                f"{drawing.width:g} x {drawing.height:g}, or leave grid out",
            )
    read_patches(reader, table.get("patch", []), drawing, where)
    return drawing


def _makes(
    reader: Reader, table: Mapping[str, Any], where: str
) -> list[tuple[str, Mapping[str, Any]]]:
    makes = table.get("make", {})
    if not isinstance(makes, dict) or not all(isinstance(v, dict) for v in makes.values()):
        reader.report(where, "make is a table", repr(makes), "[make.log-cabin]  rounds = 3")
        return []
    return list(makes.items())


def _grid(reader: Reader, value: object, where: str) -> Point:
    pair = value if isinstance(value, list) and len(value) == 2 else [value, value]
    sides = [reader.number(v, where, "grid") for v in pair]
    if not all(v >= SMALLEST for v in sides):
        if not any(math.isnan(v) for v in sides):
            reader.report(where, "grid is positive", value, "grid = 3 or grid = [4, 2]")
        return 1.0, 1.0
    return sides[0], sides[1]


def _fills_grid(reader: Reader, drawing: Drawing, where: str) -> None:
    if drawing.boundary is None:
        return
    x0, y0, x1, y1 = drawing.boundary.bounds
    if max(abs(x0), abs(y0), abs(x1 - drawing.width), abs(y1 - drawing.height)) > 1e-7:
        reader.report(
            f"{where}: outline",
            "the outline just fits the grid",
            f"from ({x0:.6g}, {y0:.6g}) to ({x1:.6g}, {y1:.6g})",
            f"from (0, 0) to ({drawing.width:.6g}, {drawing.height:.6g})",
        )


def _tile(
    reader: Reader, value: object, drawing: Drawing, where: str
) -> tuple[Point, Point] | None:
    if not isinstance(value, list) or len(value) != 2:
        reader.report(where, "tile is two vectors", repr(value), "tile = [[1, 0], [0, 1]]")
        return None
    a, b = (reader.pair(v, where, "tile") for v in value)
    found = abs(a[0] * b[1] - a[1] * b[0])
    area = drawing.boundary.area if drawing.boundary else drawing.width * drawing.height
    far = 3 * (drawing.width + drawing.height)
    if not abs(found - area) <= 1e-6 * area or max(map(abs, (*a, *b))) > far:
        reader.report(
            where,
            "copies of the block, moved by tile's vectors, fill the plane",
            f"{value!r}, which span {found:.6g} square units",
            f"vectors up to {far:.4g} long that span {area:.6g}",
        )
        return None
    return a, b


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


def _audit(drawing: Drawing) -> tuple[list[CoverFault], Drawing]:
    """Faults of the cover, and the drawing with arcs cut where neighbours' corners lie on them."""
    boundary = drawing.boundary or rectangle(0, 0, drawing.width, drawing.height)
    *outlines, edge = split_arcs([*(p.outline for p in drawing.patches), boundary])
    patches = [
        p if o is p.outline else replace(p, outline=o)
        for p, o in zip(drawing.patches, outlines, strict=True)
    ]
    kept: Outline | None = edge if drawing.boundary else None
    audited = replace(drawing, patches=patches, boundary=kept)
    return cover_faults(outlines, edge, split=True), audited


def _cover_finding(fault: CoverFault, where: str, labels: list[str]) -> Finding:
    x, y = fault.at
    box = ", ".join(f"{v:.4g}" for v in fault.geometry.bounds)
    who = " and ".join(labels[i] for i in fault.shapes)
    return Finding(
        f"{where}: {who}" if who else where,
        {"gap": "no gap", "overlap": "no overlap", "outside": "inside the outline"}[fault.kind],
        f"{fault.kind} of {fault.area:.6g} square units around ({x:.4g}, {y:.4g}), box [{box}]",
        "patches that cover the block exactly",
    )
