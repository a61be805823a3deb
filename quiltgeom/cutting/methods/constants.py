"""What must be added to a finished size so that it can be cut and sewn.

``s`` is the seam allowance. For a convex patch with corner angle t the cutting corner lies
s / sin(t / 2) from the finished corner; every exact constant here follows from that by algebra. The
trade's constants (7/8, 1 1/4) are the exact ones for s = 1/4, rounded up to an eighth of an inch;
for any other s the trade has none, and the exact size itself is rounded up.

Every function refuses a ``seam`` outside the range of
:func:`~quiltgeom.geometry.allowance.check_seam`.
"""

import math
from typing import Literal

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.allowance import SEAM, check_seam
from quiltgeom.tolerance import RULER, RULER_SLACK
from quiltgeom.units import ceil_to

_ROOT2 = math.sqrt(2)
Rule = Literal["exact", "trade"]


def has_trade_constants(seam: float) -> bool:
    """Whether the trade's own additions are for this seam allowance: they are for 1/4 inch."""
    return abs(seam - SEAM) < RULER_SLACK


def _positive(value: float, what: str, seam: float) -> float:
    check_seam(seam)
    if not (math.isfinite(value) and value > 0):
        raise QuiltValueError(f"{what}: found {value}; accepted: a positive size in inches")
    return value


def half_square_square(
    finished: float, *, at_a_time: Literal[1, 2, 4, 8] = 2, rule: Rule = "trade", seam: float = SEAM
) -> float:
    """Side of the squares for half-square triangles whose finished leg is ``finished``.

    Args:
        at_a_time: 1 (a square cut once gives two triangles) and 2 (a pair of squares gives two
            units) need the same square; 4: sewn round the perimeter, cut on both diagonals (bias
            edges); 8: sewn on both sides of both diagonals.
        rule: ``exact``, or ``trade`` (rounded up to an eighth). For 4 at a time the widespread
            rule "divide the unfinished size by 0.64" cuts too small at 2 1/2 inches and below, so
            the exact size is rounded up instead.
        seam: seam allowance, inches.

    >>> half_square_square(3), round(half_square_square(3, rule="exact"), 6)
    (3.875, 3.853553)
    >>> half_square_square(4, at_a_time=8), half_square_square(2, at_a_time=4)
    (9.75, 4.125)
    """
    f = _positive(finished, "finished size", seam)
    exact = {
        1: f + (2 + _ROOT2) * seam,
        2: f + (2 + _ROOT2) * seam,
        4: (f + 2 * seam) * _ROOT2 + 2 * seam,
        8: 2 * f + 2 * (2 + _ROOT2) * seam,
    }[at_a_time]
    return exact if rule == "exact" else ceil_to(exact, RULER)


def quarter_square_square(finished: float, *, rule: Rule = "trade", seam: float = SEAM) -> float:
    """Side of a square that, cut twice, gives four triangles with long side ``finished``.

    The exact addition is (2 + 2 sqrt 2) s, for 1/4 inch 1.2071; the trade then adds 1 1/4.

    >>> quarter_square_square(4), round(quarter_square_square(4, rule="exact") - 4, 4)
    (5.25, 1.2071)
    >>> quarter_square_square(4, seam=0.375)
    5.875
    """
    f = _positive(finished, "finished size", seam)
    exact = f + (2 + 2 * _ROOT2) * seam
    return _by(rule, exact, f + 1.25, seam)


def _by(rule: Rule, exact: float, trade: float, seam: float) -> float:
    """The exact size, or the trade's where it has a rule for this seam allowance."""
    if rule == "exact":
        return exact
    return ceil_to(trade if has_trade_constants(seam) else exact, RULER)


def side_triangle_square(block: float, *, rule: Rule = "trade", seam: float = SEAM) -> float:
    """Square to cut twice for side setting triangles of blocks on point.

    The trade rule (block x 1.414 + 1 1/4, up to an eighth) gives an eighth more than the exact
    one at 4, 7 and 10 inches.

    >>> side_triangle_square(10), ceil_to(side_triangle_square(10, rule="exact"), 0.125)
    (15.5, 15.375)
    """
    f = _positive(block, "block size", seam)
    return _by(rule, f * _ROOT2 + (2 + 2 * _ROOT2) * seam, f * 1.414 + 1.25, seam)


def corner_triangle_square(block: float, *, rule: Rule = "trade", seam: float = SEAM) -> float:
    """Square to cut once for the corner setting triangles of blocks on point.

    >>> corner_triangle_square(12)
    9.375
    """
    f = _positive(block, "block size", seam)
    return _by(rule, f / _ROOT2 + (2 + _ROOT2) * seam, f / 1.414 + 0.875, seam)


def geese_no_waste(
    width: float, *, rule: Rule = "trade", seam: float = SEAM
) -> tuple[float, float]:
    """One large and four small squares for four flying geese of finished ``width`` x width / 2.

    >>> geese_no_waste(4)
    (5.25, 2.875)
    """
    return (
        quarter_square_square(width, rule=rule, seam=seam),
        half_square_square(width / 2, at_a_time=1, rule=rule, seam=seam),
    )


def foundation_rectangle(width: float, height: float, *, seam: float = SEAM) -> tuple[float, float]:
    """What to cut for a patch that is sewn on a foundation and trimmed there: 1 in more each way.

    As a magazine advises for rectangles (Cutting patches for paper foundation piecing, 2022); a
    half inch beyond every line is a common reading of the same. Up to an eighth. The advice is for
    1/4 inch; with another allowance a patch keeps the same room beyond it, 2 s + 1/2.

    >>> foundation_rectangle(2, 3.1)
    (3.0, 4.125)
    """
    _positive(min(width, height), "finished size", seam)
    more = 1.0 + 2 * (seam - SEAM)
    return ceil_to(width + more, RULER), ceil_to(height + more, RULER)


def foundation_square(leg: float, *, seam: float = SEAM) -> float:
    """Square to cut once for two corner triangles that are sewn on a foundation: leg + 2 (same
    source), up to an eighth; the same room beyond another allowance than 1/4 inch.

    >>> foundation_square(3)
    5.0
    """
    more = 2.0 + (2 + _ROOT2) * (seam - SEAM)
    return ceil_to(_positive(leg, "finished leg", seam) + more, RULER)
