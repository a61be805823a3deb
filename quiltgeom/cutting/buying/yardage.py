"""Cloth to buy: squares per length, backing, batting, binding. Lengths in inches."""

import math
from dataclasses import dataclass
from typing import Literal

from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.geometry.allowance import SEAM
from quiltgeom.tolerance import RULER_SLACK
from quiltgeom.units import ceil_to

YARD_STEP = 4.5
"""Shops cut in eighths of a yard: 36 / 8 inches."""

_MOST_STRIPS = 1000
"""Of one binding: nobody joins more."""

BATTING = ((34, 45), (45, 60), (72, 90), (81, 96), (90, 108), (120, 120))
"""Packaged batting, inches (retail size chart, 2012)."""


def squares_from(length: float, width: float, side: float) -> int:
    """Squares that a straight grid of cuts gives.

    >>> squares_from(18, 22, 5), squares_from(36, 42, 2.5)
    (12, 224)
    """
    if min(length, width, side) <= 0:
        raise QuiltValueError(f"squares: found {length} x {width}, side {side}; accepted: positive")
    return math.floor(length / side + RULER_SLACK) * math.floor(width / side + RULER_SLACK)


BEDS: dict[str, tuple[float, float]] = {
    "twin": (39, 75),
    "twin-long": (39, 80),
    "full": (54, 75),
    "queen": (60, 80),
    "king": (76, 80),
    "california-king": (72, 84),
}
"""Mattress tops, width and length, inches (a mattress chart; United States)."""


def bed_quilt(bed: str, *, drop: float = 12.0, tuck: float = 0.0) -> tuple[float, float]:
    """Finished size of a quilt for a bed: width + 2 drops, length + drop + pillow tuck.

    >>> bed_quilt("twin"), bed_quilt("queen", tuck=10)
    ((63.0, 87.0), (84.0, 102.0))
    """
    if bed not in BEDS:
        raise QuiltKeyError(f"bed: found {bed!r}; accepted: {', '.join(BEDS)}")
    if not (0 <= drop <= 40 and 0 <= tuck <= 30):
        found = f"drop {drop:g}, tuck {tuck:g}"
        raise QuiltValueError(f"bed: found {found}; accepted: 0 to 40, 0 to 30 in")
    width, length = BEDS[bed]
    return width + 2 * drop, length + drop + tuck


Seams = Literal["none", "vertical", "horizontal"]


@dataclass(frozen=True, slots=True)
class Backing:
    """Cloth for the back.

    Attributes:
        length: to buy, inches (whole eighths of a yard).
        panels: how many widths are sewn together.
        seams: ``"none"``, ``"vertical"`` or ``"horizontal"``.
        size: width and height that the back must have.
        need: length of cloth in the panels, before it is rounded to the shop's steps.
        places: where the seams lie, inches from the left (vertical) or the top (horizontal) of
            the back: panels are equally wide, or the inner ones as wide as the cloth allows.
    """

    length: float
    panels: int
    seams: Seams
    size: tuple[float, float]
    need: float = 0.0
    places: tuple[float, ...] = ()


def backing(
    width: float, height: float, *, cloth: float = 42.0, around: float = 4.0, seam: float = 0.5
) -> Backing:
    """The least cloth for the back of a top, seams down or across, whichever needs less.

    Args:
        width, height: of the quilt top.
        cloth: usable width of the cloth, selvages off.
        around: the back is larger than the top by this much on every side.
        seam: cloth that each seam between panels takes up in all.

    >>> backing(60, 72, cloth=40).seams, backing(60, 72, cloth=42).seams
    ('vertical', 'horizontal')
    """
    if min(width, height, cloth) <= 0:
        raise QuiltValueError(f"backing: found {width} x {height} on {cloth}; accepted: positive")
    w, h = width + 2 * around, height + 2 * around
    options = []
    ways: tuple[tuple[float, float, Seams], ...] = ((w, h, "vertical"), (h, w, "horizontal"))
    for across, along, seams in ways:
        panels = max(1, math.ceil((across - seam) / (cloth - seam) - RULER_SLACK))
        need, places = panels * along, _seam_places(across, panels, cloth - seam)
        length, way = ceil_to(need, YARD_STEP), seams if panels > 1 else "none"
        options.append(Backing(length, panels, way, (w, h), need, places))
    return min(options, key=lambda back: (back.length, back.panels))


def _seam_places(across: float, panels: int, most: float) -> tuple[float, ...]:
    """Seams of a back: an inner panel loses cloth to two seams, an outer one to one."""
    if panels == 1:
        return ()
    inner = min(across / panels, most)
    outer = (across - (panels - 2) * inner) / 2
    return tuple(outer + k * inner for k in range(panels - 1))


