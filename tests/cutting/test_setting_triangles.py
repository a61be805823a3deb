"""Setting triangles keep the edges that lie on the quilt's edge on the straight grain.

Common practice, without a source: an edge of the quilt on the bias stretches. Quarter-square
triangles at the sides, half-square triangles at the corners (see trade_facts in the issue).
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.layout.quilt_layout import BLOCK_STEP, lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt

ON_POINT = [p for p in load_patterns() if p.setting == "on-point"]
DIRECTIONS: tuple[Direction, ...] = ("one-way", "two-way", "four-way", "non-directional")


def on_the_bias(quilt: Quilt, direction: Direction, options: CutOptions | None = None) -> list[str]:
    """Outer edges of setting triangles that run off the threads, as they are cut."""
    boxes = [p.outline.bounds for p in quilt if p.block == "setting-triangle"]
    x0, y0, x1, y1 = (f(b[k] for b in boxes) for k, f in enumerate((min, min, max, max)))
    fabrics = {r: Fabric(r, colour="#88aacc", direction=direction) for r in quilt.roles}
    lies = {
        m.piece: m.lie_deg
        for units in wanted_units(quilt, fabrics, options=options).units.values()
        for u in units
        for m in u.members
    }
    bad, seen = [], 0
    for piece in quilt:
        if piece.block != "setting-triangle":
            continue
        for p, q, _ in piece.outline.edges():
            outer = any(
                abs(p[i] - v) < 1e-6 and abs(q[i] - v) < 1e-6
                for i, v in ((0, x0), (0, x1), (1, y0), (1, y1))
            )
            if outer:
                seen += 1
                angle = math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])) - lies[piece.index]
                if abs(math.remainder(angle, 90.0)) > 1e-6:
                    bad.append(f"{piece.place}, piece {piece.index}: {angle:.1f} degrees")
    corners = 8  # two edges each
    assert seen == corners + 2 * (quilt.rows - 1) + 2 * (quilt.columns - 1)
    return bad


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize("share", [0.75, 1.0, 1.25])
@pytest.mark.parametrize("pattern", ON_POINT, ids=lambda p: p.key)
def test_outer_edges_lie_along_the_threads(
    pattern: Pattern, share: float, direction: Direction
) -> None:
    size = max(round(pattern.block_size * share / BLOCK_STEP), 1) * BLOCK_STEP
    quilt = lay_out(pattern, block_size=size)
    assert on_the_bias(quilt, direction) == []
    for method in ("templates", "foundation"):
        options = CutOptions(methods=dict.fromkeys(quilt.roles, method))
        assert on_the_bias(quilt, direction, options) == []


def test_a_triangle_on_the_bias_is_found() -> None:
    quilt = lay_out(load_patterns().get("harbour-diamonds"))
    pieces = tuple(replace(p, lie_deg=45.0) if p.place == "corner triangle" else p for p in quilt)
    assert len(on_the_bias(replace(quilt, pieces=pieces), "one-way")) == 8
