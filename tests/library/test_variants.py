"""Designs with variants, locked cloths and offsets: read, written, and drawn."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.errors import ContentError, QuiltError
from quiltgeom.library.design_file import design_text, load_design
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.proposal.proposal import propose

TEXT = """
pattern = "harbour-windows"
rows = 1
columns = 1
locked = ["focus"]

[[offset]]
piece = 0
by = ["1 in", "-1/2 in"]

[overruled]
guessed = "she knows the cloth"

[fabric.focus]
image = "p.png"
width = "12 in"
direction = "one-way"

[fabric.background]
colour = "#f3ead8"

[variant.tall]
rows = 2

[variant."in blue"]
pattern = "gull-cove"
size = ["30 in", "40 in"]

[variant."in blue".fabric.background]
colour = "#223355"
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    y, x = np.mgrid[:480, :480]
    Image.fromarray(np.stack([x // 2, y // 2, x * 0], 2).astype(np.uint8)).save(tmp_path / "p.png")
    (tmp_path / "d.toml").write_text(TEXT)
    return tmp_path / "d.toml"


def test_variants_say_what_differs(path: Path) -> None:
    design = load_design(path)
    tall, blue = design.in_variant("tall"), design.in_variant("in blue")
    assert (tall.pattern, tall.rows, tall.columns) == ("harbour-windows", 2, 1)
    assert tall.fabrics == design.fabrics
    assert (blue.pattern, blue.rows, blue.size) == ("gull-cove", None, (30.0, 40.0))
    assert blue.fabrics["background"].colour == "#223355"
    assert blue.fabrics["focus"] == design.fabrics["focus"]
    assert blue.overruled == design.overruled
    assert design.in_variant(None) is design
    with pytest.raises(QuiltError, match="variant: found 'wide'; accepted: tall, in blue"):
        design.in_variant("wide")


def test_what_is_written_is_read_again(path: Path) -> None:
    design = load_design(path)
    again = path.with_name("again.toml")
    again.write_text(design_text(design, path.parent))
    assert load_design(again) == design
    assert design_text(load_design(again), path.parent) == again.read_text()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (('locked = ["focus"]', 'locked = ["moon"]'), "locked: found role 'moon'"),
        (
            ("rows = 2", 'rows = 2\n[variant.tall.fabric.focus]\ncolour = "#111"'),
            "variant tall: found another cloth for focus, which is locked",
        ),
        (('by = ["1 in"', 'by = ["far"'), "offset 1: by is two lengths: found 'far'"),
        (('by = ["1 in", "-1/2 in"]', "by = 3"), "offset 1: by is two lengths: found 3"),
        (("rows = 2", "rows = 0"), "variant tall: rows is a whole number: found 0"),
    ],
)
def test_each_fault_is_said_in_its_place(path: Path, change: tuple[str, str], words: str) -> None:
    path.write_text(TEXT.replace(*change))
    with pytest.raises(ContentError) as caught:
        load_design(path)
    assert words in str(caught.value)


def test_an_offset_moves_the_cloth_of_its_patch_alone(path: Path) -> None:
    design = load_design(path)
    plain = propose(replace(design, offsets={}), planned=False).picture.places
    moved = propose(design, planned=False).picture.places
    assert moved[0].matrix[4] - plain[0].matrix[4] == pytest.approx(1.0)
    assert moved[0].matrix[5] - plain[0].matrix[5] == pytest.approx(-0.5)
    assert {k: p for k, p in moved.items() if k} == {k: p for k, p in plain.items() if k}
    final = propose(design, effort=0).picture.places  # a plan says itself where a patch is cut
    assert final == propose(replace(design, offsets={}), effort=0).picture.places


def test_commands_take_a_variant(path: Path, tmp_path: Path) -> None:
    run = CliRunner().invoke
    out = str(tmp_path / "q.png")
    made = run(cli, ["preview", str(path), "--variant", "in blue", "-o", out, "--px", "100"])
    assert made.exit_code == 0, made.output
    assert "Gull Cove" in made.output
    refused = run(cli, ["preview", str(path), "--variant", "wide", "-o", out])
    assert refused.exit_code == 2
    kit = run(cli, ["kit", str(path), "--variant", "tall", "-o", str(tmp_path / "kit")])
    assert kit.exit_code == 0, kit.output
    inside = load_design(tmp_path / "kit" / "design.toml")
    assert (inside.rows, inside.variants) == (2, {})
    fabric = inside.fabrics["focus"].image
    assert fabric is not None
    assert fabric.parent == tmp_path / "kit" / "swatches"
    assert isinstance(inside, Design)
    assert isinstance(inside.fabrics["background"], Fabric)
