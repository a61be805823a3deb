"""What must not change the advice: the photo turned half round, a little more light."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from quiltgeom.demo.swatches import SWATCHES, write_swatches
from quiltgeom.fabric.reading.reading import read_array
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.facts import PrintFacts, print_facts
from quiltgeom.matching.rank import PatternFit, rank_patterns

PATTERNS = list(load_patterns())


@pytest.fixture(scope="module")
def swatches(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("prints")
    write_swatches(folder, ["shoal", "harbour-morning"])
    return folder


def ranked(pixels: np.ndarray) -> tuple[PrintFacts, list[PatternFit]]:
    facts = print_facts(read_array(pixels, 12.0))
    return facts, rank_patterns(PATTERNS, facts)


def photo(folder: Path, name: str) -> np.ndarray:
    with Image.open(folder / f"{name}.jpg") as picture:
        return np.asarray(picture.convert("RGB").resize((900, 900)))


def test_a_two_way_print_turned_half_round_keeps_its_ranking(swatches: Path) -> None:
    upright = photo(swatches, "shoal")
    facts, fits = ranked(upright)
    turned, again = ranked(np.ascontiguousarray(upright[::-1, ::-1]))
    assert facts.direction == turned.direction == "two-way"
    assert [f.pattern.key for f in again] == [f.pattern.key for f in fits]


@pytest.mark.parametrize("name", ["shoal", "harbour-morning"])
def test_a_little_more_or_less_light_keeps_the_top_three(swatches: Path, name: str) -> None:
    pixels = photo(swatches, name).astype(float)
    facts, fits = ranked(pixels.astype(np.uint8))
    for light in (0.95, 1.04):
        lit, again = ranked(np.clip(pixels * light, 0, 255).astype(np.uint8))
        assert lit.direction == facts.direction
        assert [f.pattern.key for f in again[:3]] == [f.pattern.key for f in fits[:3]]


def test_the_scenic_print_stands_upright_in_large_pieces(swatches: Path) -> None:
    """The demo draws this print as one-way with motifs of 5 1/2 in (its own metadata)."""
    truth = next(s for s in SWATCHES if s.name == "harbour-morning")
    _, fits = ranked(photo(swatches, "harbour-morning"))
    best = fits[0]
    assert best.facts.independent
    assert best.facts.upright
    assert best.pattern.setting not in ("on-point",)
    assert best.facts.window >= truth.motif_in
