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
from quiltgeom.sewing.sewing_sheet import QuiltSewing

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
    ("a quilt for its design", lambda: qg.cut(qg.lay_out(KEY)), "give what lay_out was given"),
    ("neither block nor pattern", lambda: qg.sew("gul-cove"), "did you mean gull-cove"),
    ("neither block nor pattern", lambda: qg.templates("gul-cove"), "the folder of a kit"),
    ("a name of great length", lambda: qg.sew("x" * 500), "no block called"),
    ("a block's size of a quilt", lambda: qg.sew(KEY, 6), "size: found 6"),
    ("a block's size of a quilt", lambda: qg.templates(KEY, size=6), "size: found 6"),
    ("a block's sheet of a quilt", lambda: qg.templates(KEY, class_sheet=True), "class_sheet: f"),
    ("another length", lambda: qg.lay_out(KEY, size=("110 ells", 40)), "size: found ('110 ells'"),
    ("a misspelt width", lambda: qg.read("x.png", widht=12), "did you mean width?"),
    ("no such repeat", lambda: qg.read(GRID, 12, repeat_kind="wavy"), "repeat kind: found"),
    ("no folder of patterns", lambda: qg.load_patterns("nope"), "patterns nope: found no pattern"),
    ("pixels in words", lambda: qg.sew("pinwheel", 4).png("big"), "px: found 'big'"),  # type: ignore[arg-type]
    ("a width of a file", lambda: qg.sew("pinwheel", 4).save("x.png", width=9), "option 'width'"),
    ("a misspelt field", lambda: qg.Fabric("rust", color="#b5532a"), "did you mean colour?"),  # type: ignore[call-arg]
    ("a misspelt field", lambda: qg.CutOptions(seams=0.5), "did you mean seam?"),  # type: ignore[call-arg]
    ("a misspelt field", lambda: qg.Repeat(6, 2, knd="brick"), "did you mean kind?"),  # type: ignore[call-arg]
    ("a misspelt field", lambda: qg.Terms(step=9, width=40), "an option 'width'"),  # type: ignore[call-arg]
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


def test_what_is_answered_is_asked_with_again(tmp_path: Path) -> None:
    """Whatever holds a design is one, with its cloths."""
    worn = {"focus": "#88aacc"}
    shown = qg.preview(KEY, worn, rows=1, columns=2)
    made = qg.cut(shown)
    whole = qg.kit(made)
    quilt = shown.quilt.pieces
    for what in (shown, made, whole, whole.proposal, qg.sew(shown), shown.design):
        assert what is not None
        assert qg.lay_out(what).pieces == quilt
        assert qg.preview(what).mockup.scene == shown.mockup.scene
    assert qg.kit(whole).proposal.plan is whole.proposal.plan
    assert qg.templates(made).to_json() == qg.templates(shown).to_json()
    with pytest.raises(qg.QuiltError, match="give what lay_out was given"):
        qg.preview(qg.lay_out(KEY))
    found = qg.match(qg.read(GRID, 12), size=(50, 70), patterns=[_pattern()])
    assert qg.lay_out(found.fits[0]).pieces == found.fits[0].quilt.pieces
    with pytest.raises(qg.QuiltError, match=r"match\(...\).fits\[0\]"):
        qg.cut(found)


