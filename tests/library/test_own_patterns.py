"""Patterns of one's own: by path, from a folder, made in Python; carried in a kit, and checked."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from quiltgeom import Design, Pattern, lay_out, load_design, load_patterns
from quiltgeom.cli import cli
from quiltgeom.demo.swatches import write_swatches
from quiltgeom.documents.kit_folder import write_kit
from quiltgeom.errors import ContentError, QuiltError, QuiltKeyError, QuiltValueError
from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.jobs.advise import Brief, advise
from quiltgeom.library.block_file import block_from_data
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.design_file import design_text
from quiltgeom.library.toml_text import block_text, write_pattern
from quiltgeom.model.block import Block, Patch
from quiltgeom.model.pattern import Cell, RoleSpec, Tile
from quiltgeom.model.quilt import Quilt
from quiltgeom.outputs.manifest import MANIFEST
from quiltgeom.proposal.proposal import propose
from quiltgeom.render.preview import make_quilt
from quiltgeom.texts import parse_toml

GUIDE = Path(__file__).parents[2] / "docs" / "files.md"


def example(name: str) -> str:
    """A file of the guide, by the comment on its first line."""
    found = re.search(rf"```toml\n(# {re.escape(name)}\n.*?)```", GUIDE.read_text("utf-8"), re.S)
    assert found
    return found[1]


def run(*args: str | Path) -> Result:
    return CliRunner().invoke(cli, [str(a) for a in args])


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    """The quilting room's own folder: the pattern and the block of the guide, and a design."""
    folder = tmp_path / "quilting room"
    folder.mkdir()
    for name in ("net-loft.toml", "float.toml"):
        (folder / name).write_text(example(name), "utf-8")
    (folder / "gift.toml").write_text('pattern = "net-loft.toml"\nrows = 2\ncolumns = 2\n', "utf-8")
    return folder


def drawn(quilt: Quilt) -> list[tuple[str, list[float]]]:
    return [(p.role, [round(v, 6) for v in p.polyline.ravel()]) for p in quilt]


def knots(key: str = "knots") -> Pattern:
    """A pattern made in Python, of a block made in Python."""
    halves = (
        Patch(Outline(((0, 0), (2, 0), (0, 2))), "focus"),
        Patch(Outline(((2, 0), (2, 2), (0, 2))), "background", "under", turn_deg=180.0),
    )
    block = Block("half", "Half", 2, 2, halves, rectangle(0, 0, 2, 2))
    roles = {
        "focus": RoleSpec("focus", main=True),
        "background": RoleSpec("background", lie="unit"),
        "the accent": RoleSpec("the accent", "strip"),
    }
    tiles = {
        "one half": Tile(block, "one half"),
        "B": Tile(block.recoloured({"under": "the accent"}), "B"),
    }
    cells = ((Cell("one half", 1), Cell("B", 0, True)), (Cell("B", 2), Cell("one half")))
    return Pattern(key, "Knots", "", "straight", 6.0, 2, 2, roles, tiles, cells)


@pytest.mark.parametrize("pattern", list(load_patterns()), ids=lambda p: p.key)
def test_a_pattern_as_it_is_written_lays_out_the_same(pattern: Pattern, tmp_path: Path) -> None:
    path = write_pattern(pattern, tmp_path)
    assert list(tmp_path.iterdir()) == [path]  # its blocks are those of the package
    again = load_patterns().get(path)
    assert again == pattern
    assert drawn(lay_out(again)) == drawn(lay_out(pattern))


def test_a_block_that_is_written_is_the_same_block() -> None:
    for block in list(load_blocks())[::7]:
        data = parse_toml(block_text(block), "again")
        again, findings, _ = block_from_data(data, key=block.key, where="again")
        assert again is not None
        assert not findings
        for one, other in zip(again.patches, block.patches, strict=True):
            assert (one.role, one.part, one.turn_deg) == (other.role, other.part, other.turn_deg)
            assert one.outline.points == other.outline.points
            assert one.outline.bulges == pytest.approx(other.outline.bulges, abs=1e-9)
        assert (again.tile, again.aliases, again.family) == (
            block.tile,
            block.aliases,
            block.family,
        )


def test_an_arc_of_more_than_half_a_circle_is_written_as_two() -> None:
    most = Outline(((1, 0), (3, 0)), (-2.5, 0.0))  # a keyhole, bulging out to the side
    x0, y0, x1, y1 = most.bounds
    shape = Outline(tuple((x - x0, y - y0) for x, y in most.points), most.bulges)
    block = Block("float", "Float", x1 - x0, y1 - y0, (Patch(shape, "focus"),), shape)
    again, findings, _ = block_from_data(parse_toml(block_text(block), "f"), key="f", where="f")
    assert again is not None
    assert not findings
    assert again.patches[0].outline.area == pytest.approx(shape.area, abs=1e-9)


