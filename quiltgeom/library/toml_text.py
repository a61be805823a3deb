"""Values as TOML, and blocks and patterns as files that a person can go on with."""

import itertools
import json
import math
from collections.abc import Iterable, Iterator
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from quiltgeom.errors import QuiltKeyError, QuiltValueError, shown
from quiltgeom.files import free_name, safe_name, write_whole
from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.library.block_file import block_from_data
from quiltgeom.library.blocks import BlockLibrary, load_blocks, name_key
from quiltgeom.library.pattern_file import pattern_from_data
from quiltgeom.library.patterns import is_own
from quiltgeom.model.block import Block, plain_block
from quiltgeom.model.pattern import Cell, Pattern
from quiltgeom.texts import parse_toml


def toml_value(value: object) -> str:
    """A text, a number, a truth, or a list of them.

    >>> toml_value(["2 in", 3.0, 0.25, True])
    '["2 in", 3, 0.25, true]'
    """
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(v) for v in value) + "]"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    # TOML's basic strings are JSON's, but for one control character
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")


def toml_key(name: str) -> str:
    """A key, in quotes where it has to be."""
    return name if name.replace("-", "").isalnum() and name.isascii() else toml_value(name)


def _lines(*pairs: tuple[str, object]) -> Iterator[str]:
    """What is not as it would be if it were left out."""
    return (f"{key} = {toml_value(v)}" for key, v in pairs if v not in ("", 0, (), None, False))


def block_text(block: Block) -> str:
    """A block as a file, patch by patch; read again, it is the same block.

    >>> print(block_text(plain_block(1, 2, "focus")))
    name = "Plain"
    grid = [1, 2]
    <BLANKLINE>
    [[patch]]
    role = "focus"
    at = [[0, 0], [1, 0], [1, 2], [0, 2]]
    <BLANKLINE>
    """
    whole = block.boundary == rectangle(0, 0, block.width, block.height)
    text = [
        *_lines(
            ("name", block.name or block.key),
            *((key, getattr(block, key)) for key in ("aliases", "family", "source", "notes")),
            ("grid", (block.width, block.height)),
            ("outline", None if whole else _corners(block.boundary)),
            ("tile", block.tile),
        )
    ]
    for p in block.patches:
        text += ["", "[[patch]]", *_lines(("role", p.role), ("part", p.part))]
        text += _lines(("at", _corners(p.outline)), ("turned", p.turn_deg))
    return "\n".join(text) + "\n"


def _corners(outline: Outline) -> list[list[object]]:
    """Corners, each with the arc to the next; an arc of more than half a circle is two."""
    corners: list[list[object]] = []
    for (x0, y0), (x1, y1), bulge in outline.edges():
        ends = [(x0, y0), (x1, y1)]
        if abs(bulge) > 1:  # the middle of an arc is off that of its chord by the bulge
            ends[1:1] = [((x0 + x1 + bulge * (y1 - y0)) / 2, (y0 + y1 - bulge * (x1 - x0)) / 2)]
            bulge = math.tan(math.atan(bulge) / 2)
        for p, q in itertools.pairwise(ends):
            radius = math.dist(p, q) * (1 + bulge * bulge) / (4 * bulge) if bulge else 0.0
            corners.append([*p, f"arc {radius!r}"] if bulge else [*p])
    return corners


def write_pattern(pattern: Pattern, folder: str | Path, blocks: Iterable[str | Path] = ()) -> Path:
    """Write a pattern as a file into a folder, and beside it its blocks that neither the package
    nor one of the folders ``blocks`` has; returns the pattern's path. A ``folder`` that ends in
    ``.toml`` is the file itself, whose name is then the pattern's key.

    Raises:
        QuiltValueError: it does not say what a pattern file can say, or a block is not covered.
        QuiltFileError: the folder cannot be written.
    """
    folder = Path(folder)
    if folder.suffix.lower() == ".toml" and not folder.is_dir():
        folder, pattern = folder.parent, replace(pattern, key=folder.stem)
    texts = pattern_texts(pattern, load_blocks(*blocks))
    return [write_whole(folder / n, t.encode("utf-8")) for n, t in texts.items()][-1]


def identity(pattern: Pattern, blocks: Iterable[str | Path] = ()) -> str:
    """What a pattern is, for comparing it: its key, of one's own all that is written of it."""
    texts = pattern_texts(pattern, load_blocks(*blocks)).values() if is_own(pattern) else ()
    return "\n".join([pattern.key, *texts])


