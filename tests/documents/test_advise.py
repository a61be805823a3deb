"""From a photo to proof page and kit: the whole line, many prints, odd names and hostile files."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.demo.swatches import write_swatches
from quiltgeom.errors import QuiltError
from quiltgeom.jobs.advise import PLANNED, Advice, Brief, advise
from quiltgeom.jobs.advise_many import advise_many
from quiltgeom.library.design_file import load_design
from quiltgeom.library.patterns import load_patterns
from quiltgeom.render.preview import make_quilt

SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
COMPANIONS = ["sailcloth", "deep-water", "gull-white", "roof-slate", "shoal"]
FEW = [load_patterns().get(k) for k in ("harbour-windows", "gull-cove")]
"""Enough patterns for what is tested, quicker than all."""


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Swatches on hand, small (their density stays true), and a torn one."""
    drawn, folder = (tmp_path_factory.mktemp(n) for n in ("drawn", "shelf"))
    write_swatches(drawn, [*COMPANIONS, "harbour-morning"])
    for path in sorted(drawn.glob("*.jpg")):
        with Image.open(path) as picture:
            picture.resize((600, 600)).save(folder / path.name, quality=92, dpi=(50, 50))
    (folder / "torn.jpg").write_bytes((folder / "shoal.jpg").read_bytes()[:2000])
    (folder / "script.svg").write_bytes(SVG)
    return folder


@pytest.fixture(scope="module")
def made(shelf: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Advice, Path]:
    folder = tmp_path_factory.mktemp("advice")
    brief = Brief(
        shelf / "harbour-morning.jpg",
        swatches=shelf,
        size=(44, 56),
        have=(60.0, 40.0),
        level="comfortable",
    )
    return advise(brief, folder), folder


def test_everything_is_there(made: tuple[Advice, Path]) -> None:
    advice, folder = made
    assert all(f.is_file() and f.stat().st_size for f in advice.files)
    assert {f.relative_to(folder).as_posix() for f in advice.files} >= {
        "proof.html",
        "reading.png",
        "quilt.png",
        "advice.json",
        "kit/kit.pdf",
        "kit/kit.html",
        "kit/quilt.png",
        "kit/design.toml",
        "kit/cutting/plan.json",
    }
    data = json.loads((folder / "advice.json").read_text("utf-8"))
    assert data["recommended"] == advice.fits[0].pattern.key == data["patterns"][0]["key"]
    assert [u["file"] for u in data["unreadable"]] == ["script.svg", "torn.jpg"]


def test_the_recommendation_is_one_that_can_be_made(made: tuple[Advice, Path]) -> None:
    advice, folder = made
    best = advice.fits[0]
    rules = {v.rule: v for v in best.verdicts}
    assert {
        "motif-fits",
        "upright",
        "difficulty",
        "size",
        "cloth",
        "whole-motifs",
        "guessed",
        "piecing-shows",
        "companions-quiet",
    } <= set(rules)
    assert rules["cloth"].outcome == "pass"
    plan = advice.plans[best.pattern.key]
    assert plan.fits
    main = next(f for f in plan.fabrics if f.role == best.pattern.main_role)
    assert (main.given[0].length, main.have) == (60, 59)  # an inch is lost in squaring it up
    again = make_quilt(load_design(folder / "kit" / "design.toml"))
    assert [p.outline for p in again] == [p.outline for p in plan.quilt]


def test_companions_are_quiet_and_not_the_print_itself(made: tuple[Advice, Path]) -> None:
    advice, _ = made
    worn = {role: f.name for role, f in advice.design.fabrics.items()}
    assert set(worn) == {"focus", "background", "accent"}
    assert worn["background"] != worn["accent"]
    assert "harbour-morning" not in (worn["background"], worn["accent"])
    assert "shoal" not in (worn["background"], worn["accent"])  # loud: it would compete


