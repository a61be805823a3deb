"""What hurts a photo is said, and nothing is said of a flat picture of a print.

The swatches are drawn by the project; what is done to them here is known exactly.
"""

from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.demo.swatches import SWATCHES, draw_swatch
from quiltgeom.documents.photo_again import PART, photo_again
from quiltgeom.fabric.photo.faults.photo_faults import KINDS, PhotoFault, photo_faults
from quiltgeom.fabric.photo.faults.view import View
from quiltgeom.fabric.photo.prepare import prepare_file
from quiltgeom.fabric.photo.prepared import Prepared
from quiltgeom.fabric.reading.read_file import read_swatch
from quiltgeom.fabric.reading.reading import read_array
from quiltgeom.fabric.reading.reading_words import describe, facts
from tests.reading.more_prints import make_any

PHOTOS = Path(__file__).parent / "photos"
SEEN_WELL = View(5.0, (), 0.9, True)


def drawn(name: str, ppi: int = 60) -> np.ndarray:
    return np.array(draw_swatch(name, ppi))


def grainy(rgb: np.ndarray) -> np.ndarray:
    noise = np.random.default_rng(7).normal(0, 2, rgb.shape)
    return np.clip(rgb + noise, 0, 255).astype(np.uint8)


def relit(rgb: np.ndarray, light: np.ndarray | float, veil: np.ndarray | float = 0.0) -> np.ndarray:
    lit = (rgb / 255.0) ** 2.2 * light + veil
    return grainy(255 * np.clip(lit, 0, 1) ** (1 / 2.2))


def found(rgb: np.ndarray, view: View | None = None, **known: object) -> dict[str, PhotoFault]:
    ready = Prepared(rgb, None, (), view=view)
    return {f.kind: f for f in photo_faults(ready, 12.0, **known)}  # type: ignore[arg-type]


def across(n: int = 720) -> tuple[np.ndarray, np.ndarray]:
    y, x = np.mgrid[-1 : 1 : n * 1j, -1 : 1 : n * 1j]
    return x, y


def test_nothing_is_said_of_flat_prints_nor_of_their_grain() -> None:
    said = {s.name: (found(drawn(s.name)), found(grainy(drawn(s.name)))) for s in SWATCHES}
    assert {k: v for k, v in said.items() if v != ({}, {})} == {}


@pytest.mark.parametrize("name", ["crab-pots", "pebbles", "galley-check-blue", "harbour-morning"])
def test_blur_is_found_and_measured(name: str) -> None:
    soft = grainy(cv2.GaussianBlur(drawn(name, 100), (0, 0), 4.0))
    fault = found(soft)["blurred"]
    assert fault.again
    assert 2.6 < fault.amount < 4.4  # fine lines look sharper than they are
    assert "both hands" in fault.words


def test_a_shaken_photo_is_blurred_though_it_is_sharp_along_the_shake() -> None:
    kernel = np.zeros((17, 17), np.float32)
    kernel[8] = 1 / 17
    assert "blurred" in found(grainy(cv2.filter2D(drawn("crab-pots", 100), -1, kernel)))


def test_a_soft_print_is_not_called_a_blurred_photo() -> None:
    assert "blurred" not in found(grainy(make_any("clouds", 62).rgb))


def test_a_solid_cloth_has_nothing_to_judge_sharpness_by() -> None:
    assert found(cv2.GaussianBlur(drawn("buoy-red"), (0, 0), 6.0)) == {}


def test_burnt_ground_is_told_from_a_drawings_white() -> None:
    lit = (grainy(drawn("crab-pots")) / 255.0) ** 2.2 * 2.6
    photo = np.rint(255 * np.clip(lit, 0, 1) ** (1 / 2.2)).astype(np.uint8)
    burnt = found(photo)["burnt"]
    assert burnt.amount == pytest.approx((photo.min(axis=2) >= 254).mean(), abs=0.15)
    white = np.where(drawn("lamp-dots") > 120, 255, 0).astype(np.uint8)
    assert found(white) == {}


