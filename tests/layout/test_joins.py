"""Seams between two patches of one cloth: in the scenic patterns none cuts the print."""

from __future__ import annotations

import pytest

from quiltgeom.layout.quilt_layout import fit_size, lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.pattern import Pattern
from quiltgeom.proposal.seen import seams_within

PATTERNS = list(load_patterns())
SLICED = ("rope-walk",)
"""Patterns whose print is sliced into strips that meet at their ends: that is what they are."""


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_all_seams_are_found(pattern: Pattern) -> None:
    """In an exact cover every seam lies between two patches: together their perimeters hold each
    seam twice and the quilt's own edge once."""
    quilt = lay_out(pattern)
    seams = sum(line.length for line in seams_within(quilt.pieces).values())
    around = sum(p.polygon.length for p in quilt) - 2 * (quilt.width + quilt.height)
    assert seams == pytest.approx(around, rel=2e-4)  # a touch of corners counts a little, too


@pytest.mark.parametrize("size", [None, (44, 60), (66, 84)], ids=["usual", "44x60", "66x84"])
@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_no_seam_cuts_the_print_of_a_pattern(
    pattern: Pattern, size: tuple[float, float] | None
) -> None:
    quilt = lay_out(pattern, **(fit_size(pattern, *size) if size else {}))  # type: ignore[arg-type]
    found = seams_within([p for p in quilt if p.role == pattern.main_role])
    assert bool(found) == (pattern.key in SLICED)
