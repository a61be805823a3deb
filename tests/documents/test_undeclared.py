"""A print of which nobody said how it lies stands on its feet, through every door.

A narrow swatch of arrows, so that many patches reach beyond it: taken for a print that may lie any
way, it would go on mirrored downward, and be cut turned. Every picture that a command draws is
caught as it is drawn, and its arrows are measured by their moments (tests/render).
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

import quiltgeom.documents.companion_sheet
import quiltgeom.documents.cutting_pages.cutting_folder
import quiltgeom.jobs.choose_pattern
import quiltgeom.proposal.proposal
import quiltgeom.render.greyscale_check
import quiltgeom.render.preview
from quiltgeom.cli import cli
from quiltgeom.demo.swatches import write_swatches
from quiltgeom.jobs.advise import Brief, advise
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.design_file import load_design
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import UNDECLARED, Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.mockup import Mockup, mockup
from quiltgeom.render.png import draw_pixels
from tests.conftest import arrow_image
from tests.render.test_orientation import measure, whole_arrows

PPI = 30.0
DRAWING = [
    quiltgeom.documents.companion_sheet,
    quiltgeom.documents.cutting_pages.cutting_folder,
    quiltgeom.jobs.choose_pattern,
    quiltgeom.proposal.proposal,
    quiltgeom.render.preview,
    quiltgeom.render.greyscale_check,
]
"""Every module that draws a quilt in cloth."""

UNITS = {"sail-loft": ("background", "accent")}
"""Roles whose pattern turns whole units, so that any print in them turns with its unit."""


@dataclass
class Seen:
    quilt: Quilt
    fabrics: dict[str, Fabric]
    made: Mockup


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[Seen]:
    """Every mockup in cloth that is drawn from now on."""
    seen: list[Seen] = []

    def watched(quilt: Quilt, fabrics: Any, **options: Any) -> Mockup:
        made = mockup(quilt, fabrics, **options)
        if any(f.image for f in fabrics.values()):
            seen.append(Seen(quilt, dict(fabrics), made))
        return made

    for module in DRAWING:
        monkeypatch.setattr(module, "mockup", watched)
    return seen


@pytest.fixture
def arrows(tmp_path: Path) -> Path:
    """Two inches and four tenths of arrows, all pointing to the top."""
    path = tmp_path / "arrows.png"
    arrow_image(240, 3, 15.0).save(path)
    return path


def run(*args: object) -> Any:
    result = CliRunner().invoke(cli, [str(a) for a in args])
    assert result.exit_code == 0, result.output
    return result


def upright(seen: Seen, roles: set[str] | None = None) -> None:
    """Measure up to three arrows or more of every kind of patch."""
    quilt = seen.quilt
    grey = draw_pixels(seen.made.scene, PPI)[:, :, 1].astype(float)
    tried: dict[tuple[object, ...], int] = {}
    read = 0
    for piece in quilt:
        if roles is not None and piece.role not in roles:
            continue
        over = seen.made.places[piece.index].beyond
        border = piece.place.startswith("border")
        kind = (
            piece.place.rstrip("0123456789, "),
            piece.role,
            piece.patch.part,
            over,
            piece.lie_deg,
        )
        if tried.get(kind, 0) >= 3 or piece.role in UNITS.get(quilt.pattern, ()):
            continue
        for arrow in whole_arrows(grey, piece, PPI):
            angle, _ = measure(arrow)
            tried[kind] = tried.get(kind, 0) + 1
            read += 1
            most = 2.0 if quilt.roles[piece.role].lie == "upright" and not border else 92.0
            assert abs(angle) < most, (quilt.pattern, piece.place, piece.role, angle)
    assert read >= 2, quilt.pattern


@pytest.mark.parametrize("pattern", list(load_patterns()), ids=lambda p: p.key)
def test_the_library_and_previews(
    pattern: Pattern, arrows: Path, drawn: list[Seen], tmp_path: Path
) -> None:
    """Fabric and mockup, a design file, ``preview --focus`` and ``--fabric``, ``values``."""
    rows, columns = min(pattern.rows, 2), min(pattern.columns, 2)
    quilt = lay_out(pattern, rows=rows, columns=columns)
    worn = dict.fromkeys(quilt.roles, Fabric("arrows", image=arrows, width=2.4))
    library = Seen(quilt, worn, mockup(quilt, worn))
    upright(library)
    file = tmp_path / "arrows.toml"
    file.write_text(
        f'pattern = "{pattern.key}"\nrows = {rows}\ncolumns = {columns}\n'
        + "".join(f'[fabric.{r}]\nimage = "arrows.png"\nwidth = 2.4\n' for r in quilt.roles)
    )
    run("preview", file, "-o", tmp_path / "design.png", "--px", "300")
    run("values", file, "-o", tmp_path / "values.svg")
    small = ("--pattern", pattern.key, "--rows", rows, "--columns", columns, "--px", "300")
    every = [a for r in quilt.roles for a in ("--fabric", f"{r}={arrows},width=2.4in")]
    run("preview", *small, *every, "-o", tmp_path / "fabric.png")
    if pattern.main_role == "focus":
        run("preview", *small, "--focus", arrows, "--width", "2.4in", "-o", tmp_path / "f.png")
    assert len(drawn) == 3 + (pattern.main_role == "focus")
    # the doors made what the library makes: then what was measured there holds here
    for other in drawn:
        for role, fabric in other.fabrics.items():
            assert (fabric.direction, fabric.declared) == ("one-way", False), role
        for piece in quilt:
            if piece.role in other.fabrics:
                assert other.made.places[piece.index] == library.made.places[piece.index]
    assert {p.cloth.kind for p in library.made.places.values()} <= {"plain", "mirror-x"}


@pytest.mark.parametrize("door", ["preview", "values"])
def test_the_written_picture_itself(door: str, arrows: Path, tmp_path: Path) -> None:
    """Not only the scene: the PNG that lies in the folder."""
    file, out = tmp_path / "a.toml", tmp_path / "out.png"
    file.write_text(
        'pattern = "harbour-windows"\nrows = 2\ncolumns = 2\n[fabric.focus]\n'
        'image = "arrows.png"\nwidth = 2.4\n'
    )
    run(door, file, "-o", out)
    quilt = lay_out(load_patterns().get("harbour-windows"), rows=2, columns=2)
    size = (round(quilt.width * PPI), round(quilt.height * PPI))
    with Image.open(out) as picture:
        grey = np.asarray(picture.convert("RGB").resize(size))[:, :, 1].astype(float)
    angles = [measure(a)[0] for p in quilt if p.role == "focus" for a in whole_arrows(grey, p, PPI)]
    assert len(angles) > 20
    assert all(abs(a) < 3 for a in angles)


@pytest.mark.parametrize("key", ["gull-cove", "rope-walk"])
def test_cutting_and_the_picture_as_cut(
    key: str, arrows: Path, drawn: list[Seen], tmp_path: Path
) -> None:
    """``cut`` with its picture, ``preview --as-cut`` and the kit."""
    file, out = tmp_path / "a.toml", tmp_path / "cutting"
    roles = load_patterns().get(key).roles
    file.write_text(
        f'pattern = "{key}"\nrows = 2\ncolumns = 2\n'
        + "".join(f'[fabric.{r}]\nimage = "arrows.png"\nwidth = 2.4\n' for r in roles)
    )
    said = run("cut", file, "-o", out)
    note = f"direction {UNDECLARED}"
    assert said.output.count(note) == len(roles)
    assert f"one-way ({UNDECLARED})" in (out / "cutting.txt").read_text()
    data = json.loads(run("cut", file, "--json").stdout)
    assert [f["direction"] for f in data["fabrics"]] == ["one-way"] * len(roles)
    assert len(data["notes"]) == len(roles)
    assert all("direction=non-directional" in n for n in data["notes"])
    shown = run("preview", file, "--as-cut", out / "plan.json", "-o", tmp_path / "q.png", "--json")
    assert sum(note in n for n in json.loads(shown.stdout)["notes"]) == len(roles)
    assert note in run("kit", file, "-o", tmp_path / "kit").output
    assert len(drawn) >= 4
    for seen in {id(s.quilt): s for s in drawn}.values():
        upright(seen)
    again = load_design(tmp_path / "kit" / "design.toml")
    assert {f.declared for f in again.fabrics.values()} == {False}


def test_the_check_can_fail(arrows: Path) -> None:
    """The same cloth declared as a print that may lie any way is mirrored downward."""
    quilt = lay_out(load_patterns().get("harbour-windows"), rows=2, columns=2)
    free = Fabric("arrows", image=arrows, width=2.4, direction="non-directional")
    worn = dict.fromkeys(quilt.roles, free)
    with pytest.raises(AssertionError):
        upright(Seen(quilt, worn, mockup(quilt, worn)))


# doors that read the print first --------------------------------------------------------------


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The arrows and four small swatches on hand."""
    drawn, folder = (tmp_path_factory.mktemp(n) for n in ("drawn", "shelf"))
    write_swatches(drawn, ["sailcloth", "deep-water", "gull-white", "kelp"])
    for path in sorted(drawn.glob("*.jpg")):
        with Image.open(path) as picture:
            picture.resize((400, 400)).save(folder / path.name, quality=92, dpi=(50, 50))
    arrow_image(720, 9, 15.0).save(folder / "arrows.png", dpi=(100, 100))
    return folder


