"""What is left of cloth on hand goes back into the index: only on request, as a whole."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.plain_list import ListedPiece, plan_pieces
from quiltgeom.documents.cutting_pages.put_back_words import cloth_left
from quiltgeom.onhand.index import Swatch, open_index
from quiltgeom.onhand.put_back import CutCloth, put_back
from quiltgeom.onhand.repair.check import check_index


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """Two cloths with their index, and a design that uses them."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    for name, colour in (("kelp", "#224466"), ("fog", "#eeeedd")):
        Image.new("RGB", (40, 40), colour).save(folder / f"{name}.png")
    run(
        "onhand",
        str(folder),
        "--width",
        "5in",
        "--workers",
        "1",
        "--quick",
        "--note",
        "kelp",
        "--length",
        "1 1/2 yd",
        "--across",
        "42in",
        "--say",
        "washed",
    )
    (tmp_path / "loft.toml").write_text(
        'format = 2\npattern = "sail-loft"\nrows = 2\ncolumns = 2\n'
        '[fabric.focus]\nimage = "shelf/kelp.png"\nwidth = "5in"\n'
        'direction = "non-directional"\n'
        '[fabric.accent]\nimage = "shelf/fog.png"\nwidth = "5in"\n'
        'direction = "non-directional"\n'
    )
    return folder


def run(*args: str) -> Result:
    return CliRunner().invoke(cli, list(args))


def swatch(folder: Path, name: str) -> Swatch:
    with open_index(folder) as index:
        return index.find(name)


def cut(folder: Path, *more: str) -> Result:
    return run("cut", str(folder.parent / "loft.toml"), *more)


def test_what_is_left_takes_the_place_of_what_was_cut(shelf: Path) -> None:
    """Two squares of 10 1/2 in from 54 x 42 in, 53 in after straightening: what is left is less
    than the cloth by the squares and the end."""
    said = cut(shelf, "--have", "focus=54x42", "--put-back", str(shelf), "--json")
    assert said.exit_code == 0, said.output
    (back,) = json.loads(said.stdout)["put_back"]
    now = swatch(shelf, "kelp")
    assert back["swatch"] == "kelp"
    assert [now.length_on_hand, now.width_on_hand] == back["left_in"][0]
    assert sum(n * w for n, w in back["left_in"]) == pytest.approx(53 * 42 - 2 * 10.5**2)
    assert now.notes.startswith("washed; cut for Sail Loft (plan ")
    assert 'from 54" x 42", left: ' in now.notes
    assert swatch(shelf, "fog").length_on_hand is None
    assert not check_index(shelf).findings


def test_without_the_request_nothing_is_written(shelf: Path) -> None:
    before = (shelf / "on-hand.sqlite").read_bytes()
    assert cut(shelf, "--have", "focus=54x42").exit_code == 0
    assert (shelf / "on-hand.sqlite").read_bytes() == before


@pytest.mark.parametrize(
    "more",
    [
        [],
        ["--have", "focus=9x9"],
        ["--have", "background=54x42"],
        ["--have", "focus=36x42"],
        ["--have", "focus=54x42", "--have", "background=54x42"],
        ["--have", "focus=50x42", "--have", "accent=60x40"],
    ],
)
def test_refused_as_a_whole(shelf: Path, more: list[str]) -> None:
    """No cloth at hand, not enough, no swatch for the role, or another amount than is written
    down: one error, and not even the part that could be written is."""
    before = (shelf / "on-hand.sqlite").read_bytes()
    said = cut(shelf, *more, "--put-back", str(shelf))
    assert said.exit_code == 2
    assert "accepted" in said.output
    assert (shelf / "on-hand.sqlite").read_bytes() == before


def test_a_second_time_is_refused(shelf: Path) -> None:
    args = ["--have", "focus=54x42", "--have", "accent=72x40", "--put-back", str(shelf)]
    assert cut(shelf, *args).exit_code == 0
    assert "left: " in swatch(shelf, "fog").notes
    again = cut(shelf, *args)
    assert again.exit_code == 2
    assert "put back kelp: the cloth on hand is the cloth that is cut" in again.output
    assert "put back fog" in again.output


def test_a_side_file_has_the_last_word(shelf: Path) -> None:
    (shelf / "on-hand.toml").write_text('[swatch."kelp.png"]\nlength_on_hand = "54in"\n')
    run("onhand", str(shelf), "--workers", "1", "--quick")
    said = cut(shelf, "--have", "focus=54x42", "--put-back", str(shelf))
    assert said.exit_code == 2
    assert "on-hand.toml" in said.output


def test_a_copy_of_the_picture_is_known_by_its_bytes(shelf: Path) -> None:
    copy = shelf.parent / "other.png"
    copy.write_bytes((shelf / "kelp.png").read_bytes())
    design = shelf.parent / "loft.toml"
    design.write_text(design.read_text().replace("shelf/kelp.png", "other.png"))
    assert cut(shelf, "--have", "focus=54x42", "--put-back", str(shelf)).exit_code == 0
    assert "Sail Loft" in swatch(shelf, "kelp").notes


def test_all_of_it_used_up(shelf: Path) -> None:
    with open_index(shelf) as index:
        put_back(index, [CutCloth(index.find("kelp"), ((54.0, 42.0),), ())], "Aprons")
    now = swatch(shelf, "kelp")
    assert (now.length_on_hand, now.width_on_hand) == (0, 0)
    assert now.notes == 'washed; cut for Aprons: from 54" x 42", left: nothing'


def test_cloth_that_is_not_touched_is_left_as_it_is() -> None:
    """Two squares of 8 in from the first of three cloths; the others stay as they are."""
    plan = plan_pieces([ListedPiece(8, 8, 2)], cloths=((18, 21), (9, 16), (18, 21)))
    assert plan.status == "fits"
    left = cloth_left(plan)
    assert left.count((18, 21)) >= 1
    used = {p.cloth for p in plan.placed}
    whole = [c for k, c in enumerate(plan.given) if k not in used]
    assert all(c in left for c in whole)
    area = sum(n * w for n, w in left)
    assert area <= sum(n * w for n, w in plan.given) - 2 * 64
