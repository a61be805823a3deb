"""The rules, case by case, on constructed prints."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.errors import QuiltError
from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.facts import PrintFacts, quilt_facts, window_inches
from quiltgeom.matching.rank import fit_pattern, rank_patterns
from quiltgeom.matching.rules import Wish, judge
from quiltgeom.piecing.difficulty import WORDS

PATTERNS = list(load_patterns())


def order(print_: PrintFacts) -> list[str]:
    return [f.pattern.key for f in rank_patterns(PATTERNS, print_, (44, 60))]


def test_windows_with_known_answers() -> None:
    """Plane geometry: square in a rectangle, in a square turned 45 degrees, in a right triangle
    (leg / 2), in an equilateral triangle (a sqrt3 / (2 + sqrt3)), in a disc (r sqrt2)."""
    assert window_inches(rectangle(0, 0, 3, 7), 0) == 3
    assert window_inches(rectangle(0, 0, 6, 6), 45) == pytest.approx(6 / math.sqrt(2), abs=1e-6)
    assert window_inches(Outline(((0, 0), (4, 0), (0, 4))), 0) == pytest.approx(2, abs=1e-6)
    triangle = Outline(((0, 0), (2, 0), (1, math.sqrt(3))))
    known = 2 * math.sqrt(3) / (2 + math.sqrt(3))
    assert window_inches(triangle, 0) == pytest.approx(known, abs=1e-6)
    disc = Outline(((-1, 0), (1, 0)), (1.0, 1.0))
    assert window_inches(disc, 0) == pytest.approx(math.sqrt(2), abs=1e-3)


THOUSANDTHS = st.integers(0, 9000).map(lambda n: n / 1000)
"""Corners nearer than a cutter's blade are left out: there shapely's intersection goes wrong."""


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(THOUSANDTHS, THOUSANDTHS), min_size=4, max_size=9), st.integers(0, 89))
def test_a_window_fits_and_a_larger_one_does_not(
    points: list[tuple[float, float]], turn: int
) -> None:
    """Against shapely: where the polygon shrunk by a square (Minkowski) is empty, none fits."""
    hull = shapely.MultiPoint(points).convex_hull
    if hull.geom_type != "Polygon" or hull.area < 0.5:
        return
    outline = Outline(tuple(hull.exterior.coords)[:-1])
    side = window_inches(outline, float(turn))
    back = shapely.affinity.rotate(outline.polygon, -turn, origin=(0, 0))
    corners = np.asarray(back.exterior.coords)

    def room(s: float) -> float:
        parts = [
            shapely.affinity.translate(back, dx * s / 2, dy * s / 2)
            for dx in (-1, 1)
            for dy in (-1, 1)
        ]
        common = parts[0]
        for part in parts[1:]:
            common = common.intersection(part)
        return float(common.area)

    assert side <= np.ptp(corners, axis=0).min() + 1e-9
    assert room(side * 0.999) > 0
    assert room(side * 1.001 + 1e-6) == pytest.approx(0, abs=1e-9)


def test_a_scenic_one_way_print_wants_large_upright_independent_patches() -> None:
    for size in (4.0, 6.0, 8.0):
        first = rank_patterns(PATTERNS, PrintFacts(size, "one-way", 0.7), (44, 60))[0]
        assert first.pattern.roles[first.pattern.main_role].cut == "independent"
        assert first.facts.upright
        assert first.pattern.setting != "on-point"
        assert first.facts.window >= size
        assert first.outcome != "fail"


def test_the_larger_the_motif_the_larger_the_patches_of_the_winner() -> None:
    windows = [
        rank_patterns(PATTERNS, PrintFacts(m, "one-way"), (44, 60))[0].facts.window
        for m in (1.0, 5.0, 11.0, 14.0)
    ]
    assert windows[-1] > 12
    assert all(w >= m for w, m in zip(windows, (1.0, 5.0, 11.0, 14.0), strict=True))
    assert order(PrintFacts(1.0)) != order(PrintFacts(9.0))


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_a_smaller_motif_never_fits_worse(pattern) -> None:
    scores = [fit_pattern(pattern, PrintFacts(m)).verdicts[0].score for m in (9, 6, 4, 2, 1, 0.5)]
    assert scores == sorted(scores)


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_freer_prints_never_lie_worse(pattern) -> None:
    kinds = ("one-way", "two-way", "four-way", "non-directional")
    scores = [fit_pattern(pattern, PrintFacts(2, k)).verdicts[2].score for k in kinds]
    assert scores == sorted(scores)


def test_strips_fail_a_directional_print_and_a_large_one() -> None:
    fit = fit_pattern(load_patterns().get("rope-walk"), PrintFacts(3, "one-way"))
    assert {v.rule for v in fit.verdicts if v.outcome == "fail"} == {"upright", "independent"}
    large = fit_pattern(load_patterns().get("rope-walk"), PrintFacts(7, "one-way"))
    assert "motif-fits" in {v.rule for v in large.verdicts if v.outcome == "fail"}
    quiet = fit_pattern(load_patterns().get("rope-walk"), PrintFacts(0.5, "non-directional"))
    assert quiet.fails == 0


def test_every_verdict_has_a_sentence_with_a_reason() -> None:
    for fit in rank_patterns(PATTERNS, PrintFacts(3, "two-way", 0.6)):
        for verdict in fit.verdicts:
            assert len(verdict.sentence) > 15
            assert 0 <= verdict.score <= 1


def test_a_little_louder_does_not_reshuffle_the_top() -> None:
    """Places change only among patterns that are as good as equal: within one hundredth."""
    before = rank_patterns(PATTERNS, PrintFacts(3, "two-way", 0.50), (44, 60))
    scores = {f.pattern.key: f.score for f in before}
    for key in order(PrintFacts(3, "two-way", 0.53))[:3]:
        assert scores[key] > before[2].score - 0.01


def test_a_small_print_is_not_given_the_largest_patches() -> None:
    """Common practice, no source: small prints into small patches, large prints into large."""
    first = {
        m: rank_patterns(PATTERNS, PrintFacts(m), (44, 60))[0].facts.window
        for m in (0.0, 0.5, 1.5, 4.0, 8.0)
    }
    assert list(first.values()) == sorted(first.values())
    assert first[0.5] <= 6
    assert first[8.0] >= 9


def test_facts_of_a_known_quilt() -> None:
    """Net Mender's Chain, 9-inch blocks: plain squares of 9 inches, 17 of 35 blocks."""
    quilt = lay_out(load_patterns().get("net-menders-chain"))
    facts = quilt_facts(quilt)
    assert facts.window == pytest.approx(9)
    assert facts.main_patches == 17
    assert facts.main_share == pytest.approx(17 * 81 / (quilt.width * quilt.height))
    assert facts.upright
    assert facts.independent