def focus_only(drawn: list[Seen], *, main: str = "focus") -> Iterator[Seen]:
    """Pictures whose main role wears the arrows, each cloth that nobody declared checked."""
    for seen in drawn:
        for fabric in seen.fabrics.values():
            assert fabric.declared or fabric.direction == "one-way"
        if main in seen.fabrics:
            yield seen


def test_match_and_companions(shelf: Path, drawn: list[Seen], tmp_path: Path) -> None:
    photo = shelf / "arrows.png"
    said = run("match", photo, "-o", tmp_path / "best.png", "--json")
    assert json.loads(said.stdout)["print"]["direction"] == "one-way"
    run("companions", photo, "--from", shelf, "-o", tmp_path / "trios.png")
    found = list(focus_only(drawn))
    assert len(found) > 6
    for seen in found[:3] + found[-2:]:
        upright(seen, {"focus"})


def test_advice(shelf: Path, drawn: list[Seen], tmp_path: Path) -> None:
    few = [load_patterns().get(k) for k in ("harbour-windows", "gull-cove")]
    made = advise(Brief(shelf / "arrows.png", swatches=shelf), tmp_path / "out", patterns=few)
    assert made.facts.direction == "one-way"
    found = list(focus_only(drawn))
    assert len(found) >= 4
    for seen in found:
        upright(seen, {"focus"})


