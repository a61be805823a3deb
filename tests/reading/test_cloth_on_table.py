"""Cloth on a table: found, straightened, read; and never found in a print that fills its picture.

The photographs are path-traced pictures of the demo's own swatches, whose corners and camera are
known exactly (``photos/truth.toml``): they were looked at while the finding was built.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from quiltgeom.demo.swatches import SWATCHES, draw_swatch, swatch_info
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.photo.cloth_outline import find_cloth
from quiltgeom.fabric.photo.own_copies import mended
from quiltgeom.fabric.photo.prepare import Calibration, cloth_picture, prepare_file
from quiltgeom.fabric.photo.rims import finer
from quiltgeom.fabric.photo.true_shape import focal_px, true_shape
from quiltgeom.fabric.reading.as_fabric import swatch_picture
from quiltgeom.fabric.reading.read_file import read_swatch
from tests.reading.test_demo_swatches import off_lattice, true_lattice

PHOTOS = Path(__file__).parent / "photos"
TRUTH = tomllib.loads((PHOTOS / "truth.toml").read_text())["photo"]
NAMES = [t["file"] for t in TRUTH]
READS = ("cutting-mat_low-tide.jpg", "kitchen-table_market-lemons.jpg", "held-down_lamp-dots.jpg")


def pixels(name: str) -> np.ndarray:
    return np.asarray(Image.open(PHOTOS / name).convert("RGB"))


@pytest.mark.parametrize("truth", TRUTH, ids=NAMES)
def test_corners_and_tilt_are_the_cameras(truth: dict) -> None:
    rgb = pixels(truth["file"])
    found = find_cloth(rgb)
    assert found is not None
    corners = finer(rgb, found.corners, found.cut)
    true = np.array(truth["corners"])
    off = min(np.hypot(*(np.roll(corners, k, axis=0) - true).T).max() for k in range(4))
    assert off < 0.015 * max(rgb.shape)
    shape = true_shape(corners, found.cut, rgb.shape[1::-1])
    assert shape.aspect == pytest.approx(1.0, abs=0.02)
    assert shape.tilt_deg == pytest.approx(truth["tilt_deg"], abs=3.0)


@pytest.mark.parametrize("name", READS)
def test_the_repeat_is_read_from_the_table(name: str) -> None:
    info = swatch_info(name.split("_")[1].removesuffix(".jpg"))
    reading = read_swatch(PHOTOS / name, 12.0)
    assert off_lattice(reading.repeat, true_lattice(info)) < 0.02
    assert len(reading.corners_px) == 4
    assert any("found on its table" in note for note in reading.notes)


def test_no_table_is_found_in_a_print_that_fills_its_picture() -> None:
    found = [s.name for s in SWATCHES if find_cloth(np.asarray(draw_swatch(s.name, 40)))]
    assert found == []


def test_the_picture_of_the_cloth_has_no_table_in_it() -> None:
    photo = PHOTOS / "kitchen-table_market-lemons.jpg"
    with Image.open(cloth_picture(photo)) as alone, Image.open(photo) as as_taken:
        flat = draw_swatch("market-lemons", 40)
        assert alone.height / alone.width == pytest.approx(1.0, abs=0.02)
        assert _alike(alone, flat) > 0.9 > 0.5 > _alike(as_taken, flat)


def _alike(one: Image.Image, other: Image.Image) -> float:
    """Correlation of two pictures, seen small."""
    small = [np.asarray(p.convert("RGB").resize((48, 48))).ravel() for p in (one, other)]
    return float(np.corrcoef(small)[0, 1])


def test_the_users_word_wins() -> None:
    photo = PHOTOS / "kitchen-table_market-lemons.jpg"
    assert cloth_picture(photo, Calibration(whole=True)) == photo
    corners = tuple(map(tuple, TRUTH[NAMES.index(photo.name)]["corners"]))
    by_hand = prepare_file(photo, Calibration(corners=corners))
    assert by_hand.corners == corners
    assert by_hand.rgb.shape[0] / by_hand.rgb.shape[1] == pytest.approx(1.0, abs=0.01)
    crossed = (corners[0], corners[2], corners[1], corners[3])
    with pytest.raises(QuiltValueError, match="clockwise"):
        prepare_file(photo, Calibration(corners=crossed))


def test_a_rectangle_of_known_shape_through_a_known_lens() -> None:
    """Projected by the pinhole equations (Hartley and Zisserman, Multiple View Geometry, 6.1)."""
    size, lens, tilt = (4000, 3000), 28.0, np.radians(25)
    focal = focal_px(size, lens)
    board = np.array([(-6, -4, 0), (6, -4, 0), (6, 4, 0), (-6, 4, 0)], float)
    about_x = [[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]]
    roll = np.radians(20)
    about_z = [[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]]
    turn = np.array(about_x) @ np.array(about_z)
    seen = board @ turn.T + [0.5, -0.3, 20.0]
    corners = seen[:, :2] / seen[:, 2:] * focal + np.array(size) / 2
    for said in (lens, None):  # the perspective itself tells the lens, too
        shape = true_shape(corners, (False,) * 4, size, said)
        assert shape.aspect == pytest.approx(8 / 12, abs=1e-6)
        assert shape.tilt_deg == pytest.approx(25, abs=0.01)


def test_a_rectangle_that_runs_out_of_the_picture_ends_there() -> None:
    corners = np.array([(100, -40), (300, -40), (300, 150), (100, 150)], float)
    shape = true_shape(corners, (True, False, False, False), (400, 300))
    assert shape.corners[:, 1].min() == pytest.approx(0, abs=2)
    assert shape.aspect == pytest.approx(150 / 200, abs=0.02)


def test_a_card_beside_the_cloth_says_how_wide_it_is() -> None:
    """ISO/IEC 7810: an ID-1 card is 85.60 x 53.98 mm; the cloth is 12 inches wide."""
    photo = PHOTOS / "kitchen-table_sea-fire.jpg"
    by_card = read_swatch(photo)
    assert by_card.width_in == pytest.approx(12.0, rel=0.03)
    assert any("card beside the cloth" in note for note in by_card.notes)
    given = read_swatch(photo, 20.0)
    assert given.width_in == pytest.approx(20.0, rel=0.02)
    assert any("the given width" in note for note in given.notes)
    with pytest.raises(QuiltValueError, match="accepted: a width"):
        read_swatch(PHOTOS / "kitchen-table_market-lemons.jpg")


def test_what_lies_on_a_print_is_replaced_by_its_copies() -> None:
    photo = PHOTOS / "cutting-mat_low-tide.jpg"  # with scissors on it
    reading = read_swatch(photo, 12.0)
    alone, sewn = cloth_picture(photo), swatch_picture(photo, reading)
    dark = [(np.asarray(Image.open(p).convert("L")) < 60).mean() for p in (alone, sewn)]
    assert dark[0] > 0.005 > 4 * dark[1]
    assert any("replaced by them" in note for note in reading.notes)  # and it is said


def test_a_thing_that_hides_many_copies_is_taken_off() -> None:
    """A card of 4 x 4 repeats: the nearest copies of its middle all lie under it, too."""
    tile = np.random.default_rng(3).integers(60, 255, (8, 8, 3), np.uint8)
    cloth = np.kron(np.tile(tile, (12, 12, 1)), np.ones((4, 4, 1), np.uint8))
    hidden = cloth.copy()
    hidden[256:, 256:] = (20, 120, 90)
    again = mended(hidden, 12.0, [(1.0, 0.0), (0.0, 1.0)])
    assert again is not None
    assert again.hidden == pytest.approx(1 / 9, abs=0.02)
    off = np.abs(again.rgb.astype(int) - cloth).mean(axis=2)
    assert off[264:376, 264:376].mean() < 3
