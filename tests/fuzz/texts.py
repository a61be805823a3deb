"""Generators of texts that people type or write, and what the library does with them."""

from __future__ import annotations

import json
import tomllib
import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import click

from quiltgeom.cli.commands.blocks_command import _span
from quiltgeom.cli.commands.companions_command import _need
from quiltgeom.cli.cutting_options import _have, _method
from quiltgeom.cli.photo_options import _AREA, _white
from quiltgeom.cli.types import DEGREES, LENGTHS, SIZE, Number, parse_fabric
from quiltgeom.cutting.as_cut import assemble
from quiltgeom.cutting.buying.terms import Terms, parse_step
from quiltgeom.cutting.listing import plan_data
from quiltgeom.documents.cutting_pages.cutting_folder import plan_design, read_patches
from quiltgeom.errors import QuiltError
from quiltgeom.fabric.reading.reading import corrected, read_array
from quiltgeom.layout.quilt_layout import fit_size, lay_out
from quiltgeom.library.block_facts import block_facts
from quiltgeom.library.block_file import check_block_file
from quiltgeom.library.blocks import block_folder, load_blocks, pattern_folder
from quiltgeom.library.corrections import load_corrections, load_reading
from quiltgeom.library.design_file import design_text, load_design, parse_size
from quiltgeom.library.notation.expression import evaluate
from quiltgeom.library.pattern_file import check_pattern_file
from quiltgeom.model.design import Design
from quiltgeom.onhand.features import features_of
from quiltgeom.onhand.side_file import load_side_file
from quiltgeom.outputs.manifest import MANIFEST, Manifest, load_manifest
from quiltgeom.render.preview import make_quilt, preview
from quiltgeom.units import parse_length
from tests.fuzz.cases import Kind
from tests.fuzz.index import damaged_index, use_index
from tests.fuzz.mutate import damaged_file, json_of, toml_of, typed

__all__ = ["KINDS"]

_LENGTHS = ['2 1/2"', "2-1/2 in", "6.35 cm", "1 1/2 yd", "½", "1/4in", "44", ".5in", "10cm"]
_SIZES = ["44x60", '18 1/2" x 21 in', "36in x 40in", "1yd×40in"]
_FABRICS = [
    "focus=photo.jpg,width=12in,direction=one-way",
    "accent=#204a5e",
    "a=#fff,name=sky",
    "focus=a.png,width=30cm,up=90,repeat=6x4,repeat_kind=brick,motif=3x2",
]
_CLOTHS = [
    "focus=36inx40in",
    "accent=4*fat-quarter",
    "a=2*fat-quarter+5x9",
    "background=1yd x 44in",
]
_EXPRESSIONS = ["3/(2+sqrt2)", "1 + 1/2", "2*d", "sqrt(3)/2", "-sin(30)*cos(60)", "tan(45)", "pi"]
_WORDS = [
    "pairs",
    "accent=pairs",
    "1-19",
    "12",
    "background=54inx40in",
    "90",
    "-12.5",
    "0.5",
    "auto",
    "310,220 2105,260",
    "2in, 4in, 1.5in",
    "30",
]


def _typed(examples: list[str]) -> Callable[[Random], bytes]:
    return lambda r: typed(r, r.choice(examples)).encode("utf-8", "surrogatepass")


def _reads(*parsers: Callable[[str], object]) -> Callable[[bytes, Path], bool]:
    """Runs a text through parsers; each may refuse it."""

    def run(data: bytes, folder: Path) -> bool:
        text, refused = data.decode("utf-8", "surrogatepass"), 0
        for parse in parsers:
            try:
                parse(text)
            except (click.UsageError, QuiltError):
                refused += 1
        return refused < len(parsers)

    return run


_OPTIONS = (
    _method,
    _span,
    _need,
    _white,
    lambda t: _AREA.convert(t, None, None),
    lambda t: DEGREES.convert(t, None, None),
    lambda t: SIZE.convert(t, None, None),
    lambda t: LENGTHS.convert(t, None, None),
    lambda t: Terms(shrink=Number(0, 30).convert(t, None, None) / 100),
)
"""Every option that has a form of its own."""


@cache
def _tomls(folder: Path) -> list[tuple[Any, str]]:
    texts = [p.read_text("utf-8") for p in sorted(folder.glob("*.toml"))]
    return [(tomllib.loads(t), t) for t in texts]


def _damaged(
    examples: Callable[[], list[tuple[Any, str]]], write: Callable[[Any], str]
) -> Callable[[Random], bytes]:
    def make(r: Random) -> bytes:
        pairs = examples()
        data, text = r.choice(pairs)
        return damaged_file(r, data, text, [t for _, t in pairs], write)

    return make


_DESIGNS = [
    'pattern = "gull-cove"\ntitle = "Herons"\nrows = 3\ncolumns = 2\nblock = "9in"\nseed = 4\n'
    'borders = ["2in", "4 1/2in"]\nfussy = ["focus"]\nblock_folders = ["."]\n'
    '[fabric.focus]\nimage = "herons.jpg"\nwidth = "12in"\ndirection = "one-way"\nup = 90\n'
    'repeat = ["6in", "4in"]\nrepeat_kind = "half-drop"\nmotif = ["3in", "2in"]\n'
    '[fabric.accent]\ncolour = "#204a5e"\nname = "Harbour blue"\n',
    'pattern = "harbour-windows"\nsize = ["44in", "60in"]\nsashing = "2in"\n'
    '[fabric.background]\ncolour = "#f3ead8"\n',
    'pattern = "tide-tables"\nrows = 4\ncolumns = 3\nblock = 12\n',
    'pattern = "mussel-bed"\nrows = 6\ncolumns = 5\nblock = "5 1/2in"\n',
    'pattern = "lighthouse-keep"\nsize = [60, 60]\n',
]
_SIDES = [
    'width = "12in"\n[swatch."kelp.jpg"]\nwidth = "8 in"\nname = "Kelp"\nnotes = "soft"\n'
    'width_on_hand = "40in"\nlength_on_hand = 0\n[swatch."a/ropes.png"]\nname = "Ropes"\n',
    'width = "30 cm"\n',
    '[swatch."x.jpg"]\nlength_on_hand = "1 1/2 yd"\n',
]


