"""Loudness against a judgement made blind: shuffled, numbered, nothing measured beforehand."""

from __future__ import annotations

import tomllib
from itertools import combinations, pairwise
from pathlib import Path
from statistics import median

import numpy as np
import pytest

from quiltgeom.demo.swatches import SWATCHES, draw_swatch
from quiltgeom.fabric.reading.value import read_loudness

# judged_blind.toml says how its swatches were shown and judged; its tiles are not in this project.
JUDGED = tomllib.loads(Path(__file__).with_name("judged_blind.toml").read_text("utf-8"))["demo"]
ORDER = ("solid", "texture", "blender", "small", "loud")


@pytest.fixture(scope="module")
def loud() -> dict[str, float]:
    return {n: read_loudness(np.asarray(draw_swatch(n, 40)), 12.0) for n in JUDGED}


def test_every_swatch_was_judged() -> None:
    assert sorted(JUDGED) == sorted(s.name for s in SWATCHES)
    assert {d["class"] for d in JUDGED.values()} == set(ORDER)


def test_classes_rise_as_a_blind_eye_put_them(loud: dict[str, float]) -> None:
    classes = [[n for n, d in JUDGED.items() if d["class"] == kind] for kind in ORDER]
    middle = [median(loud[n] for n in names) for names in classes]
    assert all(b > 1.3 * a for a, b in pairwise(middle)), middle
    pairs = [(a, b) for low, high in combinations(classes, 2) for a in low for b in high]
    wrong = [(a, b) for a, b in pairs if loud[a] >= loud[b]]
    assert 1 - len(wrong) / len(pairs) >= 0.95, wrong


def test_far_apart_scores_are_never_turned_round(loud: dict[str, float]) -> None:
    """A quarter of the scale apart: no quilter would hesitate which of the two is louder."""
    pairs = [(a, b) for a in JUDGED for b in JUDGED if JUDGED[b]["score"] - JUDGED[a]["score"] > 24]
    assert len(pairs) > 400
    assert not [(a, b) for a, b in pairs if loud[a] >= loud[b]]
