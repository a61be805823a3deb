"""Blocks laid by their tile vectors cover any rectangle exactly, part patches included."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.clip import clip_to_line
from quiltgeom.geometry.cover import cover_faults
from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.library.blocks import load_blocks
from tests.layout.lattices import laid

TILED = [b for b in load_blocks() if b.tile]


def test_the_usual_outlines_tile() -> None:
    keys = {b.key for b in TILED}
    assert {
        "clamshell",
        "apple-core-pair",
        "tumbling-blocks",
        "hexagon",
        "lozenge",
        "rhomb",
        "equilateral-triangles",
        "tumbler",
    } <= keys


@pytest.mark.parametrize("block", TILED, ids=lambda b: b.key)
def test_vectors_span_the_area_of_the_outline(block) -> None:
    (ax, ay), (bx, by) = block.tile
    assert abs(ax * by - ay * bx) == pytest.approx(block.boundary.area, rel=1e-12)


@pytest.mark.parametrize("block", TILED, ids=lambda b: b.key)
@settings(max_examples=6, deadline=None)
@given(w=st.floats(1, 9), h=st.floats(1, 9), x=st.floats(0, 6), y=st.floats(0, 6))
def test_rectangle_is_covered_exactly(block, w: float, h: float, x: float, y: float) -> None:
    patches = laid(block, w, h, x, y)
    total = math.fsum(p.outline.area for p in patches)
    assert total == pytest.approx(w * h, abs=1e-4)  # slivers below 1e-6 are left out


@pytest.mark.parametrize("block", TILED, ids=lambda b: b.key)
def test_no_gap_and_no_overlap(block) -> None:
    patches = laid(block, 5, 4)
    assert cover_faults([p.outline for p in patches], rectangle(0, 0, 5, 4)) == []


def test_a_line_may_cut_one_outline_into_several() -> None:
    comb = Outline(
        (
            (0, 0),
            (5, 0),
            (5, 3),
            (4, 3),
            (4, 1),
            (3, 1),
            (3, 3),
            (2, 3),
            (2, 1),
            (1, 1),
            (1, 3),
            (0, 3),
        )
    )
    assert sorted(o.area for o in clip_to_line(comb, (0, -1), -2)) == [1, 1, 1]
    assert [o.area for o in clip_to_line(comb, (0, 1), 2)] == [5 + 3]
    assert clip_to_line(comb, (0, 1), -1) == []


def test_block_without_vectors_is_refused() -> None:
    with pytest.raises(QuiltValueError, match="tile"):
        laid(load_blocks().get("apple-core"), 5, 5)