def _from(texts: list[str]) -> Callable[[], list[tuple[Any, str]]]:
    return cache(lambda: [(tomllib.loads(t), t) for t in texts])


def _file(folder: Path, name: str, data: bytes) -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def _design(data: bytes, folder: Path) -> bool:
    design = load_design(_file(folder, "design.toml", data))
    again = design_text(design, folder)
    again.encode("utf-8")
    if design.block_folders:  # blocks of the user's own: read each time, and not what is tried here
        return True
    quilt = make_quilt(design)
    if len(quilt) < 400 and zlib.crc32(data) % 4 == 0:
        preview(design)
    return True


def _block(data: bytes, folder: Path) -> bool:
    block, findings, _ = check_block_file(_file(folder, "block.toml", data))
    _ = "\n".join(map(str, findings)).encode("utf-8")
    if block is None or findings:
        return False
    block_facts(block)
    return True


def _pattern(data: bytes, folder: Path) -> bool:
    pattern, findings = check_pattern_file(_file(folder, "pattern.toml", data), load_blocks())
    _ = "\n".join(map(str, findings)).encode("utf-8")
    if pattern is None:
        return False
    quilt = lay_out(pattern)
    if len(quilt) < 400:
        fit_size(pattern, quilt.width * 1.1, 60)
    return True


@cache
def _reading() -> Any:
    import numpy as np

    rgb = np.full((80, 90, 3), (190, 0, 50), dtype=np.uint8)
    rgb[20:40, 20:50] = (250, 240, 200)
    return read_array(rgb, 6.0)


@cache
def _readings() -> list[tuple[Any, str]]:
    data = _reading().to_json()
    data["corrections"] = {
        "direction": "one-way",
        "up_deg": 90.0,
        "motif_in": 2.0,
        "repeat_width_in": 6.0,
        "repeat_height_in": 4.0,
    }
    small = {"corrections": data["corrections"]}
    return [(d, json.dumps(d, indent=2)) for d in (data, small)]


def _saved(data: bytes, folder: Path) -> bool:
    _file(folder, "kelp.jpg.reading.json", data)
    said = load_corrections(folder / "kelp.jpg")
    json.dumps(corrected(_reading(), said).to_json(), allow_nan=False).encode()
    features_of(load_reading(folder / "kelp.jpg") or {}).tobytes()
    return True


_SMALL = Design("rope-walk", rows=2, columns=2)


@cache
def _plans() -> list[tuple[Any, str]]:
    data = plan_data(plan_design(_SMALL))
    return [(data, json.dumps(data, indent=2))]


def _plan(data: bytes, folder: Path) -> bool:
    quilt = make_quilt(_SMALL)
    assemble(quilt, read_patches(_file(folder, "plan.json", data), _SMALL))
    return True


def _state(data: bytes, folder: Path) -> bool:
    _file(folder, MANIFEST, data)
    made = load_manifest(folder)
    if made is not None:
        made.changed(folder)
        made.proves(folder, Manifest("prints"))
    return True


_MADE = {
    "format": 1,
    "kind": "prints",
    "finished": True,
    "files": {"kelp/quilt.png": "00ff"},
    "cloth": {},
    "inputs": {"print": "a1"},
    "options": {"prints": {"kelp.jpg": "kelp"}},
    "versions": {"code": "1"},
}
_STATES = [(_MADE, json.dumps(_MADE))]

KINDS = {
    "length": Kind(_typed(_LENGTHS), _reads(parse_length, parse_step), 6),
    "size": Kind(_typed(_SIZES), _reads(parse_size), 3),
    "fabric": Kind(_typed(_FABRICS), _reads(parse_fabric), 5),
    "cloth": Kind(_typed(_CLOTHS), _reads(_have), 4),
    "expression": Kind(_typed(_EXPRESSIONS), _reads(lambda t: evaluate(t, {"d": 0.5})), 5),
    "option": Kind(_typed(_WORDS), _reads(*_OPTIONS), 4),
    "design": Kind(_damaged(_from(_DESIGNS), toml_of), _design, 14),
    "block": Kind(_damaged(lambda: _tomls(block_folder()), toml_of), _block, 20),
    "pattern": Kind(_damaged(lambda: _tomls(pattern_folder()), toml_of), _pattern, 14),
    "side": Kind(
        _damaged(_from(_SIDES), toml_of),
        lambda d, f: bool(load_side_file(_file(f, "on-hand.toml", d))),
        6,
    ),
    "reading": Kind(_damaged(_readings, json_of), _saved, 8),
    "plan": Kind(_damaged(_plans, json_of), _plan, 6),
    "manifest": Kind(_damaged(lambda: _STATES, json_of), _state, 1),
    "index": Kind(damaged_index, use_index, 4),
}
