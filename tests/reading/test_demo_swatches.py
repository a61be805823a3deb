"""The demo's own swatches, whose truth is written down: what is read must not contradict it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from quiltgeom.colour import linear_light, linear_to_srgb
from quiltgeom.demo.print_spec import SWATCH_INCHES, SwatchInfo
from quiltgeom.demo.swatches import SWATCHES, draw_swatch, swatch_info
from quiltgeom.fabric.reading.reading import read_array
from quiltgeom.fabric.reading.repeats.repeat import (
    SURE_REPEAT,
    RepeatReading,
    against_outline,
    read_repeat,
)
from quiltgeom.fabric.reading.repeats.repeat_lattice import reduce_basis

PPI = 42
# what is drawn in these repeats more often than their tile: each fish twice, a twist of the rope
# twelve times, a mesh of the net twice
FINER = {
    "shoal": [[3.0, 0.0], [0.0, 2.0]],
    "rope-stripe": [[2.0, 0.0], [0.0, 1 / 6]],
    "drying-nets": [[1.0, 0.0], [0.5, 0.5]],
}


@cache
def pixels(name: str) -> np.ndarray:
    return np.asarray(draw_swatch(name, PPI))


def true_lattice(info: SwatchInfo) -> np.ndarray:
    """Two vectors, inches: neighbours of a half-drop lie one column over and half a repeat down."""
    assert info.repeat is not None
    w, h = info.repeat.width, info.repeat.height
    if info.name in FINER:
        return np.array(FINER[info.name])
    if info.repeat.kind == "half-drop":
        return np.array([[w, h / 2], [0, h]])
    return np.array([[w / 2, h], [w, 0]] if info.repeat.kind == "brick" else [[w, 0], [0, h]])


def off_lattice(found: RepeatReading, true: np.ndarray) -> float:
    """How far the found vectors miss the true lattice, as a part of their own lengths."""
    v = np.array(found.vectors_in)
    coords = v @ np.linalg.inv(true)
    miss = np.linalg.norm((coords - np.rint(coords)) @ true, axis=1)
    return float((miss / np.linalg.norm(v, axis=1)).max())


@pytest.mark.parametrize("size_in", [12.0, 8.0, 6.0])
def test_no_demo_swatch_shows_a_false_repeat(size_in: float) -> None:
    wrong, missed = [], []
    for info in SWATCHES:
        if size_in < 12 and info.repeat is None and info.name != "sea-thrift":
            continue  # plain cloths look alike at any size
        if info.name == "running-stitch" and size_in < 8:
            continue  # even dashes: two of their repeats must be seen to tell them apart
        n = round(size_in * PPI)
        found = read_repeat(np.ascontiguousarray(pixels(info.name)[:n, :n]), size_in)
        v = np.array(found.vectors_in)
        reach = float(np.abs(reduce_basis(v) if len(v) == 2 else v).max()) if len(v) else 0.0
        known = true_lattice(info) if info.repeat else None
        if found.vectors_in and (known is None or off_lattice(found, known) > 0.015):
            wrong.append((info.name, found))
        if reach > 0.75 * size_in + 0.05:
            wrong.append((info.name, found))
        fits = known is not None and np.abs(known).max() <= 0.45 * size_in
        if fits and not found.vectors_in:
            missed.append((info.name, found))
    assert not wrong
    assert not missed
    assert len(SWATCHES) == 40
    assert SWATCH_INCHES == 12.0


def behind_window_bars(rgb: np.ndarray) -> np.ndarray:
    """Three hard shadows across, that leave a third of the light."""
    y, x = np.mgrid[0 : rgb.shape[0], 0 : rgb.shape[1]] / rgb.shape[1]
    across = x * np.cos(0.44) + y * np.sin(0.44)
    lit = np.where(np.sin(6 * np.pi * across + 1) > 0, 1.0, 0.35)
    return np.rint(255 * linear_to_srgb(linear_light(rgb) * lit[..., None])).astype(np.uint8)


@pytest.mark.parametrize("name", ["harbour-sprig", "low-tide", "crab-pots", "moult"])
def test_shadows_are_looked_through_in_a_photo(name: str) -> None:
    rgb = behind_window_bars(pixels(name))
    true = true_lattice(swatch_info(name))

    def right(photo: bool) -> bool:
        found = read_repeat(rgb, SWATCH_INCHES, photo=photo)
        v = np.array(found.vectors_in)
        whole = len(v) == 2 and np.isclose(abs(np.linalg.det(v)), abs(np.linalg.det(true)), 0.01)
        return bool(whole and off_lattice(found, true) < 0.01)

    assert right(photo=True)
    assert not right(photo=False)


def test_a_print_that_lies_askew_of_its_outline_is_unsure() -> None:
    straight = RepeatReading("straight", ((3.0, 0.0), (0.0, 2.0)), (3.0, 2.0), 0.2, 0.94)
    assert against_outline(straight) == straight
    askew = against_outline(replace(straight, turn_deg=2.0))
    assert askew.confidence < SURE_REPEAT
    assert "measure a repeat" in askew.reason
    assert against_outline(replace(straight, kind="slanted")).confidence < SURE_REPEAT


def test_herons_repeat_is_wider_than_their_swatch() -> None:
    """Two herons alike but not the same, half a repeat apart: no repeat of the print."""
    found = read_repeat(pixels("reed-herons"), 12.0)
    assert found.kind == "none"
    assert "9.0 in" in found.reason


def test_no_demo_print_is_called_free_to_turn_with_confidence_if_it_is_not() -> None:
    """The worst error for the cloth: an up that is overlooked, and not said to be unsure."""
    for name in ("harbour-morning", "kelp", "gull-weather", "anchorage", "shoal", "moult"):
        info = swatch_info(name)
        found = read_array(pixels(name), 12.0).direction
        wrong = found.kind != info.direction
        assert not (wrong and found.confidence > 0.7), (name, found)
        if found.kind == "one-way":
            assert "up is taken from how the picture was held" in found.reason
