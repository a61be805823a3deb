"""Texts of anybody's making: an answer, or one clear error. Every case once ended otherwise."""

from __future__ import annotations

import csv
import io
import json
import os
import warnings
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from quiltgeom.cli import cli
from quiltgeom.cli.cutting_options import _have
from quiltgeom.cli.types import DEGREES, Number, parse_fabric
from quiltgeom.cutting.buying.terms import parse_step
from quiltgeom.cutting.listing import plan_csv, plan_text
from quiltgeom.documents.cutting_pages.cutting_folder import plan_design, read_patches
from quiltgeom.errors import QuiltError, QuiltFileError, QuiltValueError, TextError, shown
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.block_file import check_block_file
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.corrections import load_corrections
from quiltgeom.library.design_file import load_design
from quiltgeom.library.notation.expression import evaluate
from quiltgeom.library.pattern_file import check_pattern_file
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric, Repeat
from quiltgeom.onhand.side_file import load_side_file
from quiltgeom.texts import DEPTH, SMALL_BYTES, parse_json, parse_toml, read_json, read_toml
from quiltgeom.units import parse_length

HUGE = 10**5000


def repr_short(value: object) -> str:
    return getattr(value, "__name__", "") or ascii(value)[:30]


@pytest.mark.parametrize(
    "text",
    [
        "1.5/2",
        "-1/2",
        "1/000",
        "9" * 5000,
        "1/" + "9" * 5000,
        "2--1/2",
        "2 - 1/2",
        "1 3/2",
        "1 2/2",
        "٣",
        "9" * 9 + "yd",
        "0.0000001",
        "9" * 400,
    ],
    ids=repr_short,
)
def test_no_length(text: str) -> None:
    with pytest.raises(QuiltValueError, match="not a usable length"):
        parse_length(text)
    with pytest.raises(QuiltValueError, match="not a usable length"):
        parse_step(text)


def test_no_length_in_a_file() -> None:
    for value in (HUGE, -HUGE, 1e308, 1e-300, [], {}, None, [1], 10**400):
        with pytest.raises(QuiltValueError, match="not a usable length"):
            parse_length(value)  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["0x10", "1e7", "2in", "1or 2"])
def test_no_expression_and_no_warning_of_the_parser(text: str) -> None:
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        with pytest.raises(QuiltValueError, match="not a number"):
            evaluate(text)
    assert said == []


def test_no_number() -> None:
    for value in (HUGE, 10**400, float("nan"), float("inf"), None, [[]], 2e6):
        with pytest.raises(QuiltValueError, match="not a number"):
            evaluate(value)


@pytest.mark.parametrize(
    ("parse", "text"),
    [
        (parse_fabric, "a=b.png,up=nan"),
        (parse_fabric, "a=b.png,up=1e400"),
        (parse_fabric, "a=b.png,up=400"),
        (parse_fabric, "a=b\0.png"),
        (parse_fabric, "a=#fff,repeat=2x2,repeat_kind=wavy"),
        (parse_fabric, "a=#fff,direction="),
        (_have, "a=" + "9" * 5000 + "*fat-quarter"),
        (_have, "a=²*fat-quarter"),
        (_have, "a=" + "+".join(["999*5x5"] * 9)),
        (_have, "a=0*5x5"),
    ],
    ids=repr_short,
)
def test_no_option(parse: Callable[[str], object], text: str) -> None:
    with pytest.raises(QuiltValueError, match="accepted"):
        parse(text)


@pytest.mark.parametrize("text", ["nan", "-nan", "inf", "31", "x"])
def test_a_number_in_a_range_is_a_number(text: str) -> None:
    with pytest.raises(click.UsageError):
        Number(0, 30).convert(text, None, None)
    with pytest.raises(click.UsageError):
        DEGREES.convert(text.replace("31", "361"), None, None)


@pytest.mark.parametrize("patches", ["²", "1-²", "9" * 5000], ids=repr_short)
def test_no_count_of_patches(patches: str) -> None:
    result = CliRunner().invoke(cli, ["blocks", "--patches", patches])
    assert result.exit_code == 2
    assert "accepted: a count" in result.output