def batting(width: float, height: float, *, around: float = 3.0) -> tuple[int, int] | None:
    """The smallest packaged batting that is larger than the top all round, either way up.

    >>> batting(44, 60)
    (72, 90)
    """
    need = sorted((width + 2 * around, height + 2 * around))
    fits = [b for b in BATTING if b[0] >= need[0] and b[1] >= need[1]]
    return min(fits, key=lambda b: b[0] * b[1]) if fits else None


@dataclass(frozen=True, slots=True)
class Binding:
    """Straight-grain binding: ``strips`` of ``width`` across the cloth, ``length`` to buy."""

    strips: int
    width: float
    length: float


def binding(
    width: float,
    height: float,
    *,
    strip: float = 2.5,
    cloth: float = 40.0,
    extra: float = 10.0,
    diagonal: bool = False,
) -> Binding:
    """Strips for a double-fold binding of the perimeter and ``extra`` for corners and the join.

    Args:
        diagonal: count the strip's width that every diagonal join takes; without it the trade's
            plain rule, perimeter + 10 over the width of the cloth.

    >>> binding(44, 60)
    Binding(strips=6, width=2.5, length=18.0)
    """
    need, taken = binding_length(width, height, extra=extra), strip if diagonal else 0.0
    if not (cloth > taken and need - taken <= _MOST_STRIPS * (cloth - taken)):
        raise QuiltValueError(
            f"binding: found cloth {cloth:g} in wide; accepted: wider than its strips, {strip:g} "
            f"in, where they are joined on the diagonal: {need:g} in from up to {_MOST_STRIPS:,}"
        )
    strips = max(1, math.ceil((need - taken) / (cloth - taken) - RULER_SLACK))
    return Binding(strips, strip, ceil_to(strips * strip, YARD_STEP))


def binding_length(width: float, height: float, *, extra: float = 10.0) -> float:
    """Length of binding for a quilt: its perimeter and ``extra`` for corners and the join.

    >>> binding_length(44, 60)
    218.0
    """
    return 2.0 * (width + height) + extra


def bias_length(side: float, strip: float, *, seams: bool = False, seam: float = SEAM) -> float:
    """Bias strip from a square: side x side / strip; with what the two joining ``seams`` take, two
    allowances each, off: (side x side - 4 s side) / strip.

    >>> bias_length(20, 2), bias_length(20, 2, seams=True)
    (200.0, 190.0)
    """
    if min(side, strip) <= 0:
        raise QuiltValueError(f"bias: found a square of {side}, strip {strip}; accepted: positive")
    return (side * side - (4 * seam * side if seams else 0.0)) / strip


def bias_square(
    length: float, strip: float, *, seams: bool = False, seam: float = SEAM, step: float = 1.0
) -> float:
    """Side of the square for a continuous bias strip: sqrt(length x width), up to whole inches.

    Args:
        seams: count the cloth in the two joining seams, too; the plain rule of the trade does not
            and comes out short.
        seam: seam allowance of those seams, inches.
        step: up to whole ones of these, inches.

    >>> bias_square(250, 2), bias_square(250, 2, seams=True)
    (23.0, 23.0)
    """
    lost = 2 * seam if seams else 0.0  # (side - lost)^2 = length x strip + lost^2
    return ceil_to(lost + math.sqrt(length * strip + lost**2), step)


def bias_squares(
    length: float, strip: float, cloth: float, *, seam: float = SEAM, step: float = 1.0
) -> tuple[int, float]:
    """Fewest equal squares no wider than the cloth for so much continuous bias strip, joining
    seams counted: their number and side.

    >>> bias_squares(250, 2, 40), bias_squares(1500, 2.5, 40)
    ((1, 23.0), (3, 36.0))
    """
    side = math.floor(cloth / step + RULER_SLACK) * step
    most = bias_length(side, strip, seams=True, seam=seam) if side > 0 else 0.0
    if length > _MOST_STRIPS * most:
        raise QuiltValueError(
            f"bias binding: found cloth {cloth:g} in wide; accepted: wide enough for {length:g} in "
            f"from at most {_MOST_STRIPS} squares"
        )
    number = max(1, math.ceil(length / most - RULER_SLACK))
    return number, bias_square(length / number, strip, seams=True, seam=seam, step=step)


def fussy_length(
    window: float, repeat: tuple[float, float], count: int, *, cloth: float, half_drop: bool = False
) -> tuple[float, float]:
    """Cloth for ``count`` motif-centred windows: (length, worst case of where the print begins).

    Rows follow the repeat; the first motif may lie anywhere, so that up to one repeat more is
    needed; a half-drop adds half a repeat.

    >>> fussy_length(4.5, (6, 8), 20, cloth=42)
    (20.5, 28.5)
    """
    rx, ry = repeat
    across = math.floor((cloth - window) / rx + RULER_SLACK) + 1
    if across < 1 or window > cloth:
        raise QuiltValueError(f"fussy cut: found a window of {window} in on {cloth} in of cloth")
    rows = math.ceil(count / across)
    length = (rows - 1) * ry + window + (ry / 2 if half_drop else 0.0)
    return length, length + ry