def test_plans_say_what_the_best_need(made: tuple[Advice, Path]) -> None:
    advice, _ = made
    assert len(advice.plans) == PLANNED
    for fit in advice.fits[:PLANNED]:
        assert fit.pattern.key in advice.plans
    scores = [(f.fails, -round(f.score, 9)) for f in advice.fits[:PLANNED]]
    assert scores == sorted(scores)


def test_the_advisers_word_wins(shelf: Path, tmp_path: Path) -> None:
    brief = Brief(
        shelf / "shoal.jpg",
        pattern="harbour-windows",
        corrections={"direction": "one-way", "motif_in": 3.0},
        kit=False,
    )
    advice = advise(brief, tmp_path, patterns=FEW)
    assert advice.fits[0].pattern.key == "harbour-windows"
    assert advice.facts.direction == "one-way"
    assert advice.facts.motif == 3
    assert advice.companions is None
    assert set(advice.design.fabrics) == {"focus"}


def test_a_folder_of_prints_goes_on_where_it_stopped(shelf: Path, tmp_path: Path) -> None:
    prints = tmp_path / "prints"
    prints.mkdir()
    for name in ("shoal", "deep-water"):
        (prints / f"{name}.jpg").write_bytes((shelf / f"{name}.jpg").read_bytes())
    (prints / "torn.jpg").write_bytes(b"no picture")
    brief = Brief(Path(), width=12.0, kit=False)
    first = advise_many(prints, brief, tmp_path / "out", workers=1, patterns=FEW)
    assert [(p.photo.stem, bool(p.error), p.kept) for p in first.prints] == [
        ("deep-water", False, False),
        ("shoal", False, False),
        ("torn", True, False),
    ]
    page = first.overview.read_text("utf-8")
    assert 'href="shoal/proof.html"' in page
    assert "torn.jpg" in page
    assert str(tmp_path) not in page  # the page may be handed on
    stamp = (tmp_path / "out" / "shoal" / "advice.json").stat().st_mtime_ns
    again = advise_many(prints, brief, tmp_path / "out", workers=1, patterns=FEW)
    assert [p.kept for p in again.prints] == [True, True, False]
    assert (tmp_path / "out" / "shoal" / "advice.json").stat().st_mtime_ns == stamp
    narrower = Brief(Path(), width=11.0, kit=False)
    other = advise_many([prints / "shoal.jpg"], narrower, tmp_path / "out", workers=1, patterns=FEW)
    assert [p.kept for p in other.prints] == [False]


def run(*args: str | Path) -> Result:
    return CliRunner().invoke(cli, [str(a) for a in args])


def test_names_with_markup_stay_text(shelf: Path, tmp_path: Path) -> None:
    """A file may be called anything; nothing of it becomes markup in any page."""
    evil = "<img src=x onerror=alert(1)>&amp;\"'.jpg"
    photo = tmp_path / evil
    photo.write_bytes((shelf / "shoal.jpg").read_bytes())
    advise(Brief(photo, width=12.0), tmp_path / "out", patterns=FEW)
    for name in ("proof.html", "kit/kit.html"):
        text = (tmp_path / "out" / name).read_text("utf-8")
        assert "<img src=x" not in text
        assert "alert(1)>" not in text
    assert make_quilt(load_design(tmp_path / "out" / "kit" / "design.toml"))


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("script.svg", SVG),
        ("script.jpg", SVG),
        ("empty.png", b""),
        ("text.jpg", b"not a picture"),
        ("cut.png", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"),
    ],
)
def test_files_that_are_no_pictures_get_one_clear_error(
    tmp_path: Path, name: str, data: bytes
) -> None:
    (tmp_path / name).write_bytes(data)
    result = run("advise", tmp_path / name, "--width", "12in", "-o", tmp_path / "out")
    assert result.exit_code == 2
    assert name in result.output
    assert "Traceback" not in result.output
    assert not (tmp_path / "out").exists()


