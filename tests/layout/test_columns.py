"""Columns of stacked tiles, with strips between them or not."""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.cover import polygon_faults
from quiltgeom.layout.quilt_layout import (
    finished_size,
    fit_size,
    is_on_ruler,
    lay_out,
    straight_sides,
)
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.pattern_file import pattern_from_data
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.pattern import Pattern

SLANTED = {"buoy-field", "fish-boxes", "gull-cove", "harbour-diamonds"}
"""Sixty degrees, or on point: sides across the threads are cut by template or by diagonal."""


def columns(*spacers: float | None, **more: Any) -> tuple[Pattern | None, list[str]]:
    data: dict[str, Any] = {
        "name": "Quay",
        "summary": "Panels.",
        "setting": "columns",
        "block": "8 in",
        "rows": 4,
        "columns": len(spacers),
        "roles": {"focus": {}, "background": {}},
        "tiles": {"P": {"plain": "focus"}},
        "column": [
            {"tile": "P", "width": 1, "height": 0.25}
            if s is None
            else {
                "tile": "P",
                "width": 1,
                "height": 2 - s,
                "spacer": s,
                "spacer_role": "background",
            }
            for s in spacers
        ],
    }
    for column in data["column"]:
        column |= more
    pattern, findings = pattern_from_data(data, load_blocks(), key="quay", where="quay.toml")
    return pattern, [str(f) for f in findings]


def test_spacers_lie_between_pieces_and_nowhere_else() -> None:
    pattern, findings = columns(0.25, None)
    assert pattern is not None, findings
    quilt = lay_out(pattern)
    assert (quilt.width, quilt.height) == (16, 4 * 8 - 2)
    assert finished_size(pattern, 4, 2, 8.0) == (16, 30)
    spacers = [p.outline.bounds for p in quilt if p.place == "spacer"]
    assert spacers == [(0, 14, 8, 16)]  # two panels of 14 in, 2 in between
    panels = [p.outline.bounds for p in quilt if p.place.startswith("column 1")]
    assert panels == [(0, 0, 8, 14), (0, 16, 8, 30)]
    assert sum(p.place.startswith("column 2") for p in quilt) == 15
    frame = shapely.box(0, 0, quilt.width, quilt.height)
    assert polygon_faults([p.polygon for p in quilt], frame) == []


def test_rows_that_panels_and_spacers_do_not_fill_are_refused() -> None:
    pattern, _ = columns(0.25, None)
    assert pattern is not None
    with pytest.raises(QuiltValueError, match=r"column 1: .* must fill 3 rows exactly: found 1.5"):
        lay_out(pattern, rows=3)


def test_faults_of_spacers_are_found_where_they_stand() -> None:
    assert columns(0.25, 0.5)[0] is None
    [found] = columns(0.25, 0.5)[1]
    assert "all spacers of a pattern are of one height" in found
    assert "0.25, 0.5" in found
    [found] = columns(0.25, spacer_role="nope")[1]
    assert "column 1" in found
    assert "'nope'" in found


@pytest.mark.parametrize("size", [(44, 60), (60, 60), (66, 84), (90, 40)])
def test_columns_end_as_they_began(size: tuple[float, float]) -> None:
    pattern = load_patterns().get("tide-tables")
    chosen: dict[str, Any] = fit_size(pattern, *size)
    assert chosen["columns"] % 2 == 1  # geese at both edges


@pytest.mark.parametrize(
    "pattern", [p for p in load_patterns() if p.key not in SLANTED], ids=lambda p: p.key
)
def test_usual_sizes_are_on_ruler_marks(pattern: Pattern) -> None:
    assert [s for s in straight_sides(lay_out(pattern)) if not is_on_ruler(s)] == []


def test_blocks_on_point_are_on_ruler_marks_themselves() -> None:
    for key in ("gull-cove", "harbour-diamonds"):
        inside = [p for p in lay_out(load_patterns().get(key)) if "block" in p.place]
        assert all(is_on_ruler(s) for s in straight_sides(inside)), key
