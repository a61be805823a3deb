"""Clues to direction, each on prints where it must speak and on others where it must not."""

from __future__ import annotations

import numpy as np
import pytest

from quiltgeom.fabric.reading.directions.direction_features import direction_features
from quiltgeom.fabric.reading.directions.turned import figure_evidence
from quiltgeom.fabric.reading.pixels import shrink
from quiltgeom.fabric.reading.repeats.autocorrelation import detail_planes
from quiltgeom.fabric.reading.repeats.folded_copies import fold, richness, turned_likeness
from quiltgeom.fabric.reading.repeats.repeat import RepeatReading, read_repeat
from quiltgeom.fabric.reading.repeats.skewness import odd_moments
from tests.reading.more_prints import make_any
from tests.reading.prints import SIDE


def upright_trees(n: int = 200) -> np.ndarray:
    """A torus ``(1, n, n)`` of triangles that all point up, anywhere."""
    rng = np.random.default_rng(4)
    y, x = np.mgrid[0:n, 0:n]
    out = np.zeros((n, n))
    for _ in range(40):
        dy, dx = (y - rng.integers(n)) % n, (x - rng.integers(n) + n // 2) % n - n // 2
        out[(dy < 16) & (np.abs(dx) < dy / 2)] = 40.0
    return out[None]


def features_of(family: str, seed: int) -> dict[str, float]:
    rgb = make_any(family, seed).rgb
    planes = detail_planes(shrink(rgb, 400), smooth=0.9)
    return direction_features(planes, 400 / SIDE, read_repeat(rgb, SIDE), None, 0.5, 0.5)


def test_odd_statistics_tell_an_up_and_cancel_where_half_is_upside_down() -> None:
    trees = upright_trees()
    up = odd_moments(trees, 0.0, 40, torus=True)
    both = odd_moments(np.concatenate([trees, trees[:, ::-1, ::-1]], axis=1), 0.0, 80, torus=True)
    assert up["odd up"] > 5 * both["odd up"]
    assert up["sure up"] > 0.4 > 0.15 > both["sure up"]
    turned = odd_moments(np.rot90(trees, axes=(1, 2)), 0.0, 40, torus=True)
    assert turned["odd side"] == pytest.approx(up["odd up"], abs=0.03)


@pytest.mark.parametrize("seed", [3, 4])
def test_figures_vote_for_how_their_partners_lie(seed: int) -> None:
    upright, pairs, tossed = (
        features_of(f, seed) for f in ("one-way-scattered", "two-way-scattered", "tossed")
    )
    assert upright["figures vote 0"] > 0.9 > 0.3 > upright["figures vote 180"]
    assert pairs["figures vote 180"] > 0.45 > 0.3 > pairs["figures vote aslant"]
    assert tossed["figures vote aslant"] > 0.45
    assert upright["all upright"] > 0.3 > upright["every way"] + 0.1
    assert tossed["every way"] > 0.3 > tossed["all upright"] + 0.1


def test_fewer_than_four_figures_have_no_vote() -> None:
    planes = np.zeros((4, 200, 200))
    planes[:, 60:80, 60:80] = planes[:, 120:140, 90:110] = 20.0
    assert figure_evidence(planes) is None


def test_a_quarter_turn_is_seen_in_a_square_repeat_that_lies_aslant() -> None:
    """Pinwheels on a lattice of (2, 1), (-1, 2) inches: square, but not along the picture."""
    n, per_inch = 400, 40.0
    y, x = np.mgrid[0:n, 0:n] / per_inch
    u, v = ((2 * x + y) / 5 % 1 - 0.5) * 2.236, ((2 * y - x) / 5 % 1 - 0.5) * 2.236
    angle, r = np.arctan2(v, u), np.hypot(u, v)
    planes = 30.0 * ((np.cos(4 * angle + 3 * r) > 0.2) & (r < 0.9))[None].astype(float)
    lattice = ((2.0, 1.0), (-1.0, 2.0))
    repeat = RepeatReading("slanted", lattice, None, 0.0, 0.9)
    pair = fold(planes, per_inch, repeat)
    assert pair is not None
    like = turned_likeness(pair, repeat)
    assert like["quarter"] > 0.95
    assert like["quarter more"] < 0.6
    rough = planes * (u > 0)  # half of each pinwheel: no turn fits
    pair = fold(rough, per_inch, repeat)
    assert pair is not None
    like = turned_likeness(pair, repeat)
    assert like["half"] < 0.7
    assert like["half more"] > 0.9


def test_a_texture_is_richer_than_one_figure() -> None:
    rng = np.random.default_rng(2)
    texture = rng.normal(size=(1, 80, 80))
    y, x = np.mgrid[0:80, 0:80] - 40
    figure = np.exp(-(x**2 + y**2) / 200)[None]
    assert richness(texture)["waves"] > richness(figure)["waves"] + 0.3
    assert richness(texture)["fill"] > richness(figure)["fill"]