def test_fabrics_check_themselves() -> None:
    for wrong in (
        {"up_deg": float("nan")},
        {"up_deg": 1e400},
        {"up_deg": "x"},
        {"motif": (-1, 2)},
        {"motif": (float("nan"), 2)},
        {"width": float("nan")},
    ):
        with pytest.raises(QuiltValueError, match="accepted"):
            Fabric("kelp", colour="#fff", **wrong)  # type: ignore[arg-type]
    with pytest.raises(QuiltValueError, match="straight"):
        Repeat(2, 2, "wavy")  # type: ignore[arg-type]
    assert Fabric("a\udce9", colour="#fff").name == "a?"  # as a file name of another machine


def test_an_error_repeats_no_megabyte() -> None:
    with pytest.raises(QuiltValueError) as caught:
        parse_length("9" * 1_000_000)
    assert len(str(caught.value)) < 1000
    assert shown(HUGE) == "a number of thousands of digits"


TOMLS = {
    "no toml": ("rows = ", "valid TOML"),
    "deep lists": ("a = " + "[" * 5000 + "]" * 5000, "deep"),
    "deep tables": ("a = " + "{b = " * 400 + "1" + "}" * 400, "deep"),
    "a little too deep": ("a = " + "[" * (DEPTH + 1) + "]" * (DEPTH + 1), "deep"),
    "long key": (".".join("a" * 5000) + " = 1", "key of more than ten parts"),
    "long header": ("[" + ".".join("a" * 5000) + "]", "key of more than ten parts"),
    "quoted key": ('"a".' * 40 + '"b" = 1', "key of more than ten parts"),
    "digits": ("a = " + "9" * 5000, "valid TOML"),
    "hexadecimal": ("a = 0x" + "f" * 5000, "64 bits"),
    "65 bits": ("a = 18446744073709551616", "64 bits"),
    "null escape": ('a = "b\\u0000"', "null character"),
    "null": ("a = 1\0", "null character"),
}


