"""Lengths: parsed from text, shown to people. Inside the library a length is inches (float)."""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal
from unicodedata import normalize

from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.tolerance import MEETS, RULER, RULER_SLACK

INCH_IN_CM = 2.54  # exact by definition of the international inch
_UNITS = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″", ""), Fraction(1)),
    **dict.fromkeys(("yd", "yard", "yards"), Fraction(36)),
    **dict.fromkeys(("ft", "'"), Fraction(12)),
    "mm": Fraction(10, 254),
    "cm": Fraction(100, 254),
    "m": Fraction(10000, 254),
    "pt": Fraction(1, 72),
}
_VULGAR = {c: normalize("NFKC", c).replace("\u2044", "/") for c in "½¼¾⅛⅜⅝⅞⅓⅔"}
_LENGTH = re.compile(
    r"(?:(?:(?P<whole>[0-9]{1,9})(?:\s+|-))?(?P<num>[0-9]{1,9})\s*/\s*(?P<den>[0-9]{1,9})"
    r"|(?P<decimal>[0-9]{1,9}(?:\.[0-9]{0,30})?|\.[0-9]{1,30}))"
    r"\s*(?P<unit>[a-z]*|\"|″|')",
    re.IGNORECASE,
)
_LONGEST = 1e6
"""Inches (25 km): beyond any cloth; keeps sums and products of lengths far from overflow."""
_SHORTEST = 0.001
"""Inches: a tenth of a thread; nothing that is divided by a length overflows either."""


def parse_length(text: str | float, *, what: str = "length", allow_zero: bool = False) -> float:
    """Turn ``2 1/2"``, ``2.5 in``, ``6.35 cm`` or a bare number (inches) into inches.

    Args:
        text: the typed length; a number is taken as inches.
        what: the name used in the error message.
        allow_zero: whether 0 is accepted.

    Returns:
        Length in inches (float).

    Raises:
        QuiltValueError: not a length, below 0.001 or beyond a million inches. A whole number goes
            with a proper fraction only: ``1.5/2``, ``-1/2`` and ``2--1/2`` are no lengths.

    >>> parse_length('2 1/2"'), parse_length("6.35 cm"), parse_length("1/4in"), parse_length(3)
    (2.5, 2.5, 0.25, 3.0)
    """
    if isinstance(text, str):
        value = _parse_text(text, what)
    elif isinstance(text, int | float) and not isinstance(text, bool) and abs(text) <= _LONGEST:
        value = float(text)
    else:  # not-a-number is not within bounds either
        raise _bad_length(what, text)
    if not _SHORTEST <= value <= _LONGEST and not (value == 0 and allow_zero):
        raise _bad_length(what, text)
    return value


def _parse_text(text: str, what: str) -> float:
    plain = "".join(f" {_VULGAR[c]}" if c in _VULGAR else c for c in text[:100]).strip()
    match = _LENGTH.fullmatch(plain)
    unit = match["unit"].lower() if match else "?"
    if not match or unit not in _UNITS or len(text) > 100:
        raise _bad_length(what, text)
    if match["decimal"]:
        value = Fraction(match["decimal"])
    else:
        whole, num, den = (int(match[k] or 0) for k in ("whole", "num", "den"))
        if den == 0 or (match["whole"] and num >= den):
            raise _bad_length(what, text)
        value = whole + Fraction(num, den)
    return float(value * _UNITS[unit])


def _bad_length(what: str, text: object) -> QuiltValueError:
    return QuiltValueError(
        f"{what}: not a usable length: found {shown(text)}; accepted: a positive length such as "
        "'2 1/2\"', '2.5 in', '6.35 cm', '1 1/2 yd' or a number of inches"
    )


