"""The front door: wrong questions are one clear error, right ones answered as documented."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import quiltgeom as qg
from quiltgeom.jobs.cloth_on_hand import on_hand
from quiltgeom.jobs.companion_search import find_alike
from quiltgeom.jobs.content_checks import check_blocks
from quiltgeom.jobs.library_lists import list_blocks, list_patterns
from quiltgeom.jobs.show import values

KEY = "harbour-windows"
GRID = np.zeros((240, 240, 3), np.uint8)
GRID[::24] = GRID[:, ::24] = 220

WRONG: list[tuple[str, Callable[[], Any], str]] = [
    ("unknown option", lambda: qg.lay_out(KEY, sise=(44, 60)), "'sise'; accepted: size"),
    ("unknown option", lambda: qg.preview(KEY, colour="#fff"), "an option 'colour'"),
    ("unknown option", lambda: qg.cut(KEY, hve={}), "'hve'; accepted: have"),
    ("unknown option", lambda: qg.kit(KEY, seem=1), "'seem'; accepted: seed, seam"),
    ("unknown option", lambda: qg.templates("pinwheel", siz=4), "'siz'; accepted: size"),
    ("unknown option", lambda: qg.sew("pinwheel", seem=1), "'seem'; accepted: seam"),
    ("unknown option", lambda: qg.advise("x.jpg", "out", swatch="y"), "an option 'swatch'"),
    ("a text for a size", lambda: qg.lay_out(KEY, size="44x60"), "size: found '44x60'"),
    ("a text for a size", lambda: qg.templates("pinwheel", size="six"), "size: found 'six'"),
    ("a text for a size", lambda: qg.sew("pinwheel", "six"), "size: found 'six'"),
    ("a text for a width", lambda: qg.read(GRID, "twelve"), "width: found 'twelve'"),
    ("a text for a width", lambda: qg.cut(KEY, width="wide"), "width: found 'wide'"),
    ("a text for cloth", lambda: qg.cut(KEY, have={"focus": "1 yard"}), "have: found"),
    ("a number for cloth", lambda: qg.cut(KEY, have={"focus": 36}), "have: found"),
    ("no roles", lambda: qg.cut(KEY, have=(36, 40)), "have: found (36, 40)"),
    ("a dict of options", lambda: qg.cut(KEY, options={"manner": "easy"}), "options: found"),
    ("another style", lambda: qg.preview(KEY, style="fancy"), "style: found 'fancy'"),
    ("a text for a switch", lambda: qg.preview(KEY, seams="no"), "seams: found 'no'"),
    ("a list of cloths", lambda: qg.preview(KEY, [1]), "fabrics: found [1]"),
    ("a cloth that is none", lambda: qg.preview(KEY, {"focus": 3}), "fabrics: focus: found 3"),
    ("a role that is none", lambda: qg.preview(KEY, {"main": "#fff"}), "role 'main'"),
    ("a colour as a picture", lambda: qg.Fabric("rust", "#b5532a"), "colour='#b5532a'"),
    ("keys for patterns", lambda: qg.match(GRID, 12, patterns=[KEY]), "patterns: found"),
    ("a word for loudness", lambda: qg.match(GRID, 12, loudness="loud"), "loudness: found 'loud'"),
    ("no level", lambda: qg.match(GRID, 12, level="beginner"), "first quilt"),
    (
        "one block for many",
        lambda: qg.make_pattern("P", qg.load_blocks().get("pinwheel")),
        "blocks",
    ),
    ("a block's name", lambda: qg.make_pattern("P", ["kite"]), "blocks"),
    ("a number for a name", lambda: qg.make_block(5, grid=2), "name"),
    ("no such pattern", lambda: qg.lay_out("harbor-windows"), "did you mean harbour-windows"),
    ("nothing", lambda: qg.lay_out(None), "design: found None"),
    ("another paper", lambda: qg.kit(KEY, paper="a5"), "paper: found 'a5'"),
    ("size and counts", lambda: qg.Design(KEY, size=(44, 60), rows=2), "one of the two ways"),
]  # each is what somebody new to it wrote


@pytest.mark.parametrize(("what", "ask", "words"), WRONG, ids=[f"{k}" for k in range(len(WRONG))])
def test_a_wrong_question_is_one_clear_error(what: str, ask: Callable[[], Any], words: str) -> None:
    with pytest.raises(qg.QuiltError) as told:
        ask()
    assert words in str(told.value), what
    assert "accepted" in str(told.value) or "did you mean" in str(told.value)


def test_what_commands_list_is_answers_too(tmp_path: Path) -> None:
    shelf, bad = tmp_path / "shelf", tmp_path / "bad.toml"
    shelf.mkdir()
    for name, colour in (("slate", "#445566"), ("rust", "#b5532a")):
        Image.effect_noise((120, 120), 40).convert("RGB").save(shelf / f"{name}.png")
        Image.new("RGB", (120, 120), colour).save(shelf / f"plain-{name}.png")
    bad.write_text('name = "Bad"\ngrid = 2\n[[patch]]\nrole = "focus"\nat = [[0,0],[2,0],[2,2]]\n')
    stock = on_hand(shelf, width=6, swatch="rust", notes={"width_on_hand": 40.0})
    assert [line.split()[0] for line in stock.lines()] == [
        "plain-rust",
        "plain-slate",
        "rust",
        "slate",
    ]
    assert "40" in stock.lines()[2]
    assert stock.notes() == [
        f"{shelf / 'on-hand.sqlite'}: 4 found, 4 read now, 0 gone, 0 unreadable"
    ]
    alike = find_alike(shelf / "rust.png", shelf, width=6, most=2)
    assert [c["name"] for c in alike.to_json()["swatches"]] == [c.name for c in alike.cloths]
    checked = check_blocks(bad)
    assert checked.files == len(checked.blocks) == 1
    assert checked.findings
    answers = [stock, alike, checked, values(KEY, {"background": "#ffffff", "accent": "#111111"})]
    answers += [list_blocks("churn-dash"), list_patterns(["gull-cove"])]
    for k, answer in enumerate(answers):
        files = [answer.save(tmp_path / f"{k}{end}") for end in (".json", ".txt", ".svg")]
        assert all(f.stat().st_size > 50 for f in files), answer
        assert len(repr(answer)) < 200
    with pytest.raises(qg.QuiltError, match=r"found \d+ blocks .*; accepted: one"):
        list_blocks(text="star").save(tmp_path / "stars.svg")


def test_answers_show_save_and_say(tmp_path: Path) -> None:
    swatch = qg.read(GRID, 12)
    worn = {"focus": swatch, "background": "#f3ead8", "accent": qg.Fabric("slate", colour="#456")}
    shown = qg.preview(KEY, worn, rows=1, columns=1)
    answers = [swatch, shown, qg.cut(KEY, worn, rows=1, columns=1), qg.sew("pinwheel", 4)]
    answers += [qg.templates("pinwheel", size=4), qg.match(swatch, patterns=[_pattern()])]
    for k, answer in enumerate(answers):
        assert answer._repr_png_()[1:4] == b"PNG"
        assert len(repr(answer)) < 200
        assert "\n" not in repr(answer)
        assert answer.to_json()
        files = [answer.save(tmp_path / f"{k}{end}") for end in (".json", ".txt", ".pdf", ".png")]
        assert all(f.stat().st_size for f in files)
    assert shown.svg().rstrip().endswith("</svg>")


def _pattern() -> qg.Pattern:
    return qg.load_patterns().get(KEY)


def test_a_design_in_any_form_is_the_same_quilt(tmp_path: Path) -> None:
    file = tmp_path / "design.toml"
    file.write_text(f'pattern = "{KEY}"\n', encoding="utf-8")
    quilts = [qg.lay_out(what) for what in (KEY, "Harbour Windows", _pattern(), qg.Design(KEY))]
    quilts += [qg.lay_out(what) for what in (file, str(file), tmp_path)]
    assert {q.pieces for q in quilts} == {quilts[0].pieces}
    block = qg.load_blocks().get("churn-dash")
    assert qg.lay_out(block, block_size=9).width == 9
