"""Lengths as people type and read them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltgeom.errors import QuiltValueError
from quiltgeom.units import ceil_to, format_inches, parse_length

# 1 in = 2.54 cm exactly (international inch); 1 yd = 36 in = 0.9144 m exactly;
# 1 pt = 1/72 in (ISO 32000-1, 8.3.2.3)
EXACT = {
    '2 1/2"': 2.5,
    "2.5 in": 2.5,
    "6.35 cm": 2.5,
    "63.5mm": 2.5,
    "2-1/2 in": 2.5,
    "2½": 2.5,
    "1/4in": 0.25,
    "18 pt": 0.25,
    "1 yd": 36.0,
    "1 1/2 yards": 54.0,
    "0.9144 m": 36.0,
    "2.54cm": 1.0,
    "1ft": 12.0,
    "⅞″": 0.875,
    " 44 ": 44.0,
    ".5in": 0.5,
}


@pytest.mark.parametrize(("text", "inches"), EXACT.items())
def test_typed_lengths_are_exact(text: str, inches: float) -> None:
    assert parse_length(text) == inches


@pytest.mark.parametrize(
    "text", ["", "two", "-3", "0", "1/0", "3 furlongs", "1e400", "nan", "inf", "3 in in", "1,5"]
)
def test_other_lengths_get_one_clear_error(text: str) -> None:
    with pytest.raises(QuiltValueError, match=r"border: not a usable length.*accepted"):
        parse_length(text, what="border")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1.0, 0, True])
def test_numbers_that_are_no_lengths(value: float) -> None:
    with pytest.raises(QuiltValueError):
        parse_length(value)


@given(st.integers(1, 4000))
def test_eighths_survive_being_shown_and_typed(eighths: int) -> None:
    assert parse_length(format_inches(eighths / 8)) == eighths / 8


@given(st.floats(0.01, 500, allow_nan=False))
def test_shown_lengths_are_never_silently_rounded(value: float) -> None:
    assert parse_length(format_inches(value)) == pytest.approx(value, abs=5.1e-4)


@given(st.floats(0, 500), st.sampled_from([0.125, 0.25, 4.5]))
def test_rounding_up_never_rounds_down(value: float, step: float) -> None:
    up = ceil_to(value, step)
    assert up >= value - step * 1e-6
    assert up - value < step
    assert up / step == pytest.approx(round(up / step))