@pytest.mark.parametrize(("text", "words"), TOMLS.values(), ids=TOMLS)
def test_what_is_no_toml_is_one_error_everywhere(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    for read in (read_toml, load_design, load_side_file):
        with pytest.raises(TextError, match=words) as caught:
            read(path)
        assert len(caught.value.findings) == 1
        assert "mine.toml" in str(caught.value)
    for findings in (check_block_file(path)[1], check_pattern_file(path, load_blocks())[1]):
        assert len(findings) == 1
        assert words in str(findings[0])


JSONS = {
    "nan": ('{"a": NaN}', "NaN"),
    "infinity": ('{"a": [-Infinity]}', "Infinity"),
    "beyond double": ('{"a": 1e999}', "double precision"),
    "digits": ("9" * 5000, "valid JSON"),
    "65 bits": ("18446744073709551616", "64 bits"),
    "deep": ("[" * 90000, "deep"),
    "half a pair": ('["\\ud800"]', "surrogate"),
    "null escape": ('{"\\u0000": 1}', "null"),
    "no json": ("{", "valid JSON"),
    "empty": ("", "valid JSON"),
    "mark": ("\ufeff1", "valid JSON"),
}


@pytest.mark.parametrize(("text", "words"), JSONS.values(), ids=JSONS)
def test_what_is_no_json_is_one_error_everywhere(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "kelp.jpg.reading.json").write_text(text, encoding="utf-8")
    design = Design("rope-walk", rows=1, columns=1)
    for read in (
        lambda: read_json(tmp_path / "kelp.jpg.reading.json"),
        lambda: load_corrections(tmp_path / "kelp.jpg"),
        lambda: read_patches(tmp_path / "kelp.jpg.reading.json", design),
    ):
        with pytest.raises(TextError, match=words):
            read()


def test_a_plan_of_millions_of_lists_is_refused_unread() -> None:
    with pytest.raises(TextError, match="up to 2,000,000"):
        parse_json("[" + "[]," * 1_500_000 + '{"a":' * 600_000, "plan.json")


def test_valid_data_passes_as_it_is() -> None:
    least, most = -(2**63), 2**63 - 1
    assert parse_json(json.dumps([least, most, "\\u0041é😀"]), "a") == [least, most, "\\u0041é😀"]
    assert parse_toml(f'a.b = [{most}]\nc = "\\u00e9 {"f" * 64}"', "a")["a"] == {"b": [most]}
    deep = "[" * (DEPTH - 1) + "]" * (DEPTH - 1)
    parse_json(deep, "a")
    parse_toml(f"a = {deep}", "a")
    parse_toml("at = [" + "0.5, " * 40 + '"1.1.1.1.1.1.1.1.1.1.1.1"]', "a")  # dots, but no key


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes('name = "Möwe"'.encode("latin-1"))
    (tmp_path / "large.toml").write_bytes(b"#" * (SMALL_BYTES + 1))
    (tmp_path / "largest.toml").write_bytes(b"#" * SMALL_BYTES)
    os.mkfifo(tmp_path / "pipe.toml")
    for name, words in (
        ("latin.toml", "byte 9 that is not UTF-8"),
        ("none.toml", "no such file"),
        ("large.toml", "up to 1,000,000 bytes"),
        ("pipe.toml", "no ordinary file"),
        (".", "a folder"),
        ("a\0b", "cannot be read"),
    ):
        with pytest.raises(TextError, match=words) as caught:
            read_toml(tmp_path / name)
        assert isinstance(caught.value, QuiltFileError)
    assert read_toml(tmp_path / "largest.toml") == {}


def _unit(k: int) -> str:
    row = " ".join([f"u{k - 1}" if k else "D"] * 20)
    return f'[unit.u{k}]\ncells = "{" / ".join([row] * 20)}"\n'


BLOCKS = {
    "corner twice": '[[patch]]\nrole = "accent"\nat = [[0, 0], [0, 0], [1, 0, "arc 1"], [1, 1]]',
    "shift of words": '[[patch]]\nrole = "accent"\nat = [[0, 0], [1, 0], [1, 1]]\n'
    'shift = [[[0], 0], ["x", 1]]',
    "centre of words": '[[patch]]\nrole = "accent"\nat = [[0, 0], [1, 0], [1, 1]]\nturn = 3\n'
    'centre = ["x", 1]',
    "shifted away": '[[patch]]\nrole = "accent"\nat = [[0, 0], [1, 0], [1, 1]]\n'
    "shift = [[1e308, 1e308]]",
    "columns of nothing": 'cells = "D D"\ncolumns = [1e-300, 1e300]',
    "copies of copies": 'grid = 4\n[[patch]]\nrole = "accent"\nat = [[0, 0], [1, 0], [1, 1]]\n'
    "turn = 360\nmirror = true\nshift = [[0, 0], [1, 0], [0, 1], [1, 1]]",
    "units of units": "".join(_unit(k) for k in range(4)) + "[make.rings]\n",
    "a hundred thousand cells": f'cells = """{"D " * 100_000}"""',
    "vectors of a point": 'cells = "D"\ntile = [[0.001, 0], [0, 0.001]]',
    "vectors far askew": 'cells = "D"\ntile = [[1, 0], [100000, 1]]',
    "all over each other": 'grid = 2\n[[patch]]\nrole = "accent"\n'
    "at = [[0, 0], [2, 0], [2, 2], [0, 2]]\nturn = 360",
}


@pytest.mark.parametrize("text", BLOCKS.values(), ids=BLOCKS)
def test_blocks_that_nobody_sews_are_findings(tmp_path: Path, text: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(f'name = "Mine"\n{text}', encoding="utf-8")
    _, findings, _ = check_block_file(path)
    assert findings
    assert len(findings) < 1000
    assert all(str(f).startswith("mine.toml") for f in findings)


@pytest.mark.parametrize("size", [1, 2, 5])
@pytest.mark.parametrize("roles", [["accent"], ["accent", "background"]])
def test_stars_of_any_size_and_one_role_have_an_outline(
    tmp_path: Path, size: int, roles: list[str]
) -> None:
    path = tmp_path / "star.toml"
    path.write_text(
        'name = "Star"\n[make.sixty]\nshape = "hexagon star"\n'
        f"size = {size}\nroles = {json.dumps(roles)}\n"
    )
    block, findings, _ = check_block_file(path)
    assert findings == []
    assert block is not None
    # six rhombs of side n in the points and six in the notches: a regular hexagon of side 2 n
    assert block.boundary.area == pytest.approx(1.5 * 3**0.5 * (2 * size) ** 2)
    assert len(block.boundary.points) == 6


def _pattern(**changes: str) -> str:
    parts = {
        "top": 'name = "Mine"\nsummary = "s"\nsetting = "straight"\nrows = 3\ncolumns = 3\n'
        'cells = ["A"]\n[roles.focus]\n[tiles.A]\nplain = "focus"\n'
    } | changes
    return "".join(parts.values())


def test_pieces_without_number_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(
        _pattern(
            border='[[border]]\nwidth = 1\nunit = "A"\nunit_length = 0.001\ncorner_role = "focus"\n'
        )
    )
    pattern, findings = check_pattern_file(path, load_blocks())
    assert findings == []
    assert pattern is not None
    with pytest.raises(QuiltValueError, match=r"pieces; accepted: up to|proportions"):
        lay_out(pattern, rows=300, columns=300)


@pytest.mark.parametrize(
    "said",
    [
        {"up_deg": [1]},
        {"up_deg": "90"},
        {"up_deg": 1e300},
        {"motif_in": True},
        {"motif_in": -1},
        {"motif_in": 1e300},
        {"direction": []},
        {"direction": 3},
        {"weather": 1},
        [],
        "one-way",
        {"repeat_width_in": 2},
        {"repeat_width_in": [], "repeat_height_in": {}},
    ],
)
def test_saved_words_of_the_user_are_checked(tmp_path: Path, said: object) -> None:
    saved = tmp_path / "kelp.jpg.reading.json"
    saved.write_text(json.dumps({"corrections": said}))
    with pytest.raises(QuiltFileError, match=r"kelp\.jpg\.reading\.json"):
        load_corrections(tmp_path / "kelp.jpg")


def test_a_plan_with_wrong_numbers_is_no_plan(tmp_path: Path) -> None:
    design = Design("rope-walk", rows=1, columns=1)
    row = {"piece": 0, "part": 1, "x": 0, "y": 0, "lie": 0}
    for wrong in (
        {"piece": 1e300},
        {"piece": True},
        {"piece": "0"},
        {"x": 1e300},
        {"lie": None},
        {"part": 1.5},
        {"outline": [[0, 0]]},
        {"outline": [[1, 2, 3]]},
    ):
        data = {
            "width_in": 1,
            "height_in": 1,
            "fabrics": [{"pieces": [{"patches": [row | wrong]}]}],
        }
        (tmp_path / "plan.json").write_text(json.dumps(data))
        with pytest.raises(QuiltError, match="found no plan"):
            read_patches(tmp_path / "plan.json", design)


HOSTILE = '=cmd|"/c x"!A1 *b* <img src=x> [l](javascript:x) `q`\n\n# head'


def test_names_do_no_harm_in_tables_and_markdown() -> None:
    fabrics = {
        "accent": Fabric(HOSTILE, colour="#204a5e"),
        "focus": Fabric("-2", colour="#fff"),
        "background": Fabric("@x", colour="#eee"),
    }
    plan = plan_design(Design("rope-walk", fabrics, title=HOSTILE, rows=1, columns=1))
    rows = list(csv.reader(io.StringIO(plan_csv(plan))))
    names = {row[0]: row[1] for row in rows[1:]}
    assert names == {"accent": "'" + HOSTILE, "focus": "-2", "background": "'@x"}
    lines = plan_text(plan, markdown=True).split("\n")
    escaped = r'=cmd\|"/c x"\!A1 \*b\* \<img src=x\> \[l\](javascript:x) \`q\` \# head'
    assert lines[0].startswith(f"# {escaped}: ")
    assert f"## accent ({escaped})" in lines
    assert [line for line in lines if line.startswith("# ")] == lines[:1]
    assert {line.count("|") for line in lines if line.startswith("|")} == {6}
