"""Photos of known distortion: what the user says of them brings the truth back."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.colour import delta_e_2000, linear_to_srgb, rgb_to_lab, srgb_to_linear
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.photo.calibrate import homography
from quiltgeom.fabric.photo.card import find_card
from quiltgeom.fabric.photo.prepare import Calibration, prepare, prepare_file
from quiltgeom.fabric.reading.read_file import read_swatch
from tests.reading.more_prints import make_any

CORNERS = ((60.0, 40.0), (560.0, 75.0), (575.0, 565.0), (35.0, 530.0))
CARD = (5, 575, 60, 598)
CAST = np.array([1.0, 0.8, 0.55])


def dots(n: int = 480) -> np.ndarray:
    """12 x 12 in of dots, 2 in apart."""
    y, x = np.mgrid[0:n, 0:n] / n * 12
    on = ((x % 2 - 1) ** 2 + (y % 2 - 1) ** 2 < 0.3)[..., None]
    return np.where(on, (40, 60, 150), (225, 215, 190)).astype(np.uint8)


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The dots lying askew on a table beside a white card, in yellow light."""
    from scipy.ndimage import map_coordinates

    cloth = dots()
    n = cloth.shape[0]
    there = homography(CORNERS, [(0, 0), (n, 0), (n, n), (0, n)])
    y, x = np.mgrid[0:600, 0:600] + 0.5
    u, v, z = (there[i, 0] * x + there[i, 1] * y + there[i, 2] for i in range(3))
    at = np.stack([v / z - 0.5, u / z - 0.5])
    photo = np.stack(
        [map_coordinates(cloth[..., c], at, order=1, cval=90) for c in range(3)], axis=-1
    )
    photo[CARD[1] : CARD[3], CARD[0] : CARD[2]] = 235
    lit = 255 * linear_to_srgb(srgb_to_linear(photo / 255) * CAST)
    path = tmp_path_factory.mktemp("table") / "table.png"
    Image.fromarray(np.rint(lit).astype(np.uint8)).save(path)
    return path


def known() -> Calibration:
    card = float(srgb_to_linear(235 / 255))
    return Calibration(CORNERS, (12.0, 12.0), white=CARD, reflectance=card)


def test_corners_and_card_bring_the_cloth_back(table: Path) -> None:
    ready = prepare_file(table, known())
    assert ready.width_in == 12.0
    assert len(ready.notes) == 2
    n = ready.rgb.shape[0]
    true = np.asarray(Image.fromarray(dots()).resize((ready.rgb.shape[1], n)))
    off = delta_e_2000(rgb_to_lab(ready.rgb), rgb_to_lab(true))
    assert float(np.median(off)) < 1.0
    uncorrected = prepare_file(table, Calibration(CORNERS, (12.0, 12.0))).rgb
    cast = delta_e_2000(rgb_to_lab(uncorrected), rgb_to_lab(true))
    assert float(np.median(cast)) > 5.0  # the check can fail: without the card the cast stays


def test_reading_of_a_photo_on_a_table(table: Path) -> None:
    reading = read_swatch(table, calibration=known())
    assert reading.repeat.cell_in == pytest.approx((2.0, 2.0), abs=0.02)
    assert reading.width_in == 12.0


def test_two_points_give_the_scale_and_win_over_a_wrong_width(tmp_path: Path) -> None:
    path = tmp_path / "dots.png"
    Image.fromarray(dots()).save(path)
    by_points = Calibration(points=((20.0, 20.0), (260.0, 20.0)), apart_in=6.0)
    reading = read_swatch(path, 10.0, calibration=by_points)
    assert reading.width_in == pytest.approx(12.0)
    assert reading.repeat.cell_in == pytest.approx((2.0, 2.0), abs=0.02)
    assert any("10 in was not used" in n for n in reading.notes)