def pattern_texts(pattern: Pattern, blocks: BlockLibrary) -> dict[str, str]:
    """As :func:`write_pattern`: texts by file name, the pattern's own last."""
    stem = safe_name(pattern.key)
    own: dict[str, Block] = {}
    tiles: list[str] = []
    for label, tile in pattern.tiles.items():
        tiles += ["", f"[tiles.{_label(pattern, label)}]"]
        first = tile.block.patches[0] if tile.block.patches else None
        if first and tile.block == plain_block(1, 1, first.role, first.part):
            tiles.append(f"plain = {toml_value(first.role)}")
        else:
            tiles += _use(tile.block, own, blocks, stem)
    text = "\n".join([*_top(pattern), *_parts(pattern), *tiles, ""])
    texts = {f"{key}.toml": block_text(block) for key, block in own.items()}
    findings = []
    for name, drawn in texts.items():
        found = block_from_data(parse_toml(drawn, name), key=name, where=name)[1]
        findings += [f for f in found if f.level == "error"]
    where = f"{stem}.toml"
    if not findings:
        data = parse_toml(text, where)
        findings = pattern_from_data(data, blocks, key=stem, where=where, own=own.get)[1]
    if findings:
        raise QuiltValueError(
            f"pattern {shown(pattern.key)}: cannot be written as a file: "
            + "; ".join(map(str, findings))
        )
    return texts | {where: text}


def _use(block: Block, own: dict[str, Block], blocks: BlockLibrary, stem: str) -> list[str]:
    """The block of a tile by its key, with what is renamed; one that nothing has is kept in
    ``own``."""
    key = name_key(block.key) or "block"
    try:
        known = [blocks.get(key)]
    except QuiltKeyError:
        known = []
    for name, base in [*((key, b) for b in known), *own.items()]:
        both = list(zip(base.patches, block.patches, strict=False))
        parts = {a.part: b.role for a, b in both if a.part}
        for renamed in (
            {a.role: b.role for a, b in both},
            {a.role: b.role for a, b in both if not a.part} | parts,
        ):
            if base.recoloured(renamed) == block:
                pairs = [f"{toml_key(a)} = {toml_value(b)}" for a, b in renamed.items() if a != b]
                roles = [f"roles = {{ {', '.join(pairs)} }}"] if pairs else []
                return [f"use = {toml_value(name)}", *roles]
    name = free_name(key, [stem, *own])
    own[name] = block
    return [f"use = {toml_value(name)}"]


def _label(pattern: Pattern, label: str) -> str:
    """A tile's label as a cell can name it: letters alone."""
    plain = label.isalpha() and label.isascii()
    return label if plain else f"T{'I' * (1 + [*pattern.tiles, label].index(label))}"


def _cell(pattern: Pattern, cell: Cell) -> str:
    turns = cell.quarter_turns if cell.quarter_turns or cell.mirror else ""
    return f"{_label(pattern, cell.tile)}{turns}{'m' * cell.mirror}"


def _rows(pattern: Pattern, rows: Iterable[Iterable[Cell]]) -> tuple[str, ...]:
    return tuple(" ".join(_cell(pattern, cell) for cell in row) for row in rows)


def _top(pattern: Pattern) -> Iterator[str]:
    return _lines(
        ("name", pattern.name or pattern.key),
        ("summary", pattern.summary or pattern.name or pattern.key),
        ("setting", pattern.setting),
        ("block", pattern.block_size),
        ("rows", pattern.rows),
        ("columns", pattern.columns),
        ("cells", _rows(pattern, pattern.cells)),
        ("inner", _rows(pattern, pattern.inner)),
        ("fold", pattern.fold),
    )


def _parts(pattern: Pattern) -> Iterator[str]:
    """All its tables but the tiles."""
    for name, role in pattern.roles.items():
        yield from _table(f"[roles.{toml_key(name)}]", role, name=None)
    if pattern.side_role or pattern.corner_role:
        yield from ("", "[edges]")
        yield from _lines(("side", pattern.side_role), ("corner", pattern.corner_role))
    for stack in pattern.stacks:
        yield from _table("[[column]]", stack, cell=_cell(pattern, stack.cell))
    if pattern.sashing:
        yield from _table("[sashing]", pattern.sashing)
    for border in pattern.borders:
        units = {k: getattr(border, k) for k in ("unit", "corner_unit") if getattr(border, k)}
        labels = {k: _label(pattern, label) for k, label in units.items()}
        yield from _table("[[border]]", border, **labels)


def _table(head: str, part: Any, **other: object) -> Iterator[str]:
    """A part of a pattern, whose fields are the keys of its table; None in ``other``: left out."""
    yield from ("", head)
    for f in fields(part):
        value = other.get(f.name, getattr(part, f.name))
        if value is not None and value != f.default:
            yield f"{'tile' if f.name == 'cell' else f.name} = {toml_value(value)}"