def test_glare_is_a_soft_white_place() -> None:
    x, y = across()
    veil = 1.3 * np.exp(-((x - 0.2) ** 2 + y**2) / 0.12)[..., None]
    assert found(relit(drawn("market-lemons"), 1.0, veil))["glare"].again


def test_a_hard_shadow_and_not_a_lamps_fading() -> None:
    x, y = across()
    shadow = 1 - 0.6 / (1 + np.exp(-(x + 0.4 * y) / 0.02))
    assert "shadow" in found(relit(drawn("reed-herons"), shadow[..., None]))
    fading = np.exp(-0.7 * (x + 1))[..., None]
    assert set(found(relit(drawn("gull-white"), fading), plain=True)) == {"uneven light"}


def test_what_lies_on_the_cloth_is_measured_by_its_copies() -> None:
    rgb = drawn("crab-pots")
    cv2.ellipse(rgb, (360, 500), (90, 120), 0, 0, 360, (205, 160, 135), -1)
    lattice = read_array(drawn("crab-pots"), 12.0).repeat.vectors_in
    covered = found(grainy(rgb), vectors_in=lattice)["covered"]
    assert 0.4 < covered.amount / (np.pi * 90 * 120 / 720**2) < 1.2


def test_what_the_view_tells() -> None:
    rgb = drawn("crab-pots")
    assert found(rgb, SEEN_WELL) == {}
    assert set(found(rgb, View(28.0, (), 0.3, False))) == {"tilted", "dark", "colour unknown"}
    cut = found(rgb, View(50.0, ("left", "top"), 0.9, True))
    assert set(cut) == {"cut off"}  # a tilt told by half a cloth is not told
    assert "left and the top" in cut["cut off"].words
    assert set(found(drawn("crab-pots", 20))) == {"few pixels"}


def test_a_good_photo_has_no_faults_and_one_on_wood_has_no_white() -> None:
    assert read_swatch(PHOTOS / "bright-desk_lighthouse-row.jpg", 12.0).photo == ()
    on_wood = prepare_file(PHOTOS / "kitchen-table_market-lemons.jpg")
    assert [f.kind for f in photo_faults(on_wood, 12.0)] == ["colour unknown"]


def test_it_is_said_once_in_words_data_and_picture(tmp_path: Path) -> None:
    photo, sheet = tmp_path / "soft.png", tmp_path / "soft.svg"
    Image.fromarray(grainy(cv2.GaussianBlur(drawn("pebbles", 100), (0, 0), 4.0))).save(photo)
    sharp = tmp_path / "sharp.svg"
    draw_swatch("pebbles", 60).save(tmp_path / "sharp.png")
    args = ["read", str(photo), "--width", "12in"]
    told = CliRunner().invoke(cli, [*args, "--json", "-o", str(sheet)])
    assert told.exit_code == 0, told.output
    faults = json.loads(told.stdout)["photo"]
    assert [f["kind"] for f in faults] == ["blurred"]
    words = CliRunner().invoke(cli, args).stdout
    assert words.count("blurred:") == 1
    assert "take it again: blurred" in words
    CliRunner().invoke(cli, ["read", str(tmp_path / "sharp.png"), "--width=12in", "-o", str(sharp)])
    assert "take it again" in sheet.read_text()
    assert "take it again" not in sharp.read_text()


def test_flat_readings_hold_nothing_of_it() -> None:
    reading = read_array(drawn("pebbles"), 12.0)
    assert "photo" not in reading.to_json()
    assert not any("again" in line for line in describe(reading))
    assert "Photo" not in dict(facts(reading))


def test_every_kind_has_its_place_in_the_drawing() -> None:
    assert set(PART) == set(KINDS)
    only_told = PhotoFault("colour unknown", 1.0, "seen", "do", False)
    assert photo_again([only_told]) is None
    every = [PhotoFault(k, 1.0, "seen", f"do {k}", True) for k in KINDS]
    drawing = photo_again(every)
    assert drawing is not None
    assert drawing == photo_again(every)
