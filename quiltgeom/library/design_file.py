"""Design files: read with all findings, written so that a person can go on by hand."""

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from quiltgeom.errors import ContentError, QuiltError, QuiltValueError, shown
from quiltgeom.files import write_whole
from quiltgeom.library.corrections import declared_fabric
from quiltgeom.library.patterns import is_own, pattern_path
from quiltgeom.library.table import Table
from quiltgeom.library.toml_text import toml_key, toml_value
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import DIRECTIONS, REPEATS, Fabric, Repeat
from quiltgeom.model.pattern import Pattern
from quiltgeom.texts import read_toml
from quiltgeom.tolerance import SAME_POINT
from quiltgeom.units import RULERS, length_text, parse_length

FORMAT = 2
"""Of design files. Files without a number, of the first format, open all the same."""


def load_design(path: str | Path) -> Design:
    """Read a design file, or that of a kit's folder; pictures are found relative to it.

    Raises:
        ContentError: with every fault of the file.
        TextError: the file cannot be read at all, or is no TOML.
    """
    path = Path(path)
    path = path / "design.toml" if path.is_dir() else path
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
    named = top.text("pattern", required=True)
    size, borders = top.lengths("size", 2), top.lengths("borders")
    counts = {key: top.whole(key, 1) if top.has(key) else None for key in ("rows", "columns")}
    design = top.make(
        Design,
        pattern=folder / path if (path := pattern_path(named)) else named or "?",
        fabrics=fabrics,
        title=top.text("title"),
        block_size=top.length("block"),
        **counts,
        size=size,
        borders=borders,
        sashing=top.length("sashing"),
        seed=top.whole("seed", 0, 0, 2**31),
        fussy=top.texts("fussy"),
        seam=top.length("seam"),
        units=top.choice("units", tuple(RULERS), "in"),
        block_folders=[folder / p for p in top.texts("block_folders")],
        overruled=_overruled(top),
        offsets=_offsets(top),
        locked=top.texts("locked"),
        variants=_variants(top, data, folder, where),
    )
    top.whole("format", FORMAT, 1, FORMAT)
    top.unknown()
    if top.findings or design is None:
        raise ContentError(top.findings)
    return design


_COUNTS = {"rows", "columns", "block"}


def _offsets(top: Table) -> dict[int, tuple[float, float]]:
    found = {}
    for number, entry in enumerate(top.tables("offset"), 1):
        row = top.sub(entry, f"offset {number}")
        by = row.raw("by")
        row.has("piece")
        piece = row.whole("piece", 0, 0, 1_000_000)
        if not isinstance(by, list) or len(by) != 2:
            row.report("by is two lengths", repr(by), 'by = ["1 in", "-2 1/2 in"]')
            continue
        found[piece] = (_signed(row, by[0]), _signed(row, by[1]))
        row.unknown()
    return found


def _signed(row: Table, value: Any) -> float:
    """A length to the right or down, or with a minus the other way."""
    text, sign = (value[1:], -1) if isinstance(value, str) and value.startswith("-") else (value, 1)
    if isinstance(value, int | float) and not isinstance(value, bool) and value < 0:
        text, sign = -value, -1
    try:
        return sign * parse_length(text, what="by", allow_zero=True)
    except QuiltError as e:
        row.report("by is two lengths", repr(value), str(e).split("accepted: ")[-1])
        return 0.0


def _variants(top: Table, data: Mapping[str, Any], folder: Path, where: str) -> dict[str, Design]:
    """What a variant does not say is as in the design itself."""
    found = {}
    own = {k: v for k, v in data.items() if k not in ("variant", "locked")}
    for name, entry in top.table("variant").items():
        if not isinstance(entry, dict):
            top.report("a variant is a table", repr(entry), f"[variant.{name}]")
            continue
        drop = _COUNTS if "size" in entry else {"size"} if _COUNTS & set(entry) else set()
        cloths = entry.get("fabric", {})
        both = {k: v for k, v in own.items() if k not in drop} | entry
        if isinstance(cloths, dict) and isinstance(own.get("fabric", {}), dict):
            both["fabric"] = own.get("fabric", {}) | cloths
        try:
            found[name] = design_from_data(both, folder=folder, where=f"{where}: variant {name}")
        except ContentError as e:
            top.findings.extend(e.findings)
    return found