# the owner's word -----------------------------------------------------------------------------


def doors(photo: Path, folder: Path) -> Iterator[tuple[str, Fabric]]:
    """The fabric that every door makes of a picture of which its own words say nothing."""
    from quiltgeom.cli.commands.preview_command import _focus
    from quiltgeom.cli.types import parse_fabric
    from quiltgeom.fabric.reading.as_fabric import fabric_from_reading
    from quiltgeom.fabric.reading.read_file import read_swatch
    from quiltgeom.matching.companions import Companion

    file = folder / "own.toml"
    file.write_text(f'pattern = "gull-cove"\n[fabric.focus]\nimage = "{photo.name}"\nwidth = 2.4\n')
    words = {"focus": photo, "width": 2.4, "direction": None, "up": None}
    yield "design file", load_design(file).fabrics["focus"]
    yield "--focus", _focus(words)["focus"]
    yield "--fabric", parse_fabric(f"focus={photo},width=2.4in")[1]
    yield "companions", Companion(1, "a", photo, 2.4, (50, 0, 0), "accent", ()).fabric
    yield "match", fabric_from_reading("a", photo, read_swatch(photo, 2.4))


@pytest.mark.parametrize("way", ["two-way", "non-directional", "one-way"])
def test_a_saved_correction_counts_as_declared_everywhere(
    way: str, arrows: Path, tmp_path: Path
) -> None:
    assert not any(f.declared for d, f in doors(arrows, tmp_path) if d != "match")
    run("read", arrows, "--width", "2.4in", "--direction", way, "--save")
    for door, fabric in doors(arrows, tmp_path):
        assert (fabric.direction, fabric.declared) == (way, True), door
    run("read", arrows, "--width", "2.4in", "--direction", way, "--up", "90", "--save")
    for door, fabric in doors(arrows, tmp_path):
        assert (fabric.direction, fabric.up_deg) == (way, 90.0), door


def test_a_declared_print_is_called_so_by_every_command(arrows: Path, tmp_path: Path) -> None:
    run("read", arrows, "--width", "2.4in", "--direction", "two-way", "--up", "90", "--save")
    file = tmp_path / "own.toml"
    file.write_text(
        'pattern = "harbour-windows"\nrows = 1\ncolumns = 1\n[fabric.focus]\n'
        'image = "arrows.png"\nwidth = 2.4\n'
    )
    data = json.loads(run("cut", file, "--json").stdout)
    ways = {f["role"]: f["direction"] for f in data["fabrics"]}
    assert (ways["focus"], data["notes"]) == ("two-way", [])
    for args in (
        ("preview", file, "-o", tmp_path / "q.png"),
        ("sew", file),
        ("values", file),
        ("cut", file),
        ("kit", file, "-o", tmp_path / "kit"),
    ):
        assert UNDECLARED not in run(*args).output
    kept = load_design(tmp_path / "kit" / "design.toml").fabrics["focus"]
    assert (kept.direction, kept.declared, kept.up_deg) == ("two-way", True, 90.0)


def test_words_that_are_given_win(arrows: Path, tmp_path: Path) -> None:
    run("read", arrows, "--width", "2.4in", "--direction", "two-way", "--save")
    file = tmp_path / "a.toml"
    file.write_text(
        'pattern = "gull-cove"\n[fabric.focus]\nimage = "arrows.png"\ndirection = "four-way"\n'
    )
    assert load_design(file).fabrics["focus"].direction == "four-way"


def test_a_damaged_word_beside_a_picture_is_said(arrows: Path, tmp_path: Path) -> None:
    (tmp_path / "arrows.png.reading.json").write_text('{"corrections": {"direction": "left"}}')
    words = ["--pattern", "gull-cove", "--focus", str(arrows), "-o", str(tmp_path / "q.png")]
    result = CliRunner().invoke(cli, ["preview", *words])
    assert result.exit_code == 2
    assert "direction: found 'left'" in result.output
    assert not (tmp_path / "q.png").exists()


def test_what_a_fabric_makes_of_no_word() -> None:
    print_ = Fabric("herons", image=Path("herons.jpg"))
    assert (print_.direction, print_.declared) == ("one-way", False)
    assert replace(print_, width=3.0).declared is False
    assert replace(print_, direction="two-way").declared is True
    assert Fabric("herons", image=Path("herons.jpg"), direction="one-way").declared is True
    fog = Fabric("fog", colour="#ffffff")
    assert (fog.direction, fog.declared) == ("non-directional", True)
