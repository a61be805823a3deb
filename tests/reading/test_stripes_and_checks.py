"""Bars bent by creases, bars that take turns, chequers, and thin lines between pixels."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageDraw

from quiltgeom.fabric.reading.directions.direction_model import shipped_model
from quiltgeom.fabric.reading.motif import _apart
from quiltgeom.fabric.reading.reading import read_array
from quiltgeom.fabric.reading.repeats.repeat import read_repeat
from quiltgeom.model.fabric import DIRECTIONS
from tests.reading.prints import photo

PPI = 1000 / 12


def bars(period: float, wide: int, inks: tuple[int, ...] = (90,)) -> np.ndarray:
    """Level bars of these greys in turn, light between them."""
    y = np.arange(1000)
    rows = np.full(1000, 210)
    inside = y % period < wide
    rows[inside] = np.array(inks)[(y[inside] // period).astype(int) % len(inks)]
    return np.repeat(np.repeat(rows.astype(np.uint8)[:, None, None], 1000, 1), 3, 2)


@pytest.mark.parametrize("seed", [0, 3, 4, 7])
def test_creases_do_not_hide_the_smallest_period(seed: int) -> None:
    """Derived: a bar every 41.2 pixels is a bar every 0.494 inches."""
    found = read_repeat(photo(bars(41.2, 8), seed), 12.0)
    assert found.kind == "stripe"
    assert np.linalg.norm(found.vectors_in[0]) == pytest.approx(41.2 / PPI, rel=0.02)


@pytest.mark.parametrize("seed", [0, 3, 4, 7])
def test_bars_that_take_turns_are_one_repeat(seed: int) -> None:
    found = read_repeat(photo(bars(41.2, 12, (90, 140)), seed), 12.0)
    assert found.kind == "stripe"
    assert np.linalg.norm(found.vectors_in[0]) == pytest.approx(2 * 41.2 / PPI, rel=0.02)


def combs(w: int, h: int) -> np.ndarray:
    """Two hexagons in thin lines in a tile of an odd number of pixels."""
    large = Image.new("RGB", (8 * w, 8 * h), (120, 125, 20))
    pen = ImageDraw.Draw(large)
    for x, y in ((0.5, 0.5), (0, 0), (1, 0), (0, 1), (1, 1)):
        steps = ((-2, 0), (-1, -1), (1, -1), (2, 0), (1, 1), (-1, 1), (-2, 0))
        pen.line(
            [((x + a / 6) * 8 * w, (y + b / 2) * 8 * h) for a, b in steps],
            fill=(220, 215, 190),
            width=14,
        )
    return np.asarray(large.resize((w, h), Image.Resampling.LANCZOS))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_lines_between_pixels_are_no_other_motif(seed: int) -> None:
    tile = combs(221, 119)
    laid = np.tile(tile, (9, 5, 1))[:1000, :1000]
    found = read_repeat(photo(laid, seed), 12.0)
    assert found.kind in ("brick", "half-drop")
    area = abs(np.linalg.det(np.array(found.vectors_in)))
    assert area == pytest.approx(221 * 119 / 2 / PPI**2, rel=0.03)


@pytest.mark.parametrize("side", [0.5, 0.9, 1.4])
def test_checks_have_a_size(side: float) -> None:
    """A chequer is named by the side of its squares (common practice, no source)."""
    y, x = np.mgrid[0:1000, 0:1000] / PPI
    rgb = np.where(((x // side + y // side) % 2)[..., None] > 0, [40, 60, 130], [240, 235, 220])
    found = read_array(photo(rgb.astype(np.uint8), 5), 12.0).motif
    assert found.typical == pytest.approx(side, rel=0.1)


def test_checks_that_the_edge_cuts_are_no_whole_ones() -> None:
    """Squares of 64 pixels, of which the picture's edge cuts some: parting them by their corners
    must not take those off the edge. Derived: 18 whole ones."""
    y, x = np.mgrid[0:480, 0:480] + 20
    found = _apart((x // 64 + y // 64) % 2 == 0, 40.0, 0.9)
    assert len(found.boxes) == 18
    for _, _, w, h in found.boxes:
        assert (w, h) == (pytest.approx(1.6), pytest.approx(1.6))


def test_a_print_unlike_any_known_one_is_unsure() -> None:
    """Far from all typical prints the model has its constant only."""
    model = shipped_model()
    assert model.landmarks.shape[1] == len(model.features) == len(model.mean) == len(model.spread)
    assert model.weights.shape == (len(DIRECTIONS), len(model.landmarks))
    strange = np.where(np.arange(len(model.features)) % 2, 1.5, -1.5)[None]
    score = model.scores(strange)[0] / model.temperature
    chance = np.exp(score - score.max())
    assert (chance / chance.sum()).max() < 0.7