def test_a_picture_bomb_is_refused_before_it_is_decoded(tmp_path: Path) -> None:
    """A small file that says it holds 400 million pixels; decoded it would fill memory."""
    import struct
    import zlib

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    head = struct.pack(">IIBBBBB", 20000, 20000, 8, 2, 0, 0, 0)
    bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 10))
    (tmp_path / "bomb.png").write_bytes(bomb + chunk(b"IEND", b""))
    result = run("advise", tmp_path / "bomb.png", "--width", "12in", "-o", tmp_path / "out")
    assert result.exit_code == 2
    assert "accepted" in result.output
    assert "Traceback" not in result.output


def test_a_design_cannot_write_outside_its_kit(shelf: Path, tmp_path: Path) -> None:
    """Path tricks in a design: its pictures are read where it says, copies stay in the kit."""
    inside = tmp_path / "a" / "b"
    inside.mkdir(parents=True)
    (tmp_path / "up.jpg").write_bytes((shelf / "shoal.jpg").read_bytes())
    (inside / "design.toml").write_text(
        'title = "../../escape"\npattern = "harbour-windows"\nrows = 1\ncolumns = 1\n'
        '[fabric.focus]\nname = "../../../x"\nimage = "../../up.jpg"\nwidth = 12\n',
        encoding="utf-8",
    )
    before = {p for p in tmp_path.rglob("*") if "kit" not in p.parts}
    result = run("kit", inside / "design.toml", "-o", tmp_path / "kit")
    assert result.exit_code == 0, result.output
    assert {p for p in tmp_path.rglob("*") if "kit" not in p.parts} == before
    for pattern in ("../secret", "/etc/passwd", "..\\\\secret"):
        (inside / "design.toml").write_text(f'pattern = "{pattern}"\n', encoding="utf-8")
        result = run("kit", inside / "design.toml", "-o", tmp_path / "kit2")
        assert result.exit_code == 2
        assert "Traceback" not in result.output


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--level", "wizard"], ["wizard", "first quilt"]),
        (["--size", "big"], ["two lengths"]),
        (["--pattern", "gull-cov"], ["did you mean gull-cove"]),
        (["--swatches", "nowhere"], ["nowhere", "found no such folder"]),
        (["--have", "36"], ["--have"]),
    ],
)
def test_wrong_wishes_are_told(
    shelf: Path, tmp_path: Path, args: list[str], words: list[str]
) -> None:
    result = run("advise", shelf / "deep-water.jpg", *args, "--no-kit", "-o", tmp_path / "out")
    assert result.exit_code == 2
    assert all(w in result.output for w in words)
    assert not (tmp_path / "out").exists()


def test_the_same_photo_gives_the_same_bytes(shelf: Path, tmp_path: Path) -> None:
    """In two processes with different hash seeds; only what has to be equal is written."""
    code = (
        "import sys; from pathlib import Path; from quiltgeom.jobs.advise import *; "
        "from quiltgeom.library.patterns import load_patterns; few = [load_patterns().get(k) "
        "for k in ('harbour-windows', 'gull-cove')]; "
        "advise(Brief(Path(sys.argv[1]), width=12.0), sys.argv[2], patterns=few)"
    )
    sums = []
    for seed in ("1", "2"):
        out = tmp_path / seed
        subprocess.run(
            [sys.executable, "-c", code, str(shelf / "shoal.jpg"), str(out)],
            check=True,
            env={"PYTHONHASHSEED": seed, "PATH": "/usr/bin"},
        )
        sums.append({p.relative_to(out): p.read_bytes() for p in out.rglob("*") if p.is_file()})
    assert sums[0].keys() == sums[1].keys()
    assert [k for k in sums[0] if sums[0][k] != sums[1][k]] == []


def test_no_print_is_no_advice(tmp_path: Path) -> None:
    with pytest.raises(QuiltError, match="no pictures"):
        advise_many(tmp_path, Brief(Path()), tmp_path / "out")
