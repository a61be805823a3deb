"""The drawn swatches are what their data say: size, repeat, direction, colours; always the same."""

from __future__ import annotations

import hashlib
import itertools
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, JpegImagePlugin

from quiltgeom.demo.swatches import (
    SWATCH_INCHES,
    SWATCHES,
    SwatchInfo,
    design_folder,
    draw_swatch,
    print_tile,
    swatch_info,
    write_swatches,
)
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.fabric.image import image_info
from quiltgeom.library.design_file import load_design
from quiltgeom.model.fabric import DIRECTIONS, Repeat, parse_colour

PPI = 100  # every stated repeat, and half of it, is a whole number of pixels
Grey = NDArray[np.float64]


def names(*directions: str) -> list[str]:
    return [s.name for s in SWATCHES if s.direction in directions]


def repeat_of(info: SwatchInfo) -> Repeat:
    assert info.repeat is not None
    return info.repeat


def smooth(name: str) -> Grey:
    """The swatch in grey, threads averaged away: 25 pixels per inch."""
    small = draw_swatch(name, PPI).convert("L").reduce(4)
    return np.asarray(small, dtype=np.float64)


def likeness(a: Grey, b: Grey) -> float:
    """Highest correlation of two pictures over all shifts round the edges: 1 = the same."""
    a, b = a - a.mean(), b - b.mean()
    product = np.fft.irfft2(np.fft.rfft2(a) * np.conj(np.fft.rfft2(b)), s=a.shape)
    return float(product.max() / np.sqrt((a * a).sum() * (b * b).sum()))


# ------------------------------------------------------------------------------------ the table


def test_the_demo_has_forty_swatches_with_sound_data() -> None:
    assert len(SWATCHES) == len({s.name for s in SWATCHES}) == 40
    assert {s.direction for s in SWATCHES} == set(DIRECTIONS)
    assert {s.character for s in SWATCHES} == {"clear", "muted"}
    for s in SWATCHES:
        assert [parse_colour(c) for c in s.colours] == list(s.colours)
        assert s.up_deg in (0, 90, 180, 270)
        if s.repeat:
            assert max(s.repeat.width, s.repeat.height) <= SWATCH_INCHES
            assert 0 < s.motif_in <= max(s.repeat.width, s.repeat.height)
        else:
            assert s.motif_in == 0


def test_there_are_near_solids_in_every_range_of_value() -> None:
    greys = sorted(
        sum(
            k * v
            for k, v in zip((0.2126, 0.7152, 0.0722), bytes.fromhex(s.ground[1:]), strict=True)
        )
        for s in SWATCHES
        if not s.repeat
    )
    assert greys[0] < 60
    assert greys[-1] > 240
    assert max(b - a for a, b in itertools.pairwise(greys)) < 64  # a quarter of the scale


def test_example_designs_state_the_truth_about_the_swatches() -> None:
    checked = 0
    for file in sorted(design_folder().glob("*.toml")):
        for fabric in load_design(file).fabrics.values():
            if fabric.image is None:
                continue
            info = swatch_info(fabric.image.stem)
            said = (fabric.width, fabric.direction, fabric.up_deg, fabric.repeat)
            assert said == (SWATCH_INCHES, info.direction, info.up_deg, info.repeat), file.name
            checked += 1
    assert checked


# -------------------------------------------------------------------------------------- repeats


