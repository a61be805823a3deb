"""The order of sewing as structure, and how hard things are to sew as counts."""

from __future__ import annotations

import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.library.blocks import load_blocks
from quiltgeom.piecing.difficulty import block_difficulty, quilt_difficulty
from quiltgeom.piecing.quilt_plan import plan_quilt
from quiltgeom.piecing.sewing_plan import plan_block
from quiltgeom.piecing.steps import sewing_steps
from tests.golden.facts import difficulty_facts, sewing_facts, small

BLOCKS = {
    "straight rows": "churn-dash",
    "straight with quarter squares": "ohio-star",
    "set-in": "eight-pointed-star",
    "partial seam": "bright-hopes",
    "curved": "drunkards-path",
}


@pytest.mark.parametrize("name", BLOCKS)
def test_block(name: str, golden: SnapshotAssertion) -> None:
    block = load_blocks().get(BLOCKS[name])
    roles = [p.role for p in block.patches]
    plan = plan_block(block)
    assert sewing_facts(plan, sewing_steps(plan, roles), dict(enumerate(roles))) == golden


def test_quilt_with_sashing_and_a_mitred_border(golden: SnapshotAssertion) -> None:
    made = plan_quilt(small("barn-lantern", 2, 2))
    names = {k: p.name or p.look for k, p in enumerate(made.parts)}
    assert sewing_facts(made.plan, made.steps, names) == golden


def test_difficulty_of_blocks(golden: SnapshotAssertion) -> None:
    keys = (
        "bears-paw",
        "bright-hopes",
        "churn-dash",
        "drunkards-path",
        "eight-pointed-star",
        "log-cabin",
        "mariners-compass",
        "nine-patch",
        "pinwheel",
    )
    get = load_blocks().get
    assert {k: difficulty_facts(block_difficulty(get(k))) for k in keys} == golden


def test_difficulty_of_quilts(golden: SnapshotAssertion) -> None:
    keys = ("harbour-windows", "gull-cove", "barn-lantern", "fish-boxes", "slipway")
    assert {k: difficulty_facts(quilt_difficulty(small(k, 3, 3))) for k in keys} == golden