def ceil_to(value: float, step: float) -> float:
    """Round up to a multiple of ``step``; rounding noise just above a mark is that mark.

    >>> ceil_to(3.3284, 0.125), ceil_to(3.0000000001, 0.125)
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
    if abs(float(exact) - value) > RULER_SLACK:
        return f"{value:.3f}{unit}"
    sign, exact = ("-", -exact) if exact < 0 else ("", exact)
    whole, rest = divmod(exact.numerator, exact.denominator)
    if rest == 0:
        return f"{sign}{whole}{unit}"
    fraction = f"{rest}/{exact.denominator}"
    return f"{sign}{whole} {fraction}{unit}" if whole else f"{sign}{fraction}{unit}"


def length_text(inches: float) -> str:
    """A length as it was meant: ruler fractions to 1/16; what is none, but whole half millimetres,
    in centimetres or millimetres; else three decimals of an inch.

    >>> length_text(0.375), length_text(1 / 2.54), length_text(7 / 25.4), length_text(0.3)
    ('3/8"', '1 cm', '7 mm', '0.300"')
    """
    mm = inches * 10 * INCH_IN_CM
    on_ruler = abs(inches * 16 - round(inches * 16)) < RULER_SLACK
    if not on_ruler and abs(mm * 2 - round(mm * 2)) < RULER_SLACK:
        mm = round(mm * 2) / 2
        return f"{mm / 10:g} cm" if mm >= 10 and mm % 5 == 0 else f"{mm:g} mm"
    return format_inches(inches, denominator=16)


Units = Literal["in", "cm"]


@dataclass(frozen=True, slots=True)
class Ruler:
    """In what a quilt is cut and written; lengths are inches all the same.

    Attributes:
        units: ``in`` or ``cm``.
        step: cut sizes are rounded up to whole ones of these: 1/8 in, or a millimetre.
        fine: sizes to trim to are rounded up to these: 1/32 in, or half a millimetre.
        mark: finished sizes that are chosen for somebody are whole ones of these: 1/8 in, or half
            a centimetre.
        reach: what a long ruler measures across folded cloth: 24 in, or 60 cm (common practice, no
            source). A strip that is wider is marked on the open cloth.
        seam: the usual seam allowance, inches: 1/4 in, or 7.5 mm (common practice, no source).
        width: usable width of the usual cloth, selvages off: 40 in, or 100 cm.

    >>> INCHES.up(2.8751), CENTIMETRES.up(2.5), CENTIMETRES.down(2.5)
    (24, 64, 63)
    >>> INCHES.text(2.5), CENTIMETRES.text(2.5), CENTIMETRES.about(8.001)
    ('2 1/2"', '6.35 cm', 'about 20.3 cm')
    """

    units: Units
    step: float
    fine: float
    mark: float
    reach: float
    seam: float
    width: float

    @property
    def metric(self) -> bool:
        """Whether it is in centimetres."""
        return self.units == "cm"

    @property
    def _slack(self) -> float:
        """Sizes are kept to a millionth of an inch, which is more of a millimetre."""
        return 1e-4 if self.metric else RULER_SLACK

    def up(self, inches: float) -> int:
        """A length in whole steps, rounded up."""
        return math.ceil(inches / self.step - self._slack)

    def down(self, inches: float) -> int:
        """Whole steps in a length of cloth."""
        return int(inches / self.step + self._slack)

    def ceil(self, inches: float) -> float:
        """Up to the next step, inches."""
        return self.up(inches) * self.step

    def floor(self, inches: float) -> float:
        """Down to whole steps, inches."""
        return self.down(inches) * self.step

    def snap(self, inches: float) -> float:
        """Free of the rounding noise of sums of steps, so that equal lengths are equal."""
        near = round(inches / self.step) * self.step
        return near if abs(near - inches) < RULER_SLACK else inches

    def text(self, inches: float, *, denominator: int = 8, unit: bool = True) -> str:
        """A length as it is read off: :func:`format_inches`, or centimetres with at most two
        decimals."""
        if self.metric:
            return f"{round(inches * INCH_IN_CM, 2):g}{' cm' * unit}"
        return format_inches(inches, denominator=denominator, unit='"' * unit)

    def meant(self, inches: float) -> str:
        """A length that somebody chose, such as a seam allowance: :func:`length_text`."""
        return self.text(inches) if self.metric else length_text(inches)

    def decimal(self, inches: float, spec: str = "g") -> str:
        """Where inches are written as decimals: a length between two marks."""
        return self.text(inches) if self.metric else f"{inches:{spec}} in"

    def near(self, inches: float) -> str:
        """To the nearest step."""
        return self.text(round(inches / self.step) * self.step)

    def about(self, inches: float) -> str:
        """A length that nobody measures, such as where cloth is cut between two motifs: to the
        nearest step (halves up, as people do), and said so."""
        near = math.floor(inches / self.step + 0.5) * self.step
        words = self.text(near)
        return words if abs(near - inches) < RULER_SLACK else f"about {words}"


INCHES = Ruler("in", RULER, MEETS, RULER, 24.0, 0.25, 40.0)
CENTIMETRES = Ruler("cm", *(v / INCH_IN_CM for v in (0.1, 0.05, 0.5, 60.0, 0.75, 100.0)))
RULERS: dict[Units, Ruler] = {"in": INCHES, "cm": CENTIMETRES}


def about_inches(value: float) -> str:
    """:meth:`Ruler.about` in inches.

    >>> about_inches(7.994), about_inches(7.875)
    ('about 8"', '7 7/8"')
    """
    return INCHES.about(value)
