"""The as-cut preview, by pixel: every patch shows the cloth at the place that the plan gives it."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.quilt import Piece

PPI = 16
TILE = 8.0  # inches; the swatch is one repeat of a print without noise


def print_colour(x: float, y: float) -> np.ndarray:
    """The print at a place of its cloth, print upright: smooth, and different up from down."""
    a, b = 2 * math.pi * x / TILE, 2 * math.pi * y / TILE
    return 127.5 + 100 * np.array([math.sin(a), math.sin(b), math.cos(b + 0.5 * math.sin(a))])


def swatch(path: Path, up: float, n: int = 800) -> None:
    """One repeat as a picture in which the print's up points ``up`` degrees from the top."""
    c, s = math.cos(math.radians(up)), math.sin(math.radians(up))
    p = (np.arange(n) + 0.5) * TILE / n
    u, v = np.meshgrid(p, p)
    x, y = c * u + s * v, -s * u + c * v  # turned back: the picture is the print turned by up
    a, b = 2 * math.pi * x / TILE, 2 * math.pi * y / TILE
    levels = 127.5 + 100 * np.stack([np.sin(a), np.sin(b), np.cos(b + 0.5 * np.sin(a))], axis=-1)
    Image.fromarray(np.round(levels).astype(np.uint8)).save(path)


def error_at(image: Image.Image, piece: Piece, row: dict[str, float], grain: float) -> list[float]:
    """Levels between picture and cloth at points well inside a patch."""
    outline = piece.outline.turned(-row["lie"], (0, 0))
    x0, y0, x1, y1 = outline.bounds
    inner = piece.polygon.buffer(-grain)
    out: list[float] = []
    spots = [inner.representative_point(), inner.centroid] if not inner.is_empty else []
    for spot in spots:
        px, py = int(spot.x * PPI), int(spot.y * PPI)
        qx, qy = (px + 0.5) / PPI, (py + 0.5) / PPI
        c, s = math.cos(math.radians(-row["lie"])), math.sin(math.radians(-row["lie"]))
        ux, uy = c * qx - s * qy, s * qx + c * qy
        cloth = (row["x"] + ux - (x0 + x1) / 2, row["y"] + uy - (y0 + y1) / 2)
        out += list(np.abs(np.array(image.getpixel((px, py))) - print_colour(*cloth)))
    return out


@pytest.mark.parametrize(
    ("pattern", "direction", "up", "extra"),
    [
        ("gull-cove", "one-way", 0, []),
        ("sail-loft", "one-way", 90, []),
        ("tide-tables", "one-way", 180, []),
        ("harbour-diamonds", "two-way", 270, []),
        ("slipway", "non-directional", 0, []),
        ("fish-boxes", "non-directional", 0, []),
        ("sail-loft", "non-directional", 90, ["--method", "accent=fours"]),
        ("sail-loft", "two-way", 0, ["--method", "accent=eights"]),
    ],
)
def test_every_patch_shows_its_place_of_the_cloth(
    tmp_path: Path, pattern: str, direction: str, up: int, extra: list[str]
) -> None:
    swatch(tmp_path / "print.png", up)
    roles = load_patterns().get(pattern).roles
    lines = [f'pattern = "{pattern}"']
    for role in roles:
        lines += [
            f"[fabric.{role}]",
            'image = "print.png"',
            f'width = "{TILE:g} in"',
            f'direction = "{direction}"',
            f"up = {up}",
            f"repeat = [{TILE:g}, {TILE:g}]",
        ]
    design, folder = tmp_path / "design.toml", tmp_path / "cut"
    design.write_text("\n".join(lines))
    made = CliRunner().invoke(
        cli, ["cut", str(design), "--seconds", "0.3", "-o", str(folder), *extra]
    )
    assert made.exit_code == 0, made.output
    picture = tmp_path / "quilt.png"
    args = ["preview", str(design), "--as-cut", str(folder / "plan.json"), "-o", str(picture)]
    shown = CliRunner().invoke(cli, [*args, "--ppi", str(PPI)])
    assert shown.exit_code == 0, shown.output
    image = Image.open(picture).convert("RGB")
    quilt = lay_out(load_patterns().get(pattern))
    plan = json.loads((folder / "plan.json").read_text())
    errors, seen = [], 0
    for fabric in plan["fabrics"]:
        for row in (q for p in fabric["pieces"] for q in p["patches"] if q["parts"] == 1):
            found = error_at(image, quilt.pieces[row["piece"]], row, 2.5 / PPI)
            errors += found
            seen += bool(found)
    assert seen > 0.9 * len(quilt.pieces) - 8
    assert np.mean(errors) < 2
    assert np.quantile(errors, 0.99) < 6
    assert (folder / "as-cut.png").stat().st_size > 0


def test_the_measure_sees_a_shift_of_a_quarter_inch(tmp_path: Path) -> None:
    """The check above can fail: the same picture read a quarter inch off is far outside."""
    xs = np.linspace(0, TILE, 40, endpoint=False)
    off = [np.abs(print_colour(x + 0.25, x) - print_colour(x, x)).mean() for x in xs]
    assert np.mean(off) > 4


def test_joined_strips_show_every_length(tmp_path: Path) -> None:
    """A border longer than the cloth is wide: each length shows its own place, and none is lost."""
    from quiltgeom.cutting.cutting_plan import cut_plan

    quilt = lay_out(load_patterns().get("harbour-windows"))
    plan = cut_plan(quilt, {}, effort=1)
    made, places = plan.as_cut()
    joined = [p for p in plan.patches if p.outline is not None]
    assert joined
    assert len(made.pieces) == len(quilt.pieces) + sum(p.part > 1 for p in joined)
    assert sum(p.area for p in made) == pytest.approx(quilt.width * quilt.height)
    assert [p.index for p in made] == list(range(len(made.pieces)))
    assert set(places) == set(range(len(made.pieces)))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "valid JSON"),
        ("[]", "found no plan"),
        ('{"fabrics": []}', "found no plan"),
        ('{"width_in": 3, "height_in": 4, "fabrics": []}', "found a plan for 3 x 4 in"),
        ('{"width_in": 45, "height_in": 57, "fabrics": []}', "found no place for"),
    ],
)
def test_what_is_no_plan_of_this_quilt_is_one_clear_error(
    tmp_path: Path, text: str, words: str
) -> None:
    (tmp_path / "plan.json").write_text(text)
    args = ["preview", "--pattern", "harbour-windows", "-o", str(tmp_path / "q.png")]
    result = CliRunner().invoke(cli, [*args, "--as-cut", str(tmp_path / "plan.json")])
    assert result.exit_code == 2
    assert words in result.output
    assert not (tmp_path / "q.png").exists()
