"""Lengths: parsed from text, shown to people. Inside the library a length is inches (float)."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from quiltgeom.errors import QuiltValueError
from quiltgeom.tolerance import RULER_SLACK

__all__ = ["INCH_IN_CM", "about_inches", "ceil_to", "format_inches", "parse_length", "to_fraction"]

INCH_IN_CM = 2.54  # exact by definition of the international inch
_UNITS = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″", ""), Fraction(1)),
    **dict.fromkeys(("yd", "yard", "yards"), Fraction(36)),
    **dict.fromkeys(("ft", "'"), Fraction(12)),
    "mm": Fraction(10, 254), "cm": Fraction(100, 254), "m": Fraction(10000, 254),
    "pt": Fraction(1, 72),
}  # fmt: skip
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
           "⅓": "1/3", "⅔": "2/3"}  # fmt: skip
_LENGTH = re.compile(
    r"(?P<whole>\d+(?:\.\d*)?|\.\d+)?(?:[\s-]*(?P<num>\d+)\s*/\s*(?P<den>\d+))?"
    r"\s*(?P<unit>[a-z]*|\"|″|')",
    re.IGNORECASE,
)
_LENGTH_FRACTION = re.compile(
    r"(?P<num>\d+)\s*/\s*(?P<den>\d+)\s*(?P<unit>[a-z]*|\"|″|')", re.IGNORECASE
)


def parse_length(text: str | float, *, what: str = "length", allow_zero: bool = False) -> float:
    """Turn ``2 1/2"``, ``2.5 in``, ``6.35 cm`` or a bare number (inches) into inches.

    Args:
        text: the typed length; a number is taken as inches.
        what: the name used in the error message.
        allow_zero: whether 0 is accepted.

    Returns:
        Length in inches (float).

    Raises:
        QuiltValueError: not a length, not finite, or not positive.

    >>> parse_length('2 1/2"'), parse_length("6.35 cm"), parse_length("1/4in"), parse_length(3)
    (2.5, 2.5, 0.25, 3.0)
    """
    if isinstance(text, bool):
        raise _bad_length(what, text)
    value = float(text) if isinstance(text, int | float) else _parse_text(text, what)
    if not math.isfinite(value) or value < 0 or (value == 0 and not allow_zero):
        raise _bad_length(what, text)
    return value


def _parse_text(text: str, what: str) -> float:
    plain = "".join(f" {_VULGAR[c]}" if c in _VULGAR else c for c in str(text)).strip()
    match = _LENGTH_FRACTION.fullmatch(plain) or _LENGTH.fullmatch(plain)
    if not match:
        raise _bad_length(what, text)
    parts = match.groupdict()
    unit = (parts["unit"] or "").lower()
    whole, num = parts.get("whole"), parts["num"]
    if unit not in _UNITS or (whole is None and num is None) or parts["den"] in ("0", "00"):
        raise _bad_length(what, text)
    value = Fraction(whole) if whole else Fraction(0)
    if num:
        value += Fraction(int(num), int(parts["den"]))
    return float(value * _UNITS[unit])


def _bad_length(what: str, text: object) -> QuiltValueError:
    return QuiltValueError(
        f"{what}: not a usable length: found {text!r}; accepted: a positive length such as "
        "'2 1/2\"', '2.5 in', '6.35 cm', '1 1/2 yd' or a number of inches"
    )


def ceil_to(value: float, step: float) -> float:
    """Round up to a multiple of ``step``; rounding noise just above a mark is that mark.

    >>> ceil_to(3.3284, 0.125), ceil_to(3.0 + 1e-12, 0.125)
    (3.375, 3.0)
    """
    return math.ceil(value / step - RULER_SLACK) * step


def to_fraction(value: float, denominator: int = 8) -> Fraction:
    """Nearest fraction with the given denominator, e.g. 2.875 -> 23/8.

    >>> to_fraction(2.8750001)
    Fraction(23, 8)
    """
    return Fraction(round(value * denominator), denominator)


def format_inches(value: float, *, denominator: int = 8, unit: str = '"') -> str:
    """Show a length as a person reads it off a ruler: ``2 7/8"``.

    A value that is not a multiple of ``1/denominator`` is shown with three decimals instead, so
    that nothing is silently rounded.

    >>> format_inches(2.875), format_inches(12), format_inches(0.25), format_inches(2.4142136)
    ('2 7/8"', '12"', '1/4"', '2.414"')
    """
    exact = to_fraction(value, denominator)
    if abs(float(exact) - value) > 1e-6:
        return f"{value:.3f}{unit}"
    sign, exact = ("-", -exact) if exact < 0 else ("", exact)
    whole, rest = divmod(exact.numerator, exact.denominator)
    if rest == 0:
        return f"{sign}{whole}{unit}"
    fraction = f"{rest}/{exact.denominator}"
    return f"{sign}{whole} {fraction}{unit}" if whole else f"{sign}{fraction}{unit}"


def about_inches(value: float, *, unit: str = '"') -> str:
    """The same for lengths that nobody measures, such as where cloth is cut between two motifs: to
    the nearest 1/8, and said so.

    >>> about_inches(7.994), about_inches(7.875)
    ('about 8"', '7 7/8"')
    """
    near = math.floor(value * 8 + 0.5) / 8  # halves up, as people do
    words = format_inches(near, unit=unit)
    return words if abs(near - value) < 1e-6 else f"about {words}"