def test_a_pattern_and_blocks_made_in_python(tmp_path: Path) -> None:
    pattern = knots()
    path = write_pattern(pattern, tmp_path)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["half.toml", "knots.toml"]
    assert drawn(make_quilt(Design(path))) == drawn(make_quilt(Design(pattern)))
    lies = [[p.lie_deg for p in make_quilt(Design(p))] for p in (path, pattern)]
    assert lies[0] == lies[1]
    with pytest.raises(QuiltValueError, match=r"found pattern 'knots', which is in no file"):
        design_text(Design(pattern), tmp_path)
    assert 'pattern = "gull-cove"' in design_text(
        Design(load_patterns().get("gull-cove")), tmp_path
    )


def test_a_pattern_by_its_path(mine: Path) -> None:
    quilt = make_quilt(Design(mine / "net-loft.toml", rows=2, columns=2))
    assert quilt.pattern == "net-loft"
    assert drawn(make_quilt(load_design(mine / "gift.toml"))) == drawn(quilt)
    assert drawn(make_quilt(Design(str(mine / "net-loft.toml"), rows=2, columns=2))) == drawn(quilt)
    out = mine / "q.png"
    assert run("preview", "--pattern", mine / "net-loft.toml", "-o", out).exit_code == 0
    saved = run("preview", mine / "gift.toml", "-o", out, "--save", mine / "sub" / "again.toml")
    assert saved.exit_code == 0, saved.output
    assert 'pattern = "../net-loft.toml"' in (mine / "sub" / "again.toml").read_text("utf-8")
    for command in (["cut"], ["values"]):
        result = run(*command, "--pattern", mine / "net-loft.toml")
        assert result.exit_code == 0, result.output
    assert run("patterns", mine / "net-loft.toml", "-o", out).exit_code == 0
    refused = run("preview", "--pattern", mine / "net-loft.toml", "-o", mine / "net-loft.svg")
    assert refused.exit_code == 0
    assert (mine / "net-loft.toml").read_text("utf-8") == example("net-loft.toml")


def test_a_folder_of_patterns(mine: Path, tmp_path: Path) -> None:
    library = load_patterns(mine)  # the block and the design that lie there are no patterns
    assert [p.key for p in library if p.key not in {q.key for q in load_patterns()}] == ["net-loft"]
    assert library.get("Net Loft") is library.get("net-loft")
    result = run("patterns", "--patterns", mine, "--json")
    assert "net-loft" in [p["key"] for p in json.loads(result.stdout)["patterns"]]
    (tmp_path / "other").mkdir()
    for folder in ("other", "nowhere"):
        result = run("patterns", "--patterns", tmp_path / folder)
        assert result.exit_code == 2
        assert "found no pattern file" in result.output


def test_keys(mine: Path, tmp_path: Path) -> None:
    own = mine / "gull-cove.toml"
    shutil.move(mine / "net-loft.toml", own)
    assert load_patterns(mine).get("gull-cove").name == "Net Loft"
    assert load_patterns().get(own).name == "Net Loft"
    assert load_patterns().get("gull-cove").name == "Gull Cove"
    shutil.copytree(mine, tmp_path / "copy")
    result = run("patterns", "--patterns", mine, "--patterns", tmp_path / "copy")
    assert result.exit_code == 2
    assert "found two with the key 'gull-cove'" in result.output
    with pytest.raises(QuiltKeyError, match="did you mean gull-cove"):
        make_quilt(Design("gul-cove"))


def test_a_kit_carries_pattern_and_blocks(mine: Path, tmp_path: Path) -> None:
    result = run("kit", mine / "gift.toml", "-o", tmp_path / "kit")
    assert result.exit_code == 0, result.output
    before = drawn(make_quilt(load_design(mine / "gift.toml")))
    shutil.rmtree(mine)
    sent = tmp_path / "sent"
    shutil.move(tmp_path / "kit", sent)
    assert sorted(p.name for p in (sent / "patterns").iterdir()) == ["float.toml", "net-loft.toml"]
    assert drawn(make_quilt(load_design(sent / "design.toml"))) == before
    assert str(tmp_path) not in (sent / MANIFEST).read_text("utf-8")
    plan = (sent / "cutting" / "plan.json").read_bytes()
    assert run("cut", sent / "design.toml", "-o", tmp_path / "cutting").exit_code == 0
    assert (tmp_path / "cutting" / "plan.json").read_bytes() == plan
    assert run("kit", sent / "design.toml", "-o", tmp_path / "again").exit_code == 0
    for name in ("quilt.svg", "design.toml", "patterns/net-loft.toml", "patterns/float.toml"):
        assert (tmp_path / "again" / name).read_bytes() == (sent / name).read_bytes()


