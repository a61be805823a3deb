"""The ``[[patch]]`` tables of a block file: corners, roles, and how a patch is repeated."""

import math
from collections.abc import Mapping
from typing import Any

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.library.notation.drawing import MOST_PATCHES, Drawing
from quiltgeom.library.typed_reader import Reader
from quiltgeom.model.block import Patch

_KEYS = {"role", "part", "at", "turn", "mirror", "centre", "shift", "turned"}


def read_patches(reader: Reader, table: object, drawing: Drawing, where: str) -> None:
    """Add the patches of a list of ``[[patch]]`` tables to a drawing."""
    if not isinstance(table, list):
        reader.report(where, "patches are [[patch]] tables", repr(table), "[[patch]]")
        return
    for k, entry in enumerate(table, 1):
        spot = f"{where}: patch {k}"
        if not isinstance(entry, dict):
            reader.report(spot, "a [[patch]] table", repr(entry), "[[patch]]")
            continue
        centre = (drawing.width / 2, drawing.height / 2)
        copies = _copies(reader, entry, centre, len(drawing.patches), spot)
        drawing.patches += copies
        drawing.labels += [
            f"patch {k}" + (f" copy {i}" if len(copies) > 1 else "")
            for i in range(1, len(copies) + 1)
        ]


def _copies(
    reader: Reader, entry: Mapping[str, Any], centre: Point, already: int, where: str
) -> list[Patch]:
    """The patch as written, repeated by shift, mirror and turn."""
    row = reader.table(entry, where)
    row.unknown(*_KEYS)
    roles = reader.roles(entry.get("role", ""), where)
    part = row.text("part")
    outline = reader.outline(entry.get("at"), where)
    turns = _turns(reader, entry.get("turn", 1), where)
    if "centre" in entry:
        value = entry["centre"]
        centre = reader.pair(value if isinstance(value, list) else [value] * 2, where, "centre")
    mirrors = (False, True) if row.flag("mirror") else (False,)
    turned = reader.number(entry.get("turned", 0), where, "turned")
    shifts = _shifts(reader, entry.get("shift", [[0, 0]]), where)
    if outline is None or not roles or math.isnan(turned):
        return []
    count = len(shifts) * len(mirrors) * turns
    if count + already > MOST_PATCHES:
        reader.report(where, "a block of few patches", count + already, f"up to {MOST_PATCHES}")
        return []
    out: list[Patch] = []
    for dx, dy in shifts:
        for mirror in mirrors:
            for k in range(turns):
                angle = 360.0 * k / turns
                shape = outline
                if k or mirror:
                    shape = outline.turned(angle, centre, mirror=mirror)
                if dx or dy:
                    points = tuple([(x + dx, y + dy) for x, y in shape.points])
                    shape = Outline.image(points, shape.bulges, shape.area, mirrored=False)
                out.append(Patch(shape, roles[len(out) % len(roles)], part, turned + angle))
    return out


def _turns(reader: Reader, value: object, where: str) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= 360:
        reader.report(where, "turn is a count of copies", repr(value), "1 to 360")
        return 1
    return value


def _shifts(reader: Reader, value: object, where: str) -> list[Point]:
    if not isinstance(value, list) or not value:
        reader.report(where, "shift is a list of [dx, dy]", repr(value), "[[0, 0], [1, 0]]")
        return [(0.0, 0.0)]
    return [reader.pair(pair, where, "shift") for pair in value]
