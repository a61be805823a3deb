"""Difficulty of whole quilts: counts that add up, the word, and its reasons."""

import pytest

from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.piecing.difficulty import WORDS, difficulty_of, quilt_difficulty
from quiltgeom.piecing.quilt_plan import plan_quilt
from quiltgeom.piecing.sewing_plan import plan_outlines

PATTERNS = list(load_patterns())


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_a_quilt_is_as_hard_as_its_hardest_unit_or_harder(pattern):
    found = difficulty_of(pattern)
    assert found.level >= max((d.level for _, _, d in found.units), default=0)
    assert found.word == WORDS[found.level]
    assert bool(found.reasons) == (found.level > 0)
    assert found.sentence.startswith(found.word + ": ")
    assert found == difficulty_of(lay_out(pattern))


@pytest.mark.parametrize(
    "pattern", [p for p in PATTERNS if p.setting == "straight"][:5], ids=lambda p: p.key
)
def test_counts_of_a_quilt_are_those_of_all_its_patches_planned_at_once(pattern):
    """Set-in corners do not depend on the order of sewing, so one plan of every single patch of
    the top, without units, must find the same number; seams are one fewer than patches."""
    quilt = lay_out(pattern, rows=2, columns=2)
    found, plain = quilt_difficulty(quilt), plan_outlines([p.outline for p in quilt])
    assert (found.set_in, found.patches) == (plain.set_in, len(plain.joins) + 1)
    assert found.partial == plain.partial


def test_pieced_borders_are_rows_of_units():
    quilt = lay_out(load_patterns().get("lighthouse-keep"))
    units = {name: count for name, count, _ in quilt_difficulty(quilt).units}
    assert units["flying-geese"] == 24
    assert units["evening-star"] == 40
    plan = plan_quilt(quilt)
    assert sorted(i for part in plan.parts for i in part.pieces) == list(range(len(quilt)))
    assert any("7 x " in step.text for step in plan.steps), [s.text for s in plan.steps]


def test_a_block_counts_as_before():
    block = load_blocks().get("bears-paw")
    found = difficulty_of(block, 10.5)
    assert (found.patches, found.half_square_triangles, found.units) == (45, 16, ())
    assert found.facts()["narrowest_in"] == 1.5