@pytest.mark.parametrize(
    ("motif", "direction", "loudness"),
    [(-1, "one-way", 0.5), (math.nan, "one-way", 0.5), (1, "up", 0.5), (1, "one-way", 1.5)],
)
def test_prints_that_are_none(motif: float, direction: str, loudness: float) -> None:
    with pytest.raises(QuiltError, match="accepted"):
        PrintFacts(motif, direction, loudness)  # type: ignore[arg-type]


def test_blocks_grow_where_the_motif_needs_it() -> None:
    pattern = load_patterns().get("harbour-windows")
    usual = fit_pattern(pattern, PrintFacts(4, "one-way"))
    grown = fit_pattern(pattern, PrintFacts(9, "one-way"))
    assert usual.quilt.block_size == pattern.block_size
    assert grown.quilt.block_size > pattern.block_size
    assert grown.facts.window >= 1.15 * 9 - 1e-6
    assert grown.quilt.width == pytest.approx(usual.quilt.width, rel=0.25)


def verdict(fit, rule: str):
    return next(v for v in fit.verdicts if v.rule == rule)


def test_a_pattern_above_the_makers_level_is_no_first_quilt() -> None:
    pattern = load_patterns().get("lighthouse-keep")
    found = {
        level: verdict(fit_pattern(pattern, PrintFacts(3), level=level), "difficulty")
        for level in WORDS
    }
    scores = [found[level].score for level in WORDS]
    assert scores == sorted(scores)
    assert found["challenge"].outcome == "pass"
    own = fit_pattern(pattern, PrintFacts(3)).facts.level
    assert own >= 1
    assert found[WORDS[0]].outcome == ("caution" if own == 1 else "fail")


def test_the_wanted_size_is_judged_by_how_far_it_is_missed() -> None:
    pattern = load_patterns().get("gull-cove")
    near = verdict(fit_pattern(pattern, PrintFacts(3), (44.25, 57)), "size")
    facts = replace(fit_pattern(pattern, PrintFacts(3)).facts, width=70.0)
    far = next(v for v in judge(PrintFacts(3), facts, Wish((44, 57))) if v.rule == "size")
    assert near.outcome == "pass"
    assert far.outcome != "pass"
    assert far.score < near.score
    assert "size" not in {v.rule for v in fit_pattern(pattern, PrintFacts(3)).verdicts}


def test_a_level_that_is_none() -> None:
    with pytest.raises(QuiltError, match="accepted: first quilt"):
        fit_pattern(PATTERNS[0], PrintFacts(3), level="wizard")
