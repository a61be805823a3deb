"""Every command on good, empty and wrong input: exit codes, one clear message, no traceback."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from quiltgeom.cli import COMMANDS, cli


def run(*args: str) -> Result:
    return CliRunner().invoke(cli, list(args))


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "photo.jpg"
    Image.effect_noise((240, 240), 40).convert("RGB").save(path)
    return path


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_with_examples(name: str) -> None:
    result = run(name, "--help")
    assert result.exit_code == 0
    assert "Example" in result.output
    assert f"quiltgeom {name}" in result.output


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["nothing"], ["No such command"]),
        (["preview"], ["Missing option '-o'"]),
        (["preview", "-o", "x.png"], ["neither of a design file and --pattern", "accepted"]),
        (["preview", "--pattern", "gull-cov", "-o", "x.png"], ["did you mean gull-cove"]),
        (["preview", "--pattern", "gull-cove", "-o", "x.bmp"], [".bmp", ".svg, .png, .pdf"]),
        (["preview", "--pattern", "gull-cove", "-o", "x"], ["file ending"]),
        (["preview", "none.toml", "-o", "x.png"], ["none.toml", "found no such file"]),
        (
            ["preview", "--pattern", "gull-cove", "--focus", "none.jpg", "-o", "x.png"],
            ["none.jpg", "found no such file"],
        ),
        (["preview", "--pattern", "gull-cove", "--width", "12in", "-o", "x.png"], ["--focus"]),
        (
            ["preview", "--pattern", "gull-cove", "--width", "wide", "-o", "x.png"],
            ["not a usable length", "accepted"],
        ),
        (
            ["preview", "--pattern", "gull-cove", "--fabric", "sky=#123456", "-o", "x.png"],
            ["found role 'sky'", "focus, background, accent"],
        ),
        (
            ["preview", "--pattern", "gull-cove", "--fabric", "focus=#12", "-o", "x.png"],
            ["colour: found '#12'"],
        ),
        (
            ["preview", "--pattern", "gull-cove", "--fabric", "focus", "-o", "x.png"],
            ["ROLE=PICTURE"],
        ),
        (
            ["preview", "--pattern", "gull-cove", "--fabric", "focus=a.png,hue=1", "-o", "x.png"],
            ["found 'hue'"],
        ),
        (["preview", "--pattern", "gull-cove", "--size", "44", "-o", "x.png"], ["two lengths"]),
        (
            ["preview", "--pattern", "gull-cove", "--size", "44x60", "--rows", "3", "-o", "x.png"],
            ["accepted: one of the two ways"],
        ),
        (["preview", "--pattern", "gull-cove", "--rows", "0", "-o", "x.png"], ["--rows"]),
        (
            [
                "preview",
                "--pattern",
                "gull-cove",
                "--rows",
                "999",
                "--columns",
                "999",
                "-o",
                "x.png",
            ],
            ["accepted: up to 200000"],
        ),
        (
            ["preview", "--pattern", "gull-cove", "--borders", "1in,2in,3in", "-o", "x.png"],
            ["1 positive width"],
        ),
        (["preview", "--pattern", "gull-cove", "--sashing", "1in", "-o", "x.png"], ["has none"]),
        (["preview", "--pattern", "gull-cove", "-o", "/proc/none/x.png"], ["cannot be written"]),
        (["patterns", "nothing-like-it"], ["found no pattern"]),
        (["patterns", "-o", "x.png"], ["accepted: the name of one pattern"]),
        (["blocks", "ohio sta"], ["did you mean ohio-star"]),
        (["blocks", "-o", "x.png"], ["accepted: one"]),
        (["blocks", "--check", "nowhere"], ["found no block file"]),
        (["blocks", "--folder", "nowhere"], ["found no folder"]),
    ],
)
def test_wrong_input_ends_with_2_and_one_clear_message(
    args: list[str], words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = run(*args)
    assert result.exit_code == 2, result.output
    for word in words:
        assert word in result.output
    assert "Traceback" not in result.output
    assert list(tmp_path.iterdir()) == []


def test_preview_from_options_to_all_formats_and_back_from_the_saved_design(
    photo: Path, tmp_path: Path
) -> None:
    design = tmp_path / "saved.toml"
    files = [tmp_path / f"q{suffix}" for suffix in (".svg", ".png", ".pdf")]
    outputs = [arg for f in files for arg in ("-o", str(f))]
    args = [
        "preview",
        "--pattern",
        "harbour-windows",
        "--rows",
        "2",
        "--columns",
        "2",
        "--focus",
        str(photo),
        "--width",
        "12in",
        "--direction",
        "one-way",
    ]
    result = run(*args, *outputs, "--px", "300", "--save", str(design), "--json")
    assert result.exit_code == 0, result.output
    facts = json.loads(result.stdout)
    assert facts["width_in"] == 33.0  # 2 blocks of 12, borders of 1 1/2 and 3
    assert sum(facts["area_sq_in"].values()) == pytest.approx(33 * 33)
    assert all(f.stat().st_size > 1000 for f in files)
    with Image.open(files[1]) as picture:
        assert max(picture.size) == 300
    again = tmp_path / "again.png"
    assert run("preview", str(design), "-o", str(again), "--px", "300").exit_code == 0
    assert again.read_bytes() == files[1].read_bytes()
    refused = run("preview", str(design), "-o", str(again), "--save", str(design))
    assert refused.exit_code == 2
    assert "one of the files that it is made of" in refused.output


def test_a_photo_without_a_known_size_is_refused(photo: Path, tmp_path: Path) -> None:
    result = run(
        "preview", "--pattern", "gull-cove", "--focus", str(photo), "-o", str(tmp_path / "x.png")
    )
    assert result.exit_code == 2
    assert "does not say how large it is" in result.output


def test_lists_are_objects_with_one_named_array() -> None:
    blocks = json.loads(run("blocks", "--json").stdout)["blocks"]
    patterns = json.loads(run("patterns", "--json").stdout)["patterns"]
    assert {b["key"] for b in blocks} >= {"churn-dash", "ohio-star", "log-cabin"}
    assert len(patterns) >= 10
    for row in patterns:
        assert {"focus", "background", "accent"} <= set(row["roles"])
        assert sum(r["share"] for r in row["roles"].values()) == pytest.approx(1, abs=1e-3)


def test_a_broken_block_file_is_named_with_all_its_faults(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text(
        'name = "Bad"\ngrid = 2\n[[patch]]\nrole = "accent"\n'
        "at = [[0, 0], [1.5, 0], [1.5, 2], [0, 2]]\n"
        '[[patch]]\nrole = "background"\nat = [[1, 0], [1.9, 0], [1.9, 2], [1, 2]]\ncolor = "red"\n'
    )
    result = run("blocks", "--check", str(tmp_path))
    assert result.exit_code == 2
    assert "patch 1 and patch 2: no overlap: found overlap of 1 square units" in result.output
    assert "no gap: found gap of 0.2 square units around (1.95, 1)" in result.output
    assert "'color'" in result.output
    shown = json.loads(run("blocks", "--check", str(tmp_path), "--json").stdout)
    assert len(shown["findings"]) == 3


def test_pictures_of_blocks_and_patterns(tmp_path: Path) -> None:
    for args in (("blocks", "Churn Dash"), ("patterns", "gull-cove")):
        out = tmp_path / f"{args[0]}.png"
        assert run(*args, "-o", str(out)).exit_code == 0
        with Image.open(out) as picture:
            colours = picture.convert("RGB").getcolors(1 << 24)
        assert colours is not None
        assert len(colours) > 3


def test_module_entry_and_version() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "quiltgeom", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout.startswith("quiltgeom, version ")


def test_blocks_can_be_recoloured_without_touching_the_file() -> None:
    def shares(*more: str) -> dict[str, float]:
        result = run("blocks", "shoo-fly", "--json", *more)
        found: dict[str, float] = json.loads(result.output)["blocks"][0]["area_share"]
        return found

    drawn, negative = shares(), shares("--recolour", "negative")
    assert drawn["accent"] == negative["background"] != drawn["background"]
    four = shares("--recolour", "four-values")
    assert len(four) > len(drawn)
    assert abs(sum(four.values()) - 1) < 1e-5


def test_hexagons_are_shown_and_resized(tmp_path: Path, photo: Path) -> None:
    out = tmp_path / "hexagons.png"
    result = run(
        "preview",
        "--pattern",
        "buoy-field",
        "--focus",
        str(photo),
        "--width",
        "12in",
        "--direction",
        "one-way",
        "--size",
        "44x60",
        "-o",
        str(out),
        "--px",
        "300",
        "--json",
    )
    assert result.exit_code == 0, result.output
    facts = json.loads(result.stdout)
    assert abs(facts["width_in"] - 44) < 2
    assert abs(facts["height_in"] - 60) < 2
    assert out.exists()


def test_a_key_means_one_drawing_where_the_name_means_several(tmp_path: Path) -> None:
    assert run("blocks", "feathered-star", "-o", str(tmp_path / "one.svg")).exit_code == 0
    result = run("blocks", "Monkey Wrench", "-o", str(tmp_path / "two.svg"))
    assert "found 2 blocks (churn-dash, snails-trail)" in str(result.output) + str(result.exception)
    assert not (tmp_path / "two.svg").exists()


def test_one_block_is_shown_with_all_its_facts() -> None:
    text = run("blocks", "churn-dash").output
    for words in (
        "17 patches",
        "8 + 8 + 1",
        "symmetry D4",
        "without colours D4",
        "straight seams",
        "points where seams meet",
        "smallest edge 0.5",
        "square centre 11%",
        "Webster 1915",
    ):
        assert words in text, words
    assert "points where seams meet" not in run("blocks", "--search", "churn").output


@pytest.mark.parametrize(("paper", "points"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_pages_of_blocks_have_the_paper_asked_for(
    tmp_path: Path, paper: str, points: tuple[int, int]
) -> None:
    sheet = tmp_path / "sheet.pdf"
    assert run("blocks", "pinwheel", "--sheet", str(sheet), "--paper", paper).exit_code == 0
    more = ["--family", "unit", "--gallery", str(tmp_path), "--paper", paper]
    assert run("blocks", *more).exit_code == 0
    for path in (sheet, tmp_path / "gallery.pdf"):
        box = pypdf.PdfReader(path).pages[0].mediabox
        assert (round(float(box.width)), round(float(box.height))) == points