def test_a_kit_of_a_pattern_made_in_python(tmp_path: Path) -> None:
    design = Design(knots("Knots & ropes/1"))
    write_kit(propose(design), tmp_path / "kit", templates=False)
    again = load_design(tmp_path / "kit" / "design.toml")
    assert again.pattern == tmp_path / "kit" / "patterns" / "Knots-ropes-1.toml"
    assert drawn(make_quilt(again)) == drawn(make_quilt(design))


def test_faults_are_told_with_their_place(mine: Path) -> None:
    path = mine / "net-loft.toml"
    path.write_text(example("net-loft.toml").replace('use = "float"', 'use = "flaot"'), "utf-8")
    result = run("preview", "--pattern", path, "-o", mine / "q.png")
    assert result.exit_code == 2
    assert not (mine / "q.png").exists()
    assert "net-loft.toml: tiles.A: use names a block" in result.output
    path.write_text(example("net-loft.toml") + "[[border", "utf-8")
    result = run("preview", mine / "gift.toml", "-o", mine / "q.png")
    assert result.exit_code == 2
    assert "net-loft.toml: valid TOML" in result.output
    path.unlink()
    result = run("preview", mine / "gift.toml", "-o", mine / "q.png")
    assert result.exit_code == 2
    assert "no such file" in result.output
    with pytest.raises(QuiltError, match="net-loft"):
        make_quilt(Design(path))


def test_patterns_are_checked(mine: Path) -> None:
    result = run("patterns", "--check", mine)
    assert result.exit_code == 0
    assert result.output == "1 pattern file checked: no faults\n"
    bad = mine / "bad.toml"
    text = example("net-loft.toml").replace('role = "accent"', 'role = "acent"')
    bad.write_text(text.replace("columns = 3", "columns = 0"), "utf-8")
    (mine / "float.toml").write_text(example("float.toml").replace("turn = 4", "turn = 3"), "utf-8")
    result = run("patterns", "--check", bad, mine / "net-loft.toml")
    assert result.exit_code == 2
    assert not isinstance(result.exception, ContentError)
    for told in ("bad.toml: columns is a whole", "border 1: role: found", "float.toml: no gap"):
        assert told in result.output
    result = run("patterns", "--check", mine, "--json")
    found = json.loads(result.stdout)
    assert result.exit_code == 2
    assert (found["files"], len(found["findings"]) > 3) == (2, True)
    for args, told in (([], "found no path"), ([mine / "none"], "found no pattern file")):
        result = run("patterns", "--check", *args)
        assert result.exit_code == 2
        assert told in result.output


def test_a_pattern_whose_border_does_not_fit_is_a_finding(mine: Path) -> None:
    path = mine / "net-loft.toml"
    unit = '\n[[border]]\nwidth = "1/4"\nunit = "A"\nunit_length = "0.37"\ncorner_role = "accent"\n'
    path.write_text(example("net-loft.toml") + unit, "utf-8")
    result = run("patterns", "--check", path)
    assert result.exit_code == 2
    assert "must fill" in result.output


def test_advice_among_patterns_of_ones_own(mine: Path, tmp_path: Path) -> None:
    write_swatches(tmp_path, ["harbour-morning"])
    photo = tmp_path / "harbour-morning.jpg"
    brief = Brief(photo, 12.0, size=(20, 20))
    own = load_patterns().get(mine / "net-loft.toml")
    advice = advise(brief, tmp_path / "out", patterns=[own])
    kit = tmp_path / "out" / "kit"
    assert drawn(make_quilt(load_design(kit / "design.toml"))) == drawn(advice.best.quilt)
    with pytest.raises(QuiltValueError, match="found two with the key 'net-loft'"):
        advise(brief, tmp_path / "twice", patterns=[own, replace(own, name="Other")])
    result = run(
        *("advise", photo, "--width", "12in", "--patterns", mine, "--pattern", "net-loft"),
        *("--size", "20inx20in", "-o", tmp_path / "word"),
    )
    assert result.exit_code == 0, result.output
    assert (tmp_path / "word" / "kit" / "patterns" / "float.toml").exists()


def test_cells_turned_and_mirrored(mine: Path) -> None:
    path = mine / "net-loft.toml"
    text = example("net-loft.toml").replace("tiles.B", "tiles.stem")
    path.write_text(text.replace('["A B", "B A"]', '["A Am A1 A2m", "stem stemm"]'), "utf-8")
    cells = load_patterns().get(path).cells
    assert cells[0] == (Cell("A"), Cell("A", 0, True), Cell("A", 1), Cell("A", 2, True))
    assert cells[1] == (Cell("stem"), Cell("stem", 0, True))


def test_orders_of_sewing_and_templates_of_a_pattern_file(mine: Path) -> None:
    for command in ("sew", "templates"):
        result = run(command, mine / "net-loft.toml")
        assert result.exit_code == 0, result.output
    assert run("sew", mine / "gift.toml").exit_code == 0
