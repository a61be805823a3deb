"""Every pattern covers its quilt exactly, at every size, and its areas add up."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.errors import QuiltError
from quiltgeom.geometry.cover import polygon_faults
from quiltgeom.layout.quilt_layout import finished_size, fit_size, lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt

PATTERNS = list(load_patterns())


def check_cover(quilt: Quilt) -> None:
    whole = quilt.width * quilt.height
    assert sum(quilt.area_by_role.values()) == pytest.approx(whole, rel=1e-9)
    polygons = [p.polygon for p in quilt]
    frame = shapely.box(0, 0, quilt.width, quilt.height)
    assert polygon_faults(polygons, frame) == []
    union = shapely.union_all(polygons)
    assert frame.difference(union).area < 1e-9
    assert union.difference(frame).area < 1e-9
    # overlap: what the polygons have together beyond their union, arcs as polylines
    assert abs(math.fsum(p.area for p in polygons) - union.area) < 1e-9 * max(1.0, whole)


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
@pytest.mark.parametrize("which", ["usual", "odd", "fitted"])
def test_every_pattern_at_three_sizes(pattern: Pattern, which: str) -> None:
    sizes: dict[str, dict[str, object]] = {
        "usual": {},
        "odd": {"block_size": pattern.block_size * math.sqrt(2) / 1.3},
        "fitted": fit_size(pattern, 66, 84),
    }
    quilt = lay_out(pattern, **sizes[which])  # type: ignore[arg-type]
    check_cover(quilt)
    assert (quilt.width, quilt.height) == pytest.approx(
        finished_size(pattern, quilt.rows, quilt.columns, quilt.block_size)
        if which != "fitted"
        else (quilt.width, quilt.height)
    )


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(PATTERNS), st.integers(1, 6), st.integers(1, 6), st.integers(16, 160))
def test_any_counts_either_cover_or_are_refused(
    pattern: Pattern, rows: int, columns: int, eighths: int
) -> None:
    try:
        quilt = lay_out(pattern, rows=rows, columns=columns, block_size=eighths / 8)
    except QuiltError:
        with pytest.raises(QuiltError, match="must fill"):
            lay_out(pattern, rows=rows, columns=columns, block_size=eighths / 8)
        return
    check_cover(quilt)


def test_the_check_can_fail() -> None:
    quilt = lay_out(PATTERNS[0], rows=2, columns=2)
    polygons = [p.polygon for p in quilt]
    frame = shapely.box(0, 0, quilt.width, quilt.height)
    assert [f.kind for f in polygon_faults(polygons[1:], frame)] == ["gap"]
    moved = [shapely.affinity.translate(polygons[0], 0.01, 0), *polygons[1:]]
    assert {f.kind for f in polygon_faults(moved, frame)} == {"gap", "overlap"}
    twice = [*polygons, polygons[0]]
    assert [f.kind for f in polygon_faults(twice, frame)] == ["overlap"]


def test_on_point_counts_and_size() -> None:
    """(r-1)(c-1) inner blocks, 2(r+c-2) side triangles, 4 corners; size c F sqrt2 by r F sqrt2
    (plane geometry of squares standing on a corner)."""
    pattern = load_patterns().get("gull-cove")
    quilt = lay_out(pattern, rows=5, columns=3, block_size=9, borders=[1])
    places = [p.place for p in quilt]
    assert sum(p == "side triangle" for p in places) == 2 * (5 + 3 - 2)
    assert sum(p == "corner triangle" for p in places) == 4
    assert len({p for p in places if p.startswith("inner block")}) == (5 - 1) * (3 - 1)
    assert quilt.width == pytest.approx(3 * 9 * math.sqrt(2) + 2, rel=1e-12)
    assert quilt.height == pytest.approx(5 * 9 * math.sqrt(2) + 2, rel=1e-12)


def test_butted_and_mitred_borders() -> None:
    """Butted: sides as long as the centre, then top and bottom over them (common practice)."""
    quilt = lay_out(load_patterns().get("net-menders-chain"))
    pieces = {p.place: p.outline.bounds for p in quilt if p.place.startswith("border 1")}
    x0, y0, x1, y1 = pieces["border 1 left"]
    assert y1 - y0 == pytest.approx(7 * 9)
    x0, y0, x1, y1 = pieces["border 1 top"]
    assert x1 - x0 == pytest.approx(5 * 9 + 2)
    mitred = lay_out(load_patterns().get("barn-lantern"))
    top = next(p for p in mitred if p.place == "border 2 top")
    assert top.area == pytest.approx((mitred.width + mitred.width - 6) / 2 * 3)  # trapezoid, 3 in


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(PATTERNS), st.integers(30, 110), st.integers(30, 120))
def test_resizing_comes_near_and_says_so(pattern: Pattern, width: int, height: int) -> None:
    chosen = fit_size(pattern, width, height)
    quilt = lay_out(pattern, **chosen)  # type: ignore[arg-type]
    exact = abs(quilt.width - width) < 1e-6 and abs(quilt.height - height) < 1e-6
    assert exact or quilt.notes
    assert pattern.block_size * 0.6 <= quilt.block_size <= pattern.block_size * 1.55


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_wanted_sizes_go_together(pattern: Pattern) -> None:
    """Cut sizes are rounded up to eighths one by one: straight sides that are on ruler marks in the
    usual size stay on them in any wanted size, and plain borders are whole eighths wide."""
    usual = lay_out(pattern)
    for width, height in ((44, 60), (36, 36), (70, 90)):
        chosen = fit_size(pattern, width, height)
        quilt = lay_out(pattern, **chosen)  # type: ignore[arg-type]
        for border in chosen.get("borders", []):  # type: ignore[attr-defined]
            assert border * 8 == pytest.approx(round(border * 8), abs=1e-6)
        times = quilt.block_size / usual.block_size
        for side in sorted(on_marks(usual)):
            assert side * times * 8 == pytest.approx(round(side * times * 8), abs=1e-4)


def on_marks(quilt: Quilt) -> set[float]:
    """Widths and heights of the rectangular patches of blocks that a ruler shows."""
    out = set()
    for piece in quilt:
        x0, y0, x1, y1 = piece.patch.outline.bounds
        if (
            piece.place.startswith("border")
            or piece.patch.outline.area < (x1 - x0) * (y1 - y0) - 1e-9
        ):
            continue
        for v in (x1 - x0, y1 - y0):
            side = v * piece.placement.scale
            if abs(side * 8 - round(side * 8)) < 1e-6:
                out.add(round(side, 6))
    return out
