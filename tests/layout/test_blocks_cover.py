"""Every block covers its outline exactly at three sizes, and areas commute with placement."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.geometry.cover import polygon_faults
from quiltgeom.geometry.outline import split_arcs
from quiltgeom.geometry.placement import Placement
from quiltgeom.library.blocks import load_blocks
from quiltgeom.model.block import Block

BLOCKS = list(load_blocks())


def check_block(block: Block, placement: Placement) -> None:
    outlines = [p.outline.placed(placement) for p in block.patches]
    edge = block.boundary.placed(placement)
    assert math.fsum(o.area for o in outlines) == pytest.approx(edge.area, rel=1e-9)
    # corners move by rounding noise when placed, so neighbours are compared as polylines
    polygons = [o.polygon for o in split_arcs(outlines)]
    assert polygon_faults(polygons, edge.polygon) == []
    # the plain union may lose a polygon where edges differ by rounding noise alone
    union = shapely.union_all(polygons, grid_size=1e-12)
    slack = 1e-9 * max(1.0, edge.area)
    assert union.symmetric_difference(edge.polygon).area < slack
    assert abs(math.fsum(p.area for p in polygons) - union.area) < slack


@pytest.mark.parametrize("size", [4.0, 12.0, 10 * math.sqrt(2)])
@pytest.mark.parametrize("block", BLOCKS, ids=lambda b: b.key)
def test_every_block_at_three_sizes(block: Block, size: float) -> None:
    check_block(block, Placement(scale=size / block.width))


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(BLOCKS),
    st.builds(
        Placement,
        st.floats(-100, 100),
        st.floats(-100, 100),
        st.integers(0, 23),
        st.floats(0.1, 5),
        st.booleans(),
    ),
)
def test_a_placed_block_still_covers(block: Block, placement: Placement) -> None:
    check_block(block, placement)


def test_the_check_can_fail() -> None:
    block = load_blocks().get("churn-dash")
    short = block.changed(patches=block.patches[1:])
    with pytest.raises(AssertionError):
        check_block(short, Placement())


@given(st.sampled_from(BLOCKS))
@settings(max_examples=20, deadline=None)
def test_recolouring_moves_area_and_nothing_else(block: Block) -> None:
    swapped = block.recoloured({"background": "accent", "accent": "background"})
    again = swapped.recoloured({"background": "accent", "accent": "background"})
    assert [p.outline for p in swapped.patches] == [p.outline for p in block.patches]
    assert [p.role for p in again.patches] == [p.role for p in block.patches]
    for one, other in (("background", "accent"), ("accent", "background")):
        assert swapped.area_share.get(one, 0.0) == pytest.approx(block.area_share.get(other, 0.0))