def _overruled(top: Table) -> dict[str, str]:
    """Rules that do not count, with the person's reason."""
    table = top.table("overruled")
    row = top.sub(table, "overruled")
    return {rule: row.text(rule, required=True) for rule in table}


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
    return row.make(
        declared_fabric,
        row.text("name") or (Path(image).stem if image else colour or role),
        image=folder / image if image else None,
        colour=colour or None,
        width=row.length("width"),
        direction=way,
        up_deg=up,
        repeat=_repeat(row),
        motif=row.lengths("motif", 2),
    )


def _repeat(row: Table) -> Repeat | None:
    sizes = row.lengths("repeat", 2)
    kind = row.choice("repeat_kind", REPEATS, "straight")
    return row.make(Repeat, *sizes, kind) if sizes else None


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
    lines = [f"format = {FORMAT}", *_own_lines(design, folder, None)]
    if design.locked:
        lines.append(f"locked = {toml_value(design.locked)}")
    for piece, (x, y) in sorted(design.offsets.items()):
        lines += ["", "[[offset]]", f"piece = {piece}", f"by = {toml_value((x, y))}"]
    if design.overruled:
        pairs = design.overruled.items()
        lines += ["", "[overruled]", *(f"{toml_value(k)} = {toml_value(why)}" for k, why in pairs)]
    lines += _cloth_lines("fabric", design.fabrics, folder)
    for name, other in design.variants.items():
        cloths = {r: f for r, f in other.fabrics.items() if design.fabrics.get(r) != f}
        lines += ["", f"[variant.{toml_key(name)}]", *_own_lines(other, folder, design)]
        lines += _cloth_lines(f"variant.{toml_key(name)}.fabric", cloths, folder)
    return "\n".join(lines) + "\n"


_FIELDS = (
    "title pattern rows columns block_size size borders sashing seed fussy seam units block_folders"
).split()


def write_design(design: Design, path: str | Path) -> Path:
    """Write a design file; its pictures and patterns are named as seen from the file's folder.

    Raises:
        QuiltValueError: a pattern that is in no file and not of the library.
        QuiltFileError: it cannot be written.
    """
    return write_whole(path, design_text(design, Path(path).parent).encode("utf-8"))


def _own_lines(design: Design, folder: Path, base: Design | None) -> list[str]:
    """All but the tables; of a variant what differs from its design."""
    lines = []
    written = {
        "pattern": _pattern(design.pattern, folder),
        "seam": _seam_text(design.seam),
        "units": design.units if base or design.units != "in" else None,
        "block_folders": [_relative(p, folder) for p in design.block_folders] or None,
    }
    for field in _FIELDS:
        own = getattr(design, field)
        same = base is not None and getattr(base, field) == own
        value = written.get(field, own if field not in ("title", "seed", "fussy") else own or None)
        if value is not None and not same:
            lines.append(f"{'block' if field == 'block_size' else field} = {toml_value(value)}")
    return lines


def _pattern(pattern: str | Path | Pattern, folder: Path) -> str:
    path = pattern_path(pattern)
    if path:
        return _relative(path, folder)
    if isinstance(pattern, Pattern) and is_own(pattern):
        raise QuiltValueError(
            f"design: found pattern {shown(pattern.key)}, which is in no file; accepted: a key, "
            "or the path that write_pattern returns"
        )
    return pattern.key if isinstance(pattern, Pattern) else str(pattern)


def _cloth_lines(table: str, fabrics: Mapping[str, Fabric], folder: Path) -> list[str]:
    lines = []
    for role, fabric in fabrics.items():
        lines += ["", f"[{table}.{toml_key(role)}]", *_fabric_lines(fabric, folder)]
    return lines


def _fabric_lines(fabric: Fabric, folder: Path) -> list[str]:
    repeat = fabric.repeat
    pairs: list[tuple[str, object]] = [("name", fabric.name)]
    if fabric.image:
        pairs.append(("image", _relative(fabric.image, folder)))
    pairs += [
        ("colour", fabric.colour),
        ("width", fabric.width),
        ("direction", fabric.direction if fabric.declared else None),
        ("up", fabric.up_deg or None),
        ("motif", fabric.motif),
        ("repeat", (repeat.width, repeat.height) if repeat else None),
        ("repeat_kind", repeat.kind if repeat else None),
    ]
    return [f"{key} = {toml_value(value)}" for key, value in pairs if value is not None]


def _relative(path: Path, folder: Path) -> str:
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return path.as_posix()
