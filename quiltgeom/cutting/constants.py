"""What must be added to a finished size so that it can be cut and sewn.

``s`` is the seam allowance. For a convex patch with corner angle t the cutting corner lies
s / sin(t / 2) from the finished corner; every exact constant here follows from that by algebra. The
trade's constants are the exact ones rounded up to an eighth of an inch (for s = 1/4).
"""

from __future__ import annotations

import math
from typing import Literal

from quiltgeom.errors import QuiltValueError
from quiltgeom.tolerance import RULER
from quiltgeom.units import ceil_to

__all__ = [
    "corner_triangle_square",
    "diamond_strip",
    "equilateral_strip",
    "foundation_rectangle",
    "foundation_square",
    "geese_no_waste",
    "half_square_square",
    "quarter_square_square",
    "side_triangle_square",
    "square_in_square",
]

SEAM = 0.25
_ROOT2 = math.sqrt(2)
Rule = Literal["exact", "trade"]


def _positive(value: float, what: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise QuiltValueError(f"{what}: found {value}; accepted: a positive size in inches")
    return value


def half_square_square(
    finished: float, *, at_a_time: Literal[1, 2, 4, 8] = 2, rule: Rule = "trade"
) -> float:
    """Side of the squares for half-square triangles whose finished leg is ``finished``.

    Args:
        at_a_time: 1 (a square cut once gives two triangles) and 2 (a pair of squares gives two
            units) need the same square; 4: sewn round the perimeter, cut on both diagonals (bias
            edges); 8: sewn on both sides of both diagonals.
        rule: ``exact``, or ``trade`` (rounded up to an eighth). For 4 at a time the widespread
            rule "divide the unfinished size by 0.64" cuts too small at 2 1/2 inches and below, so
            the exact size is rounded up instead.

    >>> half_square_square(3), round(half_square_square(3, rule="exact"), 6)
    (3.875, 3.853553)
    >>> half_square_square(4, at_a_time=8), half_square_square(2, at_a_time=4)
    (9.75, 4.125)
    """
    f = _positive(finished, "finished size")
    exact = {
        1: f + (2 + _ROOT2) * SEAM,
        2: f + (2 + _ROOT2) * SEAM,
        4: (f + 2 * SEAM) * _ROOT2 + 2 * SEAM,
        8: 2 * f + 2 * (2 + _ROOT2) * SEAM,
    }[at_a_time]
    return exact if rule == "exact" else ceil_to(exact, RULER)


def quarter_square_square(finished: float, *, rule: Rule = "trade") -> float:
    """Side of a square that, cut twice, gives four triangles with long side ``finished``.

    The exact addition is (1 + sqrt 2) / 2 = 1.2071; the trade adds 1 1/4.

    >>> quarter_square_square(4), round(quarter_square_square(4, rule="exact") - 4, 4)
    (5.25, 1.2071)
    """
    f = _positive(finished, "finished size")
    return f + (2 + 2 * _ROOT2) * SEAM if rule == "exact" else ceil_to(f + 1.25, RULER)


def side_triangle_square(block: float, *, rule: Rule = "trade") -> float:
    """Square to cut twice for side setting triangles of blocks on point.

    The trade rule (block x 1.414 + 1 1/4, up to an eighth) gives an eighth more than the exact
    one at 4, 7 and 10 inches.

    >>> side_triangle_square(10), ceil_to(side_triangle_square(10, rule="exact"), 0.125)
    (15.5, 15.375)
    """
    f = _positive(block, "block size")
    return quarter_square_square(f * _ROOT2, rule="exact") if rule == "exact" else ceil_to(
        f * 1.414 + 1.25, RULER
    )  # fmt: skip


def corner_triangle_square(block: float, *, rule: Rule = "trade") -> float:
    """Square to cut once for the corner setting triangles of blocks on point.

    >>> corner_triangle_square(12)
    9.375
    """
    f = _positive(block, "block size")
    exact = f / _ROOT2 + (2 + _ROOT2) * SEAM
    return exact if rule == "exact" else ceil_to(f / 1.414 + 0.875, RULER)


def geese_no_waste(width: float, *, rule: Rule = "trade") -> tuple[float, float]:
    """One large and four small squares for four flying geese of finished ``width`` x width / 2.

    >>> geese_no_waste(4)
    (5.25, 2.875)
    """
    return (
        quarter_square_square(width, rule=rule),
        half_square_square(width / 2, at_a_time=1, rule=rule),
    )


def square_in_square(outer: float, *, rule: Rule = "trade") -> tuple[float, float]:
    """Cut side of the inner square, and of the two squares (cut once) for its corners.

    >>> square_in_square(4)
    (3.375, 2.875)
    """
    f = _positive(outer, "finished size")
    inner = f / _ROOT2 + 2 * SEAM
    corner = half_square_square(f / 2, at_a_time=1, rule=rule)
    return (inner if rule == "exact" else ceil_to(inner, RULER)), corner


def foundation_rectangle(width: float, height: float) -> tuple[float, float]:
    """What to cut for a patch that is sewn on a foundation and trimmed there: 1 in more each way.

    As a magazine advises for rectangles (Cutting patches for paper foundation piecing, 2022); a
    half inch beyond every line is a common reading of the same. Up to an eighth.

    >>> foundation_rectangle(2, 3.1)
    (3.0, 4.125)
    """
    _positive(min(width, height), "finished size")
    return ceil_to(width + 1.0, RULER), ceil_to(height + 1.0, RULER)


def foundation_square(leg: float) -> float:
    """Square to cut once for two corner triangles that are sewn on a foundation: leg + 2 (same
    source), up to an eighth.

    >>> foundation_square(3)
    5.0
    """
    return ceil_to(_positive(leg, "finished leg") + 2.0, RULER)


def equilateral_strip(height: float) -> float:
    """Strip for equilateral triangles of finished ``height`` (points untrimmed): + 3 s.

    >>> equilateral_strip(3)
    3.75
    """
    return _positive(height, "finished height") + 3 * SEAM


def diamond_strip(side: float, angle: float) -> tuple[float, float]:
    """Strip width, and cut length along the strip, of a diamond with finished ``side``.

    Args:
        angle: its sharp angle in degrees (45 or 60 as a rule).

    >>> [round(v, 6) for v in diamond_strip(3, 45)]
    [2.62132, 3.707107]
    """
    sine = math.sin(math.radians(angle))
    return _positive(side, "finished side") * sine + 2 * SEAM, side + 2 * SEAM / sine