@pytest.mark.parametrize("name", [s.name for s in SWATCHES if s.repeat])
def test_the_stated_repeat_really_repeats(name: str) -> None:
    info = swatch_info(name)
    repeat = repeat_of(info)
    tile = print_tile(info, PPI)[:, :, :3].astype(np.int16)
    w, h = round(repeat.width * PPI), round(repeat.height * PPI)
    dx, dy = {"straight": (w, h), "half-drop": (w, h // 2), "brick": (w // 2, h)}[repeat.kind]
    assert np.abs(tile - np.roll(tile, (dy, dx), (0, 1))).max() <= 40  # rims of shapes only
    assert np.abs(tile - np.roll(tile, (dy, dx), (0, 1))).mean() < 0.1
    # the check can fail: elsewhere the print does not meet itself
    assert np.abs(tile - np.roll(tile, (h * 3 // 8, w * 3 // 8), (0, 1))).mean() > 1


def join(tile: NDArray[np.uint8], axis: int) -> float:
    """How sharp the join of a tile with itself is, as a part of its sharpest line inside."""
    values = tile[:, :, :3].astype(np.float64)
    steps = np.abs(values - np.roll(values, 1, axis)).mean(axis=(1 - axis, 2))
    return float(steps[0] / max(1.0, steps[1:].max()))


@pytest.mark.parametrize("name", [s.name for s in SWATCHES if s.repeat])
def test_nothing_is_cut_off_where_repeats_join(name: str) -> None:
    tile = print_tile(swatch_info(name), PPI)
    assert join(tile, 0) <= 1.1
    assert join(tile, 1) <= 1.1


def test_a_tile_cut_short_would_be_noticed() -> None:
    tile = print_tile(swatch_info("market-lemons"), PPI)
    assert join(tile[:-60], 0) > 1.5
    assert join(tile[:, :-60], 1) > 1.5


@pytest.mark.parametrize("name", ["shoal", "pebbles", "slack-tide", "low-tide", "oilskin-plaid"])
def test_the_swatch_repeats_on_cloth_too(name: str) -> None:
    repeat = repeat_of(swatch_info(name))
    cloth = np.asarray(draw_swatch(name, PPI).convert("L"), dtype=np.float64)
    dx, dy = round(repeat.width * PPI), round(repeat.height * PPI)
    if repeat.kind == "half-drop":
        dy //= 2
    if repeat.kind == "brick":
        dx //= 2
    difference = np.abs(cloth[dy:, dx:] - cloth[:-dy, :-dx]).mean()
    contrast = np.abs(cloth - cloth.mean()).mean()
    assert difference < 0.45 * contrast + 3  # threads differ, the print does not
    off = np.abs(cloth[dy // 3 :, dx // 3 :] - cloth[: -(dy // 3), : -(dx // 3)]).mean()
    assert off > 1.5 * difference


# ----------------------------------------------------------------------------------- directions


@pytest.mark.parametrize("name", names("one-way"))
def test_one_way_prints_have_an_up(name: str) -> None:
    print_ = smooth(name)
    for quarter in (1, 2, 3):
        assert likeness(print_, np.rot90(print_, quarter)) < 0.9


@pytest.mark.parametrize("name", names("two-way"))
def test_two_way_prints_look_alike_upside_down_but_not_sideways(name: str) -> None:
    print_ = smooth(name)
    assert likeness(print_, np.rot90(print_, 2)) > 0.97
    assert likeness(print_, np.rot90(print_)) < 0.9


@pytest.mark.parametrize("name", names("four-way"))
def test_four_way_prints_look_alike_at_every_quarter(name: str) -> None:
    print_ = smooth(name)
    assert likeness(print_, np.rot90(print_)) > 0.95
    assert likeness(print_, np.rot90(print_, 2)) > 0.95


def test_a_swatch_laid_down_turned_says_where_its_up_points() -> None:
    turned = [s for s in SWATCHES if s.up_deg]
    assert turned
    for info in turned:
        size = repeat_of(info)
        upright = replace(info, up_deg=0, repeat=Repeat(size.height, size.width))
        clockwise = np.rot90(print_tile(upright, 50), -info.up_deg // 90)
        assert np.array_equal(print_tile(info, 50), clockwise)


@pytest.mark.parametrize("name", [s.name for s in SWATCHES if s.motif_at])
def test_a_motif_stands_where_the_data_say(name: str) -> None:
    """Round the stated centre lies print, more of it than elsewhere."""
    info = swatch_info(name)
    assert info.motif_at is not None
    tile = print_tile(info, PPI)[:, :, :3].astype(np.int16)
    ground = np.array(list(bytes.fromhex(info.ground[1:])))
    printed = np.abs(tile - ground).max(axis=2) > 60
    x, y = (round(v * PPI) for v in info.motif_at)
    reach = round(info.motif_in / 2 * PPI)
    rows, columns = np.ogrid[: tile.shape[0], : tile.shape[1]]
    away = np.hypot(rows - y, columns - x)
    inside = printed[away < 0.7 * reach].mean()
    assert inside > 1.5 * printed[away > reach].mean() or inside > 0.9


# ------------------------------------------------------------------------------ cloth and files


def test_near_solids_keep_between_their_yarns() -> None:
    for info in SWATCHES:
        if info.repeat:
            continue
        mean = np.asarray(draw_swatch(info.name, 50), dtype=np.float64).mean(axis=(0, 1))
        yarns = np.array([list(bytes.fromhex(c[1:])) for c in info.inks], dtype=np.float64)
        assert (mean > yarns.min(axis=0) - 8).all(), info.name
        assert (mean < yarns.max(axis=0) + 8).all(), info.name


def test_the_weave_has_as_many_threads_as_quilting_cotton() -> None:
    """60 to 70 threads per inch each way: common practice, no source."""
    cloth = np.asarray(draw_swatch("sailcloth", 200).convert("L"), dtype=np.float64)
    power = np.abs(np.fft.rfft2(cloth - cloth.mean())) ** 2
    per_inch = np.abs(np.fft.fftfreq(cloth.shape[0], 1 / 200))
    power[per_inch < 15, :] = 0  # unevenness of the yarn
    power[:, : 15 * 12] = 0
    row, column = np.unravel_index(int(power.argmax()), power.shape)
    # over and under alternate, so one period is two threads
    assert 60 <= 2 * per_inch[row] <= 70
    assert 60 <= 2 * column / SWATCH_INCHES <= 70


def test_files_state_their_size_and_keep_full_colour(tmp_path: Path) -> None:
    told: list[str] = []
    paths = write_swatches(
        tmp_path / "new", ["pebbles", "shoal"], ppi=60, progress=lambda s: told.append(s.name)
    )
    assert told == ["pebbles", "shoal"]
    assert sorted(p.name for p in (tmp_path / "new").iterdir()) == ["pebbles.jpg", "shoal.jpg"]
    for path in paths:
        info = image_info(path)
        assert (info.width, info.height, info.ppi) == (720, 720, 60)
        with Image.open(path) as image:
            assert JpegImagePlugin.get_sampling(image) == 0  # 4:4:4


def test_fabric_of_a_swatch_fits_its_file(tmp_path: Path) -> None:
    (path,) = write_swatches(tmp_path, ["gull-weather"], ppi=20)
    fabric = swatch_info("gull-weather").fabric(tmp_path)
    assert (fabric.image, fabric.up_deg, fabric.width) == (path, 90, SWATCH_INCHES)


def test_wrong_input_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    with pytest.raises(QuiltKeyError, match="accepted: harbour-morning"):
        write_swatches(tmp_path, ["pebbles", "velvet"], ppi=20)
    with pytest.raises(QuiltValueError, match="20 to 600"):
        write_swatches(tmp_path, ["pebbles"], ppi=5)
    assert list(tmp_path.iterdir()) == []


_HASH_ALL = """
import hashlib
from quiltgeom.demo.swatches import SWATCHES, draw_swatch
for s in %s:
    print(s.name, hashlib.sha256(draw_swatch(s.name, 40).tobytes()).hexdigest())
"""


def test_same_pixels_in_any_order_process_and_hash_seed() -> None:
    def run(seed: str, order: str) -> list[str]:
        env = {**os.environ, "PYTHONHASHSEED": seed}
        done = subprocess.run(
            [sys.executable, "-c", _HASH_ALL % order],
            env=env,
            check=True,
            capture_output=True,
            text=True,
        )
        return sorted(done.stdout.splitlines())

    first = run("1", "SWATCHES")
    assert first == run("4242", "reversed(SWATCHES)")
    assert len(first) == 40
    one = hashlib.sha256(draw_swatch("kelp", 40).tobytes()).hexdigest()
    assert f"kelp {one}" in first