def test_places_follow_a_photo_that_is_read_smaller(tmp_path: Path) -> None:
    path = tmp_path / "large.jpg"
    Image.fromarray(dots(900)).resize((5400, 5400)).save(path, quality=60)
    ready = prepare_file(path, Calibration(points=((0.0, 0.0), (2700.0, 0.0)), apart_in=6.0))
    assert max(ready.rgb.shape) <= 3600
    assert ready.width_in == pytest.approx(12.0, rel=1e-3)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"rectangle_in": (12.0, 12.0)}, "corners"),
        ({"apart_in": 3.0}, "points"),
        ({"reflectance": 0.5}, "reflectance"),
    ],
)
def test_half_said_calibrations_are_refused(wrong: dict, says: str) -> None:
    with pytest.raises(QuiltValueError, match=says):
        Calibration(**wrong)


@pytest.mark.parametrize(
    "wrong",
    [
        Calibration(points=((0.0, 0.0), (9999.0, 0.0)), apart_in=3.0),
        Calibration(corners=CORNERS[::-1], rectangle_in=(12.0, 12.0)),
        Calibration(white=(0, 0, 900, 20)),
        Calibration(points=((5.0, 5.0), (5.5, 5.0)), apart_in=3.0),
    ],
)
def test_places_that_cannot_be_are_refused(wrong: Calibration) -> None:
    with pytest.raises(QuiltValueError, match="accepted"):
        prepare(np.full((600, 600, 3), 120, np.uint8), wrong)


def test_command_straightens_and_draws(table: Path, tmp_path: Path) -> None:
    corners = " ".join(f"{x},{y}" for x, y in CORNERS)
    drawn = tmp_path / "reading.png"
    args = [
        "read",
        str(table),
        "--corners",
        corners,
        "--size",
        "12inx12in",
        "--white",
        "5,575 60,598",
        "--json",
        "-o",
        str(drawn),
    ]
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 0, result.output
    data = json.loads(result.output)
    assert data["repeat"]["cell_in"] == pytest.approx([2.0, 2.0], abs=0.02)
    assert any("perspective" in n for n in data["notes"])
    assert drawn.stat().st_size > 5000


@pytest.mark.parametrize(
    "args", [["--corners", "1,2 3"], ["--points", "0,0 100,0"], ["--white", "a b c d"]]
)
def test_command_says_what_is_wrong(table: Path, args: list[str]) -> None:
    result = CliRunner().invoke(cli, ["read", str(table), "--width", "12in", *args])
    assert result.exit_code == 2
    assert "accepted" in result.output
    assert len(result.output) < 700


def test_a_card_in_plain_view_is_found(table: Path) -> None:
    card = float(srgb_to_linear(235 / 255))
    ready = prepare_file(table, Calibration(find_white=True, reflectance=card))
    told = prepare_file(table, Calibration(white=CARD, reflectance=card))
    assert np.abs(ready.rgb.astype(int) - told.rgb).max() <= 2
    assert "the card was found at" in ready.notes[0]


@pytest.mark.parametrize("family", ["check", "stripe", "tossed", "solid", "one-way-small"])
def test_no_print_is_taken_for_a_card(family: str) -> None:
    assert find_card(make_any(family, 7).rgb) is None


def test_command_looks_for_the_card(table: Path, tmp_path: Path) -> None:
    corners = " ".join(f"{x:g},{y:g}" for x, y in CORNERS)
    arguments = ["read", str(table), "--corners", corners, "--size", "12inx12in", "--white", "auto"]
    result = CliRunner().invoke(cli, arguments)
    assert result.exit_code == 0, result.output
    assert "the card was found" in result.output
    bare = tmp_path / "bare.png"
    Image.fromarray(make_any("tossed", 7).rgb).save(bare)
    result = CliRunner().invoke(cli, ["read", str(bare), "--width", "12in", "--white", "auto"])
    assert result.exit_code == 2
    assert "found none in plain view" in result.output
