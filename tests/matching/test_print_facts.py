"""From a reading to what the rules look at: what is unsure is taken the careful way."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from quiltgeom.fabric.cloth import cloth_of
from quiltgeom.fabric.reading.as_fabric import (
    careful_direction,
    fabric_from_reading,
    known_repeat,
    middle_motif,
)
from quiltgeom.fabric.reading.directions.direction import DirectionReading
from quiltgeom.fabric.reading.motif import MotifReading
from quiltgeom.fabric.reading.reading import Reading, read_array
from quiltgeom.fabric.reading.reading_words import facts
from quiltgeom.fabric.reading.repeats.repeat import RepeatReading
from quiltgeom.matching.facts import print_facts
from quiltgeom.model.fabric import Repeat


@pytest.fixture(scope="module")
def plain() -> Reading:
    return read_array(np.full((64, 64, 3), 120, dtype=np.uint8), 12.0)


def read_as(plain: Reading, kind: str, sure: float, loudness: float = 0.6) -> Reading:
    return replace(
        plain, direction=DirectionReading(kind, "print", confidence=sure), loudness=loudness
    )


def test_an_unsure_direction_is_cut_as_one_way(plain: Reading) -> None:
    assert print_facts(read_as(plain, "two-way", 0.9)).direction == "two-way"
    careful = print_facts(read_as(plain, "non-directional", 0.3))
    assert careful.direction == "one-way"
    assert "unsure" in careful.unsure[0]


def test_a_direction_counts_from_seven_tenths(plain: Reading, tmp_path: Path) -> None:
    """Below, a reading is right in only seven of ten (docs/reading.md): it declares nothing."""
    for sure, way, words in ((0.7, "two-way", ""), (0.69, "one-way", "may be two-way")):
        reading = read_as(plain, "two-way", sure)
        found, doubt = careful_direction(reading)
        assert (found, bool(doubt)) == (way, bool(words))
        assert words in doubt
        fabric = fabric_from_reading("kelp", tmp_path / "kelp.png", reading)
        assert (fabric.direction, fabric.declared) == (way, not words)
        assert ("(unsure)" in dict(facts(reading))["Direction"]) == bool(doubt)
    doubt = careful_direction(read_as(plain, "one-way", 0.6))[1]
    assert doubt == "the print probably has an up; we keep it upright to be safe"


def test_a_scene_counts_as_large_and_a_plain_cloth_as_without_motif(plain: Reading) -> None:
    assert print_facts(plain).motif == 0
    scene = print_facts(read_as(plain, "one-way", 0.4, loudness=0.7))
    assert scene.motif == 6
    assert len(scene.unsure) == 2


@pytest.mark.parametrize(
    ("kind", "cell", "expected"),
    [
        ("straight", (3, 4), Repeat(3, 4)),
        ("half-drop", (3, 4), Repeat(1.5, 4, "half-drop")),
        ("brick", (6, 4), Repeat(6, 2, "brick")),
    ],
)
def test_a_repeat_as_read_is_the_tile_that_is_laid(plain, kind, cell, expected) -> None:
    """A half-drop's rectangle with two motifs is two columns wide (design of the model)."""
    reading = replace(plain, repeat=RepeatReading(kind, ((1, 0), (0, 1)), cell, 0.0, 0.9))
    assert known_repeat(reading) == expected
    assert expected is not None
    assert print_facts(reading).repeat == expected
    unsure = replace(reading, repeat=replace(reading.repeat, confidence=0.3))
    assert known_repeat(unsure) is None
    aslant = replace(reading, repeat=replace(reading.repeat, turn_deg=4.0))
    assert known_repeat(aslant) is None


def test_the_tile_of_the_fabric_has_the_cell_that_was_read(plain: Reading, tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGB", (64, 64), "#777777").save(tmp_path / "rope.png")
    reading = replace(plain, repeat=RepeatReading("brick", ((1, 0), (0, 1)), (6, 4), 0.0, 0.9))
    fabric = fabric_from_reading("rope", tmp_path / "rope.png", reading)
    assert replace(cloth_of(fabric), kind="repeat").tile_size == (6, 4)


def test_the_motif_to_centre_is_a_large_one_near_the_middle(plain: Reading) -> None:
    boxes = ((1.0, 1.0, 2.0, 2.0), (5.0, 5.5, 2.0, 2.0), (6.0, 6.0, 0.2, 0.2))
    reading = replace(plain, motif=MotifReading(2.0, 2.2, boxes, 0.9))
    assert middle_motif(reading) == (6.0, 6.5)
    assert middle_motif(plain) is None
