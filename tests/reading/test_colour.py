"""Colour arithmetic against published tables and an independent library."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from quiltgeom import colour
from quiltgeom.fabric.photo.calibrate import even_light
from quiltgeom.fabric.reading.palette import PaletteColour, colour_name, read_palette
from quiltgeom.fabric.reading.value import read_chroma, read_value, value_name
from tests.reading.prints import photo

# Sharma, Wu, Dalal, Color Research & Application 30 (2005) 21-30, table 1: 34 pairs
PAIRS = np.loadtxt(Path(__file__).with_name("ciede2000.tsv"), skiprows=1)

# Y of Munsell value 1..10 by the quintic printed in ASTM D1535 (white = 100)
ASTM_Y = (1.1799, 3.0481, 6.3912, 11.7008, 19.2718, 29.3012, 41.9854, 57.6196, 76.6956, 100.0)


def test_ciede2000_has_34_pairs() -> None:
    assert PAIRS.shape == (34, 8)


@pytest.mark.parametrize("row", PAIRS, ids=lambda r: f"pair{int(r[0])}")
def test_ciede2000_agrees_with_the_published_pairs(row: np.ndarray) -> None:
    assert float(colour.delta_e_2000(row[1:4], row[4:7])) == pytest.approx(row[7], abs=5.1e-5)
    assert float(colour.delta_e_2000(row[4:7], row[1:4])) == pytest.approx(row[7], abs=5.1e-5)


def test_ciede2000_and_lab_agree_with_scikit_image() -> None:
    reference = pytest.importorskip("skimage.color")
    rng = np.random.default_rng(5)
    rgb = rng.integers(0, 256, (400, 3), dtype=np.uint8)
    lab = colour.rgb_to_lab(rgb)
    assert np.abs(lab - reference.rgb2lab(rgb)).max() < 0.02  # white points differ in digit 5
    other = lab[::-1]
    assert np.allclose(colour.delta_e_2000(lab, other), reference.deltaE_ciede2000(lab, other))


@pytest.mark.parametrize(("value", "y"), list(enumerate(ASTM_Y, start=1)))
def test_munsell_value_inverts_the_published_quintic(value: int, y: float) -> None:
    assert float(colour.munsell_value(y)) == pytest.approx(value, abs=1e-3)


def test_munsell_value_agrees_with_colour_science() -> None:
    reference = pytest.importorskip("colour")
    y = np.linspace(0.5, 100, 60)
    assert np.allclose(
        colour.munsell_value(y), reference.munsell_value(y, method="ASTM D1535"), atol=0.01
    )


def test_munsell_value_is_a_tenth_of_lightness_nearly() -> None:
    grey = np.repeat(np.arange(5, 256, 10, dtype=np.uint8)[:, None], 3, axis=1)
    value, lightness = colour.munsell_value(colour.luminance(grey)), colour.rgb_to_lab(grey)[:, 0]
    assert np.abs(value - lightness / 10).max() < 0.11


def test_oklab_round_trip_over_the_cube() -> None:
    steps = np.arange(0, 256, 15, dtype=np.uint8)
    rgb = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    assert np.array_equal(colour.oklab_to_rgb(colour.rgb_to_oklab(rgb)), rgb)


def test_names_follow_the_standards_own_order_of_lightness() -> None:
    """NBS Circular 553: very dark < dark < moderate < light < very light within a hue."""
    from quiltgeom.fabric.reading.palette import _table

    names, colours = _table()
    lightness = dict(zip(names, colour.rgb_to_lab(colours)[:, 0], strict=True))
    pairs = 0
    for name in names:
        if not name.startswith("moderate "):
            continue
        hue = name.removeprefix("moderate ")
        steps = ["very dark", "dark", "moderate", "light", "very light"]
        row = [lightness[f"{s} {hue}"] for s in steps if f"{s} {hue}" in lightness]
        pairs += len(row) - 1
        assert row == sorted(row), hue
    assert pairs == 62
    assert len(set(names)) == 267


@pytest.mark.parametrize(
    ("rgb", "name"),
    [
        ((190, 0, 50), "vivid red"),
        ((0, 0, 0), "black"),
        ((255, 255, 255), "white"),
        ((0x5D, 0x55, 0x5B), "dark purplish gray"),
        ((0, 48, 78), "dark blue"),
    ],
)
def test_colour_names_at_published_centroids(rgb: tuple[int, int, int], name: str) -> None:
    assert colour_name(np.array(rgb, dtype=np.uint8)) == name


def _patches(colours: list[tuple[int, int, int]], shares: list[int]) -> np.ndarray:
    """Vertical bars, widths in 1/100 of 300 px."""
    bars = [np.full((200, 3 * s, 3), c, dtype=np.uint8) for c, s in zip(colours, shares)]  # noqa: B905
    return np.concatenate(bars, axis=1)


def test_palette_finds_colours_and_shares() -> None:
    colours = [(240, 235, 220), (20, 60, 90), (200, 60, 40), (90, 140, 90)]
    found = read_palette(_patches(colours, [50, 25, 15, 10]))
    assert [round(c.share, 2) for c in found] == [0.5, 0.25, 0.15, 0.1]
    for c, true in zip(found, colours, strict=True):
        apart = colour.delta_e_2000(
            colour.rgb_to_lab(colour.from_hex(c.hex)), colour.rgb_to_lab(np.array(true, np.uint8))
        )
        assert apart < 1.0


def test_palette_is_stable_against_noise_and_size() -> None:
    rng = np.random.default_rng(11)
    picture = _patches([(240, 235, 220), (20, 60, 90), (200, 60, 40)], [60, 25, 15])
    clean = read_palette(picture)
    large = np.repeat(np.repeat(picture, 3, axis=0), 3, axis=1)
    noisy = np.clip(large + rng.normal(0, 10, large.shape), 0, 255).astype(np.uint8)
    found = read_palette(noisy)
    assert len(found) == len(clean) == 3
    for a, b in zip(clean, found, strict=True):
        lab = [colour.rgb_to_lab(colour.from_hex(c.hex)) for c in (a, b)]
        assert colour.delta_e_2000(*lab) < 2.0
        assert abs(a.share - b.share) < 0.02


def test_value_and_chroma_words() -> None:
    assert read_value(np.full((32, 32, 3), 245, np.uint8)).name == "light"
    assert read_value(np.full((32, 32, 3), 40, np.uint8)).name == "dark"
    assert value_name(7.0) == "light"
    assert value_name(4.0) == "medium"
    assert read_chroma([PaletteColour("#777777", 1.0, "")]).name == "neutral"
    assert read_chroma([PaletteColour("#ffd0dc", 1.0, "")]).name == "clear"  # a clean tint
    muted = read_chroma([PaletteColour("#8a8f80", 0.5, ""), PaletteColour("#9a8478", 0.5, "")])
    assert muted.name == "muted"
    assert read_chroma([PaletteColour("#e07020", 1.0, "")]).temperature == "warm"
    assert read_chroma([PaletteColour("#2050b0", 1.0, "")]).temperature == "cool"


def test_ink_of_lines_thinner_than_the_photo_shows() -> None:
    """Lines of 1/40 inch, blurred by the photo: their ink, not its mixture with the ground."""
    ground, ink = (244, 238, 226), (134, 40, 171)
    rgb = np.full((1200, 1200, 3), ground, dtype=np.uint8)
    rgb[:, 10::120] = rgb[:, 11::120] = rgb[:, 12::120] = ink
    found = read_palette(even_light(photo(rgb, 5)))
    inks = colour.rgb_to_lab(np.stack([colour.from_hex(c.hex) for c in found]))
    assert len(found) == 2
    true = colour.rgb_to_lab(np.array(ink, np.uint8))
    assert colour.delta_e_2000(inks, true).min() < 15  # 19 as a mixture


def test_evened_light_keeps_the_middle_of_the_photo() -> None:
    """A lens darkens the corners, not the middle: so a palette is not too dark."""
    n = 240
    y, x = np.mgrid[0:n, 0:n] / n - 0.5
    true = np.full((n, n, 3), (180, 150, 120), dtype=np.uint8)
    seen = np.rint(true * (1 - 0.5 * (x * x + y * y))[..., None]).astype(np.uint8)
    off = np.abs(even_light(seen).astype(int) - true)
    assert off[60:180, 60:180].max() <= 1
    assert off.max() <= 4  # 45 in the corners of the photo
