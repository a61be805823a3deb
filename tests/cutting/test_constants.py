"""Cutting constants and tables against their published or derived values."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltgeom.cutting.buying import yardage as y
from quiltgeom.cutting.methods import constants as c
from quiltgeom.errors import QuiltError
from quiltgeom.units import ceil_to


def test_exact_additions() -> None:
    """Derived: mitre tip distance s / sin(t / 2) at corners of 45, 60 and 90 degrees."""
    assert c.half_square_square(3, rule="exact") - 3 == pytest.approx((2 + math.sqrt(2)) / 4)
    assert c.quarter_square_square(3, rule="exact") - 3 == pytest.approx((1 + math.sqrt(2)) / 2)
    eight = c.half_square_square(3, at_a_time=8, rule="exact")
    assert eight - 6 == pytest.approx(1.707107, abs=1e-6)


@given(st.integers(4, 160))
def test_trade_constants_are_the_exact_ones_rounded_up(eighths: int) -> None:
    """Published: square + 7/8 cut once, + 1 1/4 cut twice ("Formulas for Quilters", 2002)."""
    f = eighths / 8
    assert c.half_square_square(f) == f + 0.875
    assert c.quarter_square_square(f) == f + 1.25
    assert c.half_square_square(f, at_a_time=8) == 2 * f + 1.75


# published setting-triangle table (web hand-out "How to Make Setting Triangles", 2002)
SETTING = {
    4: (7, 3.75),
    5: (8.375, 4.5),
    6: (9.75, 5.125),
    7: (11.25, 5.875),
    8: (12.625, 6.625),
    9: (14, 7.25),
    10: (15.5, 8),
    12: (18.25, 9.375),
    14: (21.125, 10.875),
    15: (22.5, 11.5),
    16: (23.875, 12.25),
}


@pytest.mark.parametrize(("block", "squares"), SETTING.items())
def test_setting_triangles_as_published(block: int, squares: tuple[float, float]) -> None:
    assert (c.side_triangle_square(block), c.corner_triangle_square(block)) == squares
    exact = ceil_to(c.side_triangle_square(block, rule="exact"), 0.125)
    assert squares[0] - exact == (0.125 if block in (4, 7, 10) else 0)
    assert ceil_to(c.corner_triangle_square(block, rule="exact"), 0.125) == squares[1]


# published no-waste flying geese table (a quilting page's chart): finished width -> squares
GEESE = {
    8: (9.25, 4.875),
    7: (8.25, 4.375),
    6: (7.25, 3.875),
    5: (6.25, 3.375),
    4: (5.25, 2.875),
    3: (4.25, 2.375),
    2: (3.25, 1.875),
}


@pytest.mark.parametrize(("width", "squares"), GEESE.items())
def test_no_waste_geese_as_published(width: int, squares: tuple[float, float]) -> None:
    assert c.geese_no_waste(width) == squares
    assert all(e <= t for e, t in zip(c.geese_no_waste(width, rule="exact"), squares, strict=True))


# derived from U = (S - 1/2) / sqrt 2; 8 at a time: published for 4 inches (9 3/4)
FOUR = {1: 2.625, 1.5: 3.375, 2: 4.125, 2.5: 4.75, 3: 5.5, 4: 6.875, 6: 9.75}


@pytest.mark.parametrize(("finished", "square"), FOUR.items())
def test_four_at_a_time_is_never_too_small(finished: float, square: float) -> None:
    assert c.half_square_square(finished, at_a_time=4) == square
    assert (square - 0.5) / math.sqrt(2) >= finished + 0.5
    popular = (finished + 0.5) / 0.64
    exact = c.half_square_square(finished, at_a_time=4, rule="exact")
    assert (popular < exact) == (finished <= 2.5)


# floor division, derived; the starred columns also printed in guild lists for fat quarters
SQUARES = {
    1.5: (624, 672, 168, 168),
    2: (360, 378, 90, 99),
    2.5: (224, 224, 56, 56),
    3: (156, 168, 42, 42),
    3.5: (110, 120, 30, 30),
    4: (90, 90, 20, 20),
    4.5: (64, 72, 16, 16),
    5: (56, 56, 12, 12),
    5.5: (42, 42, 9, 12),
    6: (36, 42, 9, 9),
    6.5: (30, 30, 6, 6),
    8.5: (16, 16, 4, 4),
    10: (12, 12, 2, 2),
    12.5: (6, 6, 1, 1),
}


@pytest.mark.parametrize(("side", "counts"), SQUARES.items())
def test_squares_from_a_yard_and_a_fat_quarter(side: float, counts: tuple[int, ...]) -> None:
    cloth = ((36, 40), (36, 42), (18, 21), (18, 22))
    assert tuple(y.squares_from(a, b, side) for a, b in cloth) == counts


def test_sixty_three_squares_need_four_yards_and_a_bit() -> None:
    """Worked example (quilting forum): 63 squares of 9 1/2 at 42 in: 16 strips, 152 in."""
    per_strip = math.floor(42 / 9.5)
    assert per_strip == 4
    assert math.ceil(63 / per_strip) * 9.5 == 152


# derived: + 4 in each side, 1/2 in for a seam, least of both directions, eighths of a yard
BACKING = [
    (44, 60, 3, 3),
    (50, 60, 3.25, 3.25),
    (60, 72, 4.5, 3.875),
    (70, 90, 5.5, 5.5),
    (86, 96, 7.875, 7.875),
    (90, 108, 8.25, 8.25),
    (108, 108, 9.75, 9.75),
]


@pytest.mark.parametrize(("w", "h", "at40", "at42"), BACKING)
def test_backing_table(w: int, h: int, at40: float, at42: float) -> None:
    assert y.backing(w, h, cloth=40).length / 36 == at40
    assert y.backing(w, h, cloth=42).length / 36 == at42


@pytest.mark.parametrize(
    ("w", "h", "yards"),
    [
        (44, 60, 1.5),
        (50, 60, 1.625),
        (60, 72, 2),
        (70, 90, 2.25),
        (86, 96, 2.625),
        (90, 108, 3.25),
        (108, 108, 6.5),
    ],
)
def test_backing_on_wide_cloth(w: int, h: int, yards: float) -> None:
    found = y.backing(w, h, cloth=108)
    assert found.length / 36 == yards
    assert (found.seams == "none") == (w < 108)


# perimeter + 10 over the width of the cloth (common practice): strips at 40 and 42, yards at 2 1/2
BINDING = [
    (36, 44, 5, 5, 3 / 8, 3 / 8),
    (44, 60, 6, 6, 1 / 2, 1 / 2),
    (60, 72, 7, 7, 1 / 2, 1 / 2),
    (70, 90, 9, 8, 5 / 8, 5 / 8),
    (90, 108, 11, 10, 7 / 8, 3 / 4),
    (108, 108, 12, 11, 7 / 8, 7 / 8),
]


@pytest.mark.parametrize(("w", "h", "n40", "n42", "y40", "y42"), BINDING)
def test_binding_table(w: int, h: int, n40: int, n42: int, y40: float, y42: float) -> None:
    at40, at42 = y.binding(w, h, cloth=40), y.binding(w, h, cloth=42)
    assert (at40.strips, at42.strips) == (n40, n42)
    assert (at40.length / 36, at42.length / 36) == (y40, y42)
    assert y.binding(w, h, cloth=40, diagonal=True).strips >= n40


def test_bias_squares_as_published() -> None:
    """Soft-furnishing guidance: 250 in of 2 in -> 23; 100 of 3 1/2 -> 19; 55 of 2 1/2 -> 12."""
    assert [y.bias_square(*v) for v in ((250, 2), (100, 3.5), (55, 2.5))] == [23, 19, 12]


def test_fussy_cutting_table() -> None:
    """Derived: rows on the repeat lattice, worst case one repeat more."""
    assert y.fussy_length(4.5, (6, 8), 20, cloth=42) == (20.5, 28.5)
    assert y.fussy_length(6.5, (12, 24), 12, cloth=42) == (78.5, 102.5)
    assert y.fussy_length(3.5, (4, 4), 36, cloth=40) == (15.5, 19.5)


def test_packaged_batting() -> None:
    """Sizes from a retail chart; larger than the top by 3 in each side."""
    assert y.batting(36, 44) == (45, 60)
    assert y.batting(84, 100) == (90, 108)
    assert y.batting(130, 100) is None


@pytest.mark.parametrize("bad", [0, -1, math.nan, math.inf])
def test_sizes_that_are_none(bad: float) -> None:
    with pytest.raises(QuiltError, match="accepted"):
        c.half_square_square(bad)
