"""A newcomer's way: write a block from the guide, check it, break it, and see what is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
from click.testing import CliRunner, Result
from PIL import Image

from quiltgeom.cli import cli

GOOD = """
name = "Harbour Lantern"
family = "mine"
grid = 4
source = "drawn this morning"

[[patch]]
role = "focus"
part = "centre"
at = [[1, 1], [3, 1], [3, 3], [1, 3]]

[[patch]]
role = "background"
at = [[1, 0], [3, 0], [2, 1]]
turn = 4

[[patch]]
role = "accent"
at = [[1, 0], [2, 1], [1, 1]]
mirror = true
turn = 4

[[patch]]
role = "background"
at = [[0, 0], [1, 0], [1, 1], [0, 1]]
turn = 4
"""
# a corner too far right, one copy too few, a corner outside; and an unknown key
BROKEN = (
    GOOD.replace("[3, 1], [3, 3]", "[3.5, 1], [3, 3]")
    .replace("[[1, 0], [3, 0], [2, 1]]\nturn = 4", "[[1, 0], [3, 0], [2, 1]]\nturn = 1")
    .replace("at = [[0, 0], [1, 0]", "at = [[-0.5, 0], [1, 0]")
    .replace("grid = 4", 'grid = 4\ncolour = "blue"')
)
COLOURS = {"gap": (212, 0, 106), "overlap": (224, 123, 0), "outside": (122, 31, 208)}


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(cli, [str(a) for a in arguments])


def test_one_file_is_all_it_takes(tmp_path: Path) -> None:
    (tmp_path / "lantern.toml").write_text(GOOD, encoding="utf-8")
    assert run("blocks", "--check", tmp_path / "lantern.toml").exit_code == 0
    shown = run("blocks", "Harbour Lantern", "--folder", tmp_path, "--json")
    (found,) = json.loads(shown.stdout)["blocks"]
    assert (found["patches"], found["symmetry"]) == (17, "D4")
    assert found["area_share"] == {"background": 0.5, "accent": 0.25, "focus": 0.25}


def test_every_fault_is_named_with_its_place(tmp_path: Path) -> None:
    path = tmp_path / "lantern.toml"
    path.write_text(BROKEN, encoding="utf-8")
    result = run("blocks", "--check", path, "--json")
    assert result.exit_code == 2
    found = json.loads(result.stdout)["findings"]
    assert sum("colour" in f["found"] for f in found) == 1
    gaps = [f["found"] for f in found if f["rule"] == "no gap"]
    assert len(gaps) == 3  # right, bottom, left: the top one is there
    for place in ("box [3.2, 1, 4, 3]", "box [1, 3, 3, 4]", "box [0, 1, 1, 3]"):
        assert sum(place in g for g in gaps) == 1, (place, gaps)
    overlaps = [f for f in found if f["rule"] == "no overlap"]
    assert overlaps
    assert all("patch 1 and patch 3 copy" in f["where"] for f in overlaps)
    outside = [f for f in found if f["rule"] == "inside the outline"]
    copies = [f"patch 4 copy {k}" for k in (1, 2, 3, 4)]
    assert [f["where"].split(": ")[1] for f in outside] == copies
    assert "0.25 square units" in outside[0]["found"]


def test_every_fault_is_drawn_in_its_warning_colour(tmp_path: Path) -> None:
    path, picture = tmp_path / "lantern.toml", tmp_path / "faults.png"
    path.write_text(BROKEN, encoding="utf-8")
    assert run("blocks", "--check", path, "-o", picture).exit_code == 2
    pixels = np.asarray(Image.open(picture).convert("RGB")).astype(int)
    for colour in COLOURS.values():
        assert (abs(pixels - colour).max(axis=2) < 4).sum() > 300
    path.write_text(GOOD, encoding="utf-8")
    assert run("blocks", "--check", path, "-o", picture).exit_code == 0
    pixels = np.asarray(Image.open(picture).convert("RGB")).astype(int)
    for colour in COLOURS.values():
        assert (abs(pixels - colour).max(axis=2) < 4).sum() == 0


def test_faults_of_reading_come_together_with_those_of_the_cover(tmp_path: Path) -> None:
    path = tmp_path / "lantern.toml"
    more = """
[[patch]]
at = [[0, 0], [1, 1]]

[[patch]]
role = "accent"
at = [[0, 0], [4, 0, "arc 1"], [4, 4]]

[[patch]]
role = "accent"
at = [[0, "wide"], [2, 2], [2, 0]]
"""
    path.write_text(BROKEN + more, encoding="utf-8")
    result = run("blocks", "--check", path)
    assert result.exit_code == 2
    text = result.output
    for words in (
        "patch 5: role is a name",
        "patch 5: an outline with an area: found 2 points",
        "patch 6: corner 2: the arc reaches",
        "patch 7: corner 1: x, y is a number",
        "no gap",
        "no overlap",
        "inside the outline",
        "'colour'",
    ):
        assert words in text, words
    assert "Traceback" not in text
