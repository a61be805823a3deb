"""Reading whole swatches: prints drawn here, whose truth is known."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.photo.calibrate import (
    balance_white,
    even_light,
    homography,
    rectify,
    width_from_points,
)
from quiltgeom.fabric.reading.as_fabric import fabric_from_reading
from quiltgeom.fabric.reading.read_file import read_swatch, save_reading
from quiltgeom.fabric.reading.reading import read_array
from quiltgeom.fabric.reading.reading_words import facts
from quiltgeom.fabric.reading.repeats.repeat import name_lattice, read_repeat
from quiltgeom.fabric.reading.value import read_loudness
from quiltgeom.library.corrections import load_corrections, load_reading, reading_path
from tests.benchmarks.read_bench import same_but_turned, same_lattice
from tests.reading.prints import SIDE, make, photo

REPEATING = [
    "dots-straight",
    "one-way-half-drop",
    "up-down-check",
    "four-turns",
    "tossed",
    "tossed-small",
    "tone-on-tone",
    "stripe",
    "plaid",
    "check",
    "near-repeat",
]


def test_lattice_comparison_can_fail() -> None:
    true = [(2.0, 0.0), (0.0, 3.0)]
    assert same_lattice([(0.0, 3.0), (2.0, 3.0)], true, 0.01)
    assert not same_lattice([(4.0, 0.0), (0.0, 3.0)], true, 0.01)
    assert not same_lattice([(2.05, 0.0), (0.0, 3.0)], true, 0.01)


@pytest.mark.parametrize("family", REPEATING)
def test_repeat_of_a_clean_print(family: str) -> None:
    p = make(family, 1)
    found = read_repeat(p.rgb, SIDE)
    assert same_lattice(list(found.vectors_in), p.vectors, 0.01), found
    assert found.confidence > 0.7


@pytest.mark.parametrize("family", ["one-way-half-drop", "tossed-small", "plaid", "near-repeat"])
def test_repeat_survives_a_photo(family: str) -> None:
    p = make(family, 2)
    found = read_repeat(photo(p.rgb, 2), SIDE)
    assert same_but_turned(list(found.vectors_in), p.vectors, 0.015), found


@pytest.mark.parametrize("family", ["long-repeat", "scene", "blender", "solid"])
def test_no_repeat_is_said_with_its_reason(family: str) -> None:
    found = read_repeat(make(family, 1).rgb, SIDE)
    assert found.kind in ("none", "plain")
    assert found.reason


def test_names_of_lattices() -> None:
    """Half-drop and brick by one half make one lattice; the wider-than-high one is brick."""
    assert name_lattice(np.array([[2.0, 1.5], [0.0, 3.0]]))[:2] == ("brick", (4.0, 3.0))
    assert name_lattice(np.array([[1.0, 1.5], [0.0, 3.0]]))[:2] == ("half-drop", (2.0, 3.0))
    assert name_lattice(np.array([[5.0, 0.0], [0.0, 3.0]]))[0] == "straight"
    assert name_lattice(np.array([[3.0, 1.0], [0.0, 5.0]]))[0] == "slanted"


@pytest.mark.parametrize(
    ("family", "kind"),
    [
        ("one-way-scattered", "one-way"),
        ("up-down-rows", "two-way"),
        ("four-turns", "four-way"),
        ("tossed-flowers", "non-directional"),
        ("diamonds", "two-way"),
    ],
)
def test_direction_of_clear_prints(family: str, kind: str) -> None:
    d = read_array(make(family, 1).rgb, SIDE).direction
    assert d.kind == kind, d
    assert (d.up_deg is not None) == (kind == "one-way")


def test_bars_are_named_with_their_axis() -> None:
    d = read_array(make("diagonal", 1).rgb, SIDE).direction
    assert d.figure == "stripe"
    assert d.axis_deg == pytest.approx(135, abs=1)  # clockwise: bars rise to the right
    assert read_array(make("plaid", 1).rgb, SIDE).direction.figure == "plaid"


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_a_scene_is_one_way_or_unsure(seed: int) -> None:
    d = read_array(make("scene", seed).rgb, SIDE).direction
    assert d.kind == "one-way" or d.confidence < 0.5


def test_loudness_rises_from_solid_to_print() -> None:
    loud = [read_loudness(make(f, 1).rgb, SIDE) for f in ("solid", "tone-on-tone", "stripe")]
    assert loud[0] < 0.02 < loud[1] < 0.2 < 0.4 < loud[2]


def test_users_word_wins_and_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "kelp.png"
    Image.fromarray(make("tossed-small", 1).rgb[:600, :600]).save(path)
    reading = read_swatch(path, 6.0, corrections={"direction": "one-way", "motif_in": 1.25})
    save_reading(reading, path)
    again = read_swatch(path, 6.0)
    assert (again.direction.kind, again.direction.up_from) == ("one-way", "user")
    assert again.motif.typical == 1.25
    assert read_swatch(path, 6.0, keep=False).direction.up_from != "user"
    assert (load_reading(path) or {})["corrections"] == {"direction": "one-way", "motif_in": 1.25}
    assert sorted(p.name for p in tmp_path.iterdir()) == ["kelp.png", "kelp.png.reading.json"]


@pytest.mark.parametrize("kind", ["straight", "half-drop", "brick"])
def test_a_repeat_typed_back_as_it_is_told_is_the_same_cloth(kind: str, tmp_path: Path) -> None:
    wide, high = {"straight": (80, 80), "half-drop": (44, 120), "brick": (120, 40)}[kind]
    y, x = np.mgrid[0:480, 0:480]
    if kind == "half-drop":
        y = y + x // wide % 2 * (high // 2)
    if kind == "brick":
        x = x + y // high % 2 * (wide // 2)
    leaf = (abs(x % wide - 20) + 2 * abs(y % high - 20) < 18) | (
        abs(x % wide - 30) + abs(y % high - 12) < 8
    )
    path = tmp_path / "leaves.png"
    Image.fromarray(np.stack([np.where(leaf, 60, 210).astype(np.uint8)] * 3, axis=-1)).save(path)
    found = read_swatch(path, 12.0)
    fabric = fabric_from_reading("leaves", path, found)
    assert fabric.repeat is not None
    told = dict(facts(found))["Repeat"]
    said = re.fullmatch(r"([a-z-]+) ([0-9.]+) x ([0-9.]+) in", told)
    assert said, told
    assert (said[1], float(said[2]), float(said[3])) == (
        kind,
        pytest.approx(wide / 40, abs=0.02),
        pytest.approx(high / 40, abs=0.02),
    )
    size: dict[str, str | float] = {
        "repeat_width_in": float(said[2]),
        "repeat_height_in": float(said[3]),
    }
    for words in (size, size | {"repeat_kind": said[1]}):
        again = read_swatch(path, 12.0, corrections=words)
        repeat = fabric_from_reading("leaves", path, again).repeat
        assert repeat is not None
        assert (repeat.kind, repeat.width) == (kind, pytest.approx(fabric.repeat.width, abs=0.01))
        assert repeat.height == pytest.approx(fabric.repeat.height, abs=0.01)
        lattice = np.linalg.solve(np.array(found.repeat.vectors_in), again.repeat.vectors_in)
        assert np.allclose(lattice, np.rint(lattice), atol=0.1)
    other = read_swatch(path, 12.0, corrections=size | {"repeat_kind": "straight"})
    assert dict(facts(other))["Repeat"] == f"straight {said[2]} x {said[3]} in"


def test_a_repeat_saved_before_there_were_kinds_is_straight(tmp_path: Path) -> None:
    saved = {"corrections": {"repeat_width_in": 4.0, "repeat_height_in": 3.0}}
    (tmp_path / "kelp.png.reading.json").write_text(json.dumps(saved), encoding="utf-8")
    assert load_corrections(tmp_path / "kelp.png")["repeat_kind"] == "straight"


@pytest.mark.parametrize(
    "wrong",
    [
        {"direction": "sideways"},
        {"colour": "red"},
        {"motif_in": -1.0},
        {"repeat_width_in": 2.0},
        {"repeat_width_in": 2.0, "repeat_height_in": 3.0, "repeat_kind": "wavy"},
        {"repeat_kind": "brick"},
    ],
)
def test_wrong_corrections_are_refused(wrong: dict[str, str | float]) -> None:
    with pytest.raises(QuiltValueError, match="accepted"):
        read_array(np.full((40, 40, 3), 90, np.uint8), 4.0, corrections=wrong)


def test_density_that_lies_is_noted(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.fromarray(np.full((300, 300, 3), 90, np.uint8)).save(path, dpi=(300, 300))
    assert read_swatch(path).width_in == pytest.approx(1.0, abs=1e-3)
    assert "300 pixels per inch" in read_swatch(path, 12.0).notes[0]
    Image.fromarray(np.full((300, 300, 3), 90, np.uint8)).save(path, dpi=(72, 72))
    with pytest.raises(QuiltValueError, match="a width, such as width=12"):
        read_swatch(path)


def test_rectify_undoes_a_known_perspective() -> None:
    from scipy.ndimage import map_coordinates

    p = make("check", 1)
    corners = [(60.0, 40.0), (1120.0, 90.0), (1150.0, 1130.0), (30.0, 1080.0)]
    n = p.rgb.shape[0]
    there = homography(corners, [(0, 0), (n, 0), (n, n), (0, n)])
    y, x = np.mgrid[0:1200, 0:1200] + 0.5
    u, v, z = (there[i, 0] * x + there[i, 1] * y + there[i, 2] for i in range(3))
    seen = np.stack(
        [map_coordinates(p.rgb[..., c], [v / z, u / z], order=1, mode="nearest") for c in range(3)],
        axis=-1,
    )
    found = read_repeat(rectify(seen, corners, (12.0, 12.0)), 12.0)
    assert same_lattice(list(found.vectors_in), p.vectors, 0.01)
    with pytest.raises(QuiltValueError, match="corners"):
        rectify(seen, corners[::-1], (12.0, 12.0))


def test_white_card_takes_the_cast_out() -> None:
    from quiltgeom.colour import delta_e_2000, linear_to_srgb, rgb_to_lab, srgb_to_linear

    true = make("tossed", 1).rgb.copy()
    true[:100, :100] = 200
    gain = np.array([1.0, 0.82, 0.6])
    cast = np.rint(255 * linear_to_srgb(srgb_to_linear(true / 255) * gain)).astype(np.uint8)
    fixed = balance_white(cast, (0, 0, 100, 100), reflectance=float(srgb_to_linear(200 / 255)))
    before = delta_e_2000(rgb_to_lab(true), rgb_to_lab(cast)).mean()
    after = delta_e_2000(rgb_to_lab(true), rgb_to_lab(fixed)).mean()
    assert after < 1.0 < 5.0 < before


def test_uneven_light_is_flattened() -> None:
    rgb = make("dots-straight", 1).rgb
    x = np.linspace(0.75, 1.1, rgb.shape[1])[None, :, None]
    lit = np.clip(rgb * x, 0, 255).astype(np.uint8)
    ground = np.array(
        [
            np.median(even_light(lit)[:, s].reshape(-1, 3), axis=0)
            for s in (slice(0, 300), slice(900, 1200))
        ]
    )
    assert np.abs(ground[0] - ground[1]).max() < 6


def test_two_points_give_the_width() -> None:
    assert width_from_points((1000, 800), (0, 0), (300, 400), 6.0) == pytest.approx(12.0)
    with pytest.raises(QuiltValueError):
        width_from_points((1000, 800), (5, 5), (5, 5), 6.0)


def test_command_prints_json_and_draws(tmp_path: Path) -> None:
    path = tmp_path / "lemons.png"
    p = make("one-way-straight", 1)
    Image.fromarray(p.rgb).save(path)
    drawn = [tmp_path / "reading.svg", tmp_path / "reading.png"]
    result = CliRunner().invoke(
        cli, ["read", str(path), "--width", "12in", "--json", *(f"-o{d}" for d in drawn)]
    )
    assert result.exit_code == 0, result.output
    data = json.loads(result.output)
    keys = {"repeat", "direction", "motif_in", "loudness", "palette", "value", "chroma"}
    assert keys <= set(data)
    assert same_lattice([tuple(v) for v in data["repeat"]["vectors_in"]], p.vectors, 0.01)
    assert {"hex", "share", "name"} == set(data["palette"][0])
    assert math.isclose(sum(c["share"] for c in data["palette"]), 1, abs_tol=0.001)
    assert all(d.stat().st_size > 5000 for d in drawn)


def test_command_says_what_is_wrong(tmp_path: Path) -> None:
    result = CliRunner().invoke(cli, ["read", str(tmp_path / "no.jpg"), "--width", "12in"])
    assert result.exit_code == 2
    assert "no such file" in result.output
    assert not reading_path(tmp_path / "no.jpg").exists()


def test_same_swatch_same_reading() -> None:
    rgb = photo(make("tossed", 3).rgb, 3)
    assert read_array(rgb, SIDE).to_json() == read_array(rgb.copy(), SIDE).to_json()


@pytest.mark.parametrize("seed", [1, 2, 3, 7])
def test_fine_bars_that_a_crease_bends_are_a_stripe(seed: int) -> None:
    """Photographed corduroy, 0.21 in from bar to bar: not a lattice of short steps along them."""
    y = np.mgrid[0:1000, 0:1000].astype(float)[0]
    light = 170 + 45 * np.sin(2 * np.pi * y / 17.5)
    rgb = np.repeat(light.astype(np.uint8)[..., None], 3, axis=2)
    found = read_repeat(photo(rgb, seed), 12.0)
    assert found.kind == "stripe"
    assert np.hypot(*found.vectors_in[0]) == pytest.approx(17.5 * 12 / 1000, rel=0.01)


def test_a_plaid_nearly_the_same_both_ways_is_not_sure() -> None:
    """Bars that differ a little the two ways: whatever is said of it, not with much confidence."""
    t = np.arange(720) % 48
    up = np.where(t < 14, 60.0, np.where((t > 22) & (t < 26), 210.0, 130.0))
    side = np.where(t < 12, 60.0, np.where((t > 24) & (t < 30), 210.0, 130.0))
    sure = {}
    for name, other in (("same", up), ("nearly", side)):
        light = (up[:, None] + other[None, :]) / 2
        rgb = np.repeat(light.astype(np.uint8)[..., None], 3, axis=2)
        sure[name] = read_array(rgb, 12.0).direction
    assert sure["same"].kind == "four-way"
    assert sure["same"].confidence > 0.9
    assert sure["nearly"].confidence < sure["same"].confidence - 0.1
    assert "sideways" in sure["nearly"].reason
