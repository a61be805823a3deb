"""Cloth on hand: pieces by size or by their usual name."""

from __future__ import annotations

import re
from typing import NamedTuple, cast

from quiltgeom.checks import Checks, number
from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.library.design_file import parse_size


class _Size(NamedTuple):
    length: float
    width: float


class ClothSize(_Size):
    """A piece of cloth, inches: length along the selvage first, as it is sold, then its usable
    width."""

    __slots__ = ()

    def __new__(cls, length: float, width: float) -> ClothSize:
        """Refuse what is no size of cloth."""
        check, side = Checks("cloth at hand"), number(0, 1e6, " in", above=True)
        check.that(length, "length", side)
        check.that(width, "width", side)
        check.done()
        return super().__new__(cls, float(length), float(width))


Cloths = tuple[ClothSize, ...]
"""Pieces of one cloth."""


def as_cloths(given: tuple[float, float] | Cloths) -> Cloths:
    """One piece of cloth, several or none, as several.

    >>> as_cloths((36, 40)) == as_cloths([(36, 40)]) == (ClothSize(36.0, 40.0),)
    True
    """
    several = cast("Cloths", given if not given or isinstance(given[0], tuple) else (given,))
    return tuple(ClothSize(*size) for size in several)


NAMED_CLOTH: dict[str, ClothSize] = {
    "fat-quarter": ClothSize(18.0, 21.0),
    "fat-eighth": ClothSize(9.0, 21.0),
    "square-5": ClothSize(5.0, 5.0),
    "square-10": ClothSize(10.0, 10.0),
    "strip-2.5": ClothSize(2.5, 40.0),
    "strip-1.5": ClothSize(1.5, 40.0),
}
"""Usual cuts: quarters and eighths of a yard cut fat, and precut squares and strips. Pinked edges
may be measured from tip to tip: measure, and write the size if it is less."""

_MOST = 1000
"""Pieces of one cloth: more than a shop has on its shelf."""


def parse_cloths(text: str) -> Cloths:
    """``[N*]LENGTHxWIDTH`` or ``[N*]NAME``, several joined by ``+``.

    >>> parse_cloths("36inx40in")
    (ClothSize(length=36.0, width=40.0),)
    >>> [c.length for c in parse_cloths("2*fat-quarter+5x9")]
    [18.0, 18.0, 5.0]
    """
    out: list[ClothSize] = []
    for part in text.split("+"):
        count, mark, size = part.strip().rpartition("*")
        if mark and not re.fullmatch(r"\s*0*[1-9][0-9]{0,2}\s*", count):
            raise QuiltValueError(
                f"cloth at hand: found {shown(part.strip())}; accepted: a number up to 999 before "
                "the *, such as 4*fat-quarter"
            )
        name = size.strip().lower()
        if name not in NAMED_CLOTH and "x" not in name:
            raise QuiltValueError(
                f"cloth at hand: found {shown(size.strip())}; accepted: LENGTHxWIDTH such as "
                f"36inx40in, or {', '.join(NAMED_CLOTH)}"
            )
        cloth = NAMED_CLOTH.get(name) or ClothSize(*parse_size(name, what="cloth at hand"))
        out += [cloth] * (int(count) if mark else 1)
        if len(out) > _MOST:
            raise QuiltValueError(
                f"cloth at hand: found more than {_MOST} pieces; accepted: up to {_MOST}"
            )
    return tuple(out)
