"""Design files: read with all findings, written so that a person can go on by hand."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, cast

from quiltgeom.errors import ContentError, QuiltError, QuiltValueError, shown
from quiltgeom.geometry.allowance import check_seam
from quiltgeom.library.corrections import declared_fabric
from quiltgeom.library.table import Table
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import DIRECTIONS, Fabric, Repeat
from quiltgeom.texts import read_toml
from quiltgeom.tolerance import SAME_POINT
from quiltgeom.units import length_text, parse_length

__all__ = ["design_from_data", "design_text", "load_design"]


FORMAT = 2
"""Of design files. Files without a number, of the first format, open all the same."""


def load_design(path: str | Path) -> Design:
    """Read a design file; pictures are found relative to it.

    Raises:
        ContentError: with every fault of the file.
        TextError: the file cannot be read at all, or is no TOML.
    """
    path = Path(path)
    return design_from_data(read_toml(path), folder=path.parent, where=path.name)


def design_from_data(data: Mapping[str, Any], *, folder: Path, where: str) -> Design:
    """As :func:`load_design`, for a file already parsed; ``folder`` is where pictures are."""
    top = Table(data, where)
    fabrics = {}
    for role, entry in top.table("fabric").items():
        row = top.sub(entry if isinstance(entry, dict) else {}, f"fabric.{role}")
        fabric = _fabric(row, role, folder)
        row.unknown()
        if fabric:
            fabrics[role] = fabric
    size = top.lengths("size", 2)
    borders = top.lengths("borders")
    counts = {key: top.whole(key, 1) if top.has(key) else None for key in ("rows", "columns")}
    design = Design(
        pattern=top.text("pattern", required=True),
        fabrics=fabrics,
        title=top.text("title"),
        block_size=top.length("block"),
        rows=counts["rows"],
        columns=counts["columns"],
        size=(size[0], size[1]) if size else None,
        borders=tuple(borders) if borders is not None else None,
        sashing=top.length("sashing"),
        seed=top.whole("seed", 0, 0, 2**31),
        fussy=tuple(top.texts("fussy")),
        seam=_seam(top),
        block_folders=tuple(folder / p for p in top.texts("block_folders")),
        overruled=_overruled(top),
    )
    top.whole("format", FORMAT, 1, FORMAT)
    if size and any(top.has(k) for k in ("rows", "columns", "block")):
        top.report("size, or rows, columns and block", "both", "one of the two ways")
    top.unknown()
    if top.findings:
        raise ContentError(top.findings)
    return design


def _overruled(top: Table) -> dict[str, str]:
    """Rules that do not count, with the person's reason."""
    table = top.table("overruled")
    row = top.sub(table, "overruled")
    return {rule: row.text(rule, required=True) for rule in table}


def _seam(top: Table) -> float | None:
    found = top.length("seam")
    try:
        return found if found is None else check_seam(found)
    except QuiltError as e:
        accepted = str(e).split("accepted: ")[-1]
        top.report("seam is a seam allowance", repr(top.raw("seam")), accepted)
        return None


def _seam_text(seam: float | None) -> str | float | None:
    """As a person would write it, where that says the same number."""
    if seam is None:
        return None
    text = length_text(seam).replace('"', " in")
    return text if abs(parse_length(text) - seam) < SAME_POINT else seam


def _fabric(row: Table, role: str, folder: Path) -> Fabric | None:
    image, colour = row.text("image"), row.text("colour")
    up = row.number("up", 0.0, positive=False) if row.has("up") else None
    way = row.choice("direction", DIRECTIONS, DIRECTIONS[0]) if row.has("direction") else None
    motif = row.lengths("motif", 2)
    fields: dict[str, Any] = {
        "name": row.text("name") or (Path(image).stem if image else colour or role),
        "width": row.length("width"),
        "direction": way,
        "repeat": _repeat(row),
    }
    if not image and not colour:
        row.report("a fabric has a picture or a colour", "neither", 'image = "..." or colour')
        return None
    try:
        return declared_fabric(
            image=folder / image if image else None, colour=colour or None, up_deg=up,
            motif=(motif[0], motif[1]) if motif else None, **fields,
        )  # fmt: skip
    except QuiltError as e:
        row.report("a usable fabric", str(e), "")
        return None


def _repeat(row: Table) -> Repeat | None:
    sizes = row.lengths("repeat", 2)
    kind = row.choice("repeat_kind", ("straight", "half-drop", "brick"), "straight")
    try:
        return Repeat(sizes[0], sizes[1], cast(Any, kind)) if sizes else None
    except QuiltError as e:
        row.report("a usable repeat", str(e), "")
        return None


def parse_size(text: str, what: str = "size") -> tuple[float, float]:
    """``44in x 60in`` (or ``44x60``) to two lengths in inches.

    >>> parse_size("44x60"), parse_size('18 1/2" x 21 in')
    ((44.0, 60.0), (18.5, 21.0))
    """
    parts = text.lower().replace("×", "x").split("x")
    if len(parts) != 2:
        raise QuiltValueError(f"{what}: found {shown(text)}; accepted: two lengths, e.g. 44inx60in")
    return parse_length(parts[0].strip(), what=what), parse_length(parts[1].strip(), what=what)


def design_text(design: Design, folder: Path) -> str:
    """The design as a TOML file in ``folder``; pictures relative to it where possible.

    >>> print(design_text(Design("gull-cove", seed=3), Path(".")))
    format = 2
    pattern = "gull-cove"
    seed = 3
    <BLANKLINE>
    """
    lines: list[str] = []
    for key, value in (
        ("format", FORMAT), ("title", design.title or None), ("pattern", design.pattern),
        ("rows", design.rows),
        ("columns", design.columns), ("block", design.block_size), ("size", design.size),
        ("borders", design.borders), ("sashing", design.sashing), ("seed", design.seed or None),
        ("fussy", design.fussy or None), ("seam", _seam_text(design.seam)),
        ("block_folders", [_relative(p, folder) for p in design.block_folders] or None),
    ):  # fmt: skip
        if value is not None:
            lines.append(f"{key} = {_toml(value)}")
    if design.overruled:
        lines += ["", "[overruled]"]
        lines += [f"{_toml(rule)} = {_toml(why)}" for rule, why in design.overruled.items()]
    for role, fabric in design.fabrics.items():
        lines += ["", f"[fabric.{role if role.replace('-', '').isalnum() else _toml(role)}]"]
        lines += _fabric_lines(fabric, folder)
    return "\n".join(lines) + "\n"


def _fabric_lines(fabric: Fabric, folder: Path) -> list[str]:
    repeat = fabric.repeat
    pairs: list[tuple[str, object]] = [("name", fabric.name)]
    if fabric.image:
        pairs.append(("image", _relative(fabric.image, folder)))
    pairs += [
        ("colour", fabric.colour), ("width", fabric.width),
        ("direction", fabric.direction if fabric.declared else None),
        ("up", fabric.up_deg or None), ("motif", fabric.motif),
        ("repeat", (repeat.width, repeat.height) if repeat else None),
        ("repeat_kind", repeat.kind if repeat else None),
    ]  # fmt: skip
    return [f"{key} = {_toml(value)}" for key, value in pairs if value is not None]


def _relative(path: Path, folder: Path) -> str:
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return path.as_posix()


def _toml(value: object) -> str:
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_toml(v) for v in value) + "]"
    if isinstance(value, float) and value == int(value):
        return str(int(value))
    # TOML's basic strings are JSON's, but for one control character
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
