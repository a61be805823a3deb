"""What a shop calls a print: borders at every edge, panels, scenes; and no border that is none."""

from __future__ import annotations

import numpy as np
import pytest

from quiltgeom.demo.swatches import SWATCHES, draw_swatch
from quiltgeom.fabric.reading.designs.border_band import EDGES, find_band
from quiltgeom.fabric.reading.designs.panel_frame import framed
from quiltgeom.fabric.reading.palette import read_palette
from quiltgeom.fabric.reading.pixels import shrink
from quiltgeom.fabric.reading.reading import Reading, read_array
from quiltgeom.fabric.reading.reading_words import describe, facts
from quiltgeom.matching.facts import print_facts
from tests.reading.laid_prints import border_print, panel_print, scene_print
from tests.reading.more_prints import ALL_FAMILIES, make_any
from tests.reading.prints import SIDE, photo


def read(rgb: np.ndarray) -> Reading:
    return read_array(shrink(rgb, 600), SIDE)


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize(
    ("style", "family"), [("band", "rings"), ("line", "blobs"), ("scallops", "tossed")]
)
def test_a_border_is_found_at_its_edge(edge: str, style: str, family: str) -> None:
    print_, depth = border_print(edge, style, family, 51)
    rgb = shrink(photo(print_.rgb, 51), 512)
    found = find_band(rgb, SIDE, read_palette(rgb))
    assert found is not None
    assert found.edge == edge
    assert found.depth_in == pytest.approx(depth, abs=0.4)


def test_a_border_is_told_before_the_print_is_used() -> None:
    found = read(border_print("left", "band", "cells", 51)[0].rgb)
    assert "along the left edge" in found.design.details
    told = print_facts(found).unsure
    assert any("border" in words and "all-over" in words for words in told)
    assert ("Design", found.design.name) in facts(found)
    assert f"For cutting: {found.design.details}" in describe(found)
    assert found.to_json()["design"]["edge"] == "left"


def test_panels_are_to_be_used_whole() -> None:
    found = read(photo(panel_print(8).rgb, 8)).design
    assert found.kind == "panel"
    assert "whole" in found.details
    assert "panel" in found.caution


def test_a_frame_needs_all_four_sides() -> None:
    rgb = panel_print(8).rgb.copy()
    assert framed(rgb) > 0.9
    rgb[:, 900:] = rgb[:, 899:900].mean(axis=(0, 1))
    rgb[:, :] = np.where(np.arange(1200)[None, :, None] > 800, rgb[600, 600], rgb)
    assert framed(rgb) == 0


def test_scenes_stripes_and_solids_have_their_names() -> None:
    prints = [scene_print(1), *(make_any(f, 1) for f in ("stripe", "plaid", "solid", "tossed"))]
    found = [read(p.rgb).design for p in prints]
    assert [d.kind for d in found] == ["scene", "stripe", "plaid", "solid", "all-over"]
    assert all(d.details and not d.caution for d in found)


@pytest.mark.parametrize("swatch", [s.name for s in SWATCHES])
def test_no_swatch_of_the_demo_has_a_border(swatch: str) -> None:
    rgb = np.asarray(draw_swatch(swatch, 25))
    assert find_band(rgb, SIDE, read_palette(rgb)) is None


@pytest.mark.parametrize("family", ALL_FAMILIES)
def test_no_all_over_has_a_border(family: str) -> None:
    rgb = shrink(photo(make_any(family, 52).rgb, 52), 512)
    assert find_band(rgb, SIDE, read_palette(rgb)) is None