def test_the_folder_of_a_kit_is_a_text_as_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "kitfolder").mkdir()
    (tmp_path / "kitfolder" / "design.toml").write_text(f'pattern = "{KEY}"\n', encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for what in ("kitfolder", Path("kitfolder"), "kitfolder/design.toml"):
        assert str(qg.sew(what)) == str(qg.sew(_pattern()))
        assert qg.templates(what).to_json() == qg.templates(_pattern()).to_json()


def test_companions_are_worn(tmp_path: Path) -> None:
    from PIL import Image

    for k, colour in enumerate(["#f4efe0", "#e8e0cc", "#2b3f55", "#704030"]):
        Image.new("RGB", (240, 240), colour).save(tmp_path / f"cloth{k}.png", dpi=(40, 40))
    found = qg.companions(GRID, tmp_path, width=12)
    assert set(found.fabrics) == {"focus", "background", "accent"}
    shown = qg.preview(KEY, found.fabrics, rows=1, columns=1)
    assert shown.design is not None
    pair = found.companions.pairs[0]
    assert shown.design.fabrics["accent"].image == pair.accent.path
    again = qg.preview(KEY, {"background": pair.background}, rows=1, columns=1)
    assert again.design is not None
    assert again.design.fabrics["background"] == pair.fabrics["background"]


def test_lengths_are_texts_and_pairs_lists_as_well() -> None:
    wanted = qg.lay_out(KEY, size=(44, 60), borders=(2, 3))
    assert qg.lay_out(KEY, size=[44, 60], borders=["2 in", 3]).pieces == wanted.pieces
    metric = qg.lay_out(KEY, size=["110 cm", "1.5 m"], units="cm")
    assert metric.pieces == qg.lay_out(KEY, size=(110 / 2.54, 150 / 2.54), units="cm").pieces
    have = qg.cut(KEY, have={"focus": ["1 yd", "40 in"]}, rows=1, columns=1)
    assert have.to_json() == qg.cut(KEY, have={"focus": (36, 40)}, rows=1, columns=1).to_json()
    assert qg.read(GRID, "12 in").to_json() == qg.read(GRID, 12).to_json()


def test_a_quilt_is_sewn_and_traced_in_the_size_it_is_laid_out_in() -> None:
    quilt = qg.lay_out(KEY, size=(80, 90))
    sewn = qg.sew(KEY, (80, 90))
    assert isinstance(sewn, QuiltSewing)
    assert sewn.quilt.pieces == quilt.pieces
    made = qg.templates(KEY, size=["80 in", 90]).to_json()
    assert made == qg.templates(qg.Design(KEY, size=(80, 90))).to_json()
    assert made != qg.templates(KEY).to_json()
    assert str(qg.sew("pinwheel", "4 in")) == str(qg.sew("pinwheel", 4))
    assert str(qg.sew("pinwheel")) == str(qg.sew("pinwheel", 12))


PIER: dict[str, Any] = {
    "cells": ["A"],
    "rows": 2,
    "columns": 2,
    "roles": {"focus": {"main": True}, "background": {}, "accent": {}},
    "tiles": {"A": {"use": "churn-dash"}},
}


def test_widths_of_a_pattern_are_block_units() -> None:
    border: dict[str, Any] = {"width": "4 in", "role": "focus"}
    for words in ({"border": [border]}, {"sashing": border}):
        with pytest.raises(qg.ContentError, match="found '4 in'; accepted: block units, such as"):
            qg.make_pattern("Pier", **PIER, **words)
    wide = qg.make_pattern("Pier", **PIER, border=[border | {"width": 4}])
    assert 'border 1 is 48" wide, 4 blocks' in " ".join(qg.lay_out(wide).notes)
    assert not qg.lay_out(wide, borders=(4,)).notes
    assert not qg.lay_out(qg.make_pattern("Pier", **PIER, border=[border | {"width": 1}])).notes


def test_pictures_and_folders_of_cloths_are_texts_as_well(tmp_path: Path) -> None:
    from PIL import Image

    sized, bare = tmp_path / "kelp.png", tmp_path / "bare.png"
    Image.fromarray(GRID).save(sized, dpi=(40, 40))
    Image.fromarray(GRID).save(bare)
    for cloth in (sized, str(sized)):
        shown = qg.preview(KEY, {"focus": cloth}, rows=1, columns=1)
        assert shown.design is not None
        assert shown.design.fabrics["focus"].image == sized
    with pytest.raises(qg.QuiltError, match="real width, such as width = 12, inches"):
        qg.preview(KEY, {"focus": str(bare)})
    with pytest.raises(qg.QuiltError, match=r"Fabric\('kelp', 'kelp.jpg', width=12\)"):
        qg.preview(KEY, {"focus": "navy"})
    with pytest.raises(qg.QuiltError, match="picture"):
        qg.preview(KEY, {"focus": "nowhere.png"})


def test_swatches_without_a_width_are_told_of(tmp_path: Path) -> None:
    from PIL import Image

    swatches = tmp_path / "sw"
    swatches.mkdir()
    colours = ["#f4efe0", "#e8e0cc", "#2b3f55", "#704030"]
    for k, colour in enumerate(colours):
        Image.new("RGB", (240, 240), colour).save(swatches / f"cloth{k}.png")
    with pytest.raises(qg.QuiltError, match="4 pictures have no width") as told:
        qg.companions(GRID, str(swatches), width=12)
    assert "swatch_width" in str(told.value)
    with pytest.raises(qg.QuiltError, match="4 pictures have no width"):
        qg.advise(GRID, tmp_path / "out", 12, swatches=str(swatches))
    found = qg.companions(GRID, str(swatches), width=12, swatch_width="6 in")
    assert f"kept as {swatches / 'on-hand.sqlite'}" in str(found)
    assert (swatches / "on-hand.sqlite").is_file()
    assert not any("left out" in note for note in found.notes)


def test_libraries_are_short_and_know_what_they_have() -> None:
    patterns, blocks = qg.load_patterns(), qg.load_blocks()
    for library in (patterns, blocks):
        assert len(repr(library)) < 200
        assert f"{len(library)} " in repr(library)
    assert KEY in patterns
    assert "Harbour Windows" in patterns
    assert _pattern() in patterns
    assert "churn-dash" in blocks
    assert blocks.get("churn-dash") in blocks
    assert "no-such-key" not in patterns
    assert "no-such-key" not in blocks
    assert qg.make_pattern("Pier", **PIER) not in patterns


def test_a_pattern_is_written_into_a_folder_or_as_a_file(tmp_path: Path) -> None:
    pattern = qg.make_pattern("Pier", **PIER)
    assert qg.write_pattern(pattern, tmp_path / "a") == tmp_path / "a" / "pier.toml"
    file = qg.write_pattern(pattern, str(tmp_path / "pats" / "mole.toml"))
    assert file == tmp_path / "pats" / "mole.toml"
    assert file.is_file()
    assert qg.lay_out(file).pieces == qg.lay_out(pattern).pieces


def test_a_patch_is_made_of_plain_corners() -> None:
    square = [(0, 0), (2, 0), (2, 2), (0, 2)]
    patch = qg.Patch(square, "focus")
    assert patch == qg.Patch(patch.outline, "focus")
    assert patch.outline.area == 4
    with pytest.raises(qg.QuiltError, match="outline"):
        qg.Patch([(0, 0), (1, 1)], "focus")


def test_a_design_that_says_its_borders_is_told_as_it_comes_out() -> None:
    quilt = qg.lay_out(KEY, size=(60, 80), borders=[2.0, 3.5])
    made = quilt.notes[0].split("it is")[1]
    assert quilt.notes[0].startswith("asked for")
    assert all(f"{v:g}"[:2] in made for v in (quilt.width, quilt.height))


def test_a_block_is_shown_by_its_key_and_a_quilts_sewing_says_how_hard_it_is() -> None:
    assert "<svg" in qg.preview("churn-dash").svg()
    sewn = qg.sew("gull-cove")
    assert str(sewn).splitlines()[0].startswith("Gull Cove: comfortable")
    assert sewn.to_json()["difficulty"]["word"] == "comfortable"
