"""How large every patch sews from what is cut for it.

A patch as sewn is its finished outline made larger along the threads of its cloth, by what its cut
size was rounded up. Patches that are cut or sewn along paper are exact.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from quiltgeom.cutting.methods.cut_shapes import is_rectangle
from quiltgeom.cutting.methods.unit import CutUnit, Member
from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.model.quilt import Quilt
from quiltgeom.tolerance import MEETS, SAME_LENGTH
from quiltgeom.units import INCHES, Ruler, ceil_to

_ROOT2 = math.sqrt(2)
_EXACT = ("template", "slanted strip", "foundation piece", "foundation triangles")
_TWICE = ("square cut twice", "half of a square cut twice", "no-waste geese")
_ONCE = {"square cut once": 1, "pair of squares": 1, "no-waste skies": 1, "eight at a time": 2}
_ROUNDED = 0.2
"""Inches by which a triangle may sew larger than finished: the trade's constant and an eighth."""

Way = Literal["itself", "unit", "mitre", "template", "exact"]


@dataclass(frozen=True, slots=True)
class AsSewn:
    """A patch as it sews from its cut size.

    Attributes:
        x, y: by how many times it sews larger than finished, across and along its cloth.
        lie: how its cloth lies in the quilt, degrees clockwise.
        way: how it is brought to size: ``itself`` (a rectangle), with the ``unit`` that it is sewn
            into, at the ``mitre`` when it is sewn on, with its ``template``; or it is ``exact``.
        trim: width and height to trim it to, allowances included, where its cut size was rounded
            up; None where it is sewn as cut.
    """

    x: float
    y: float
    lie: float
    way: Way
    trim: tuple[float, float] | None = None


def trimmed(finished: float, seam: float, ruler: Ruler = INCHES) -> float:
    """What to trim a finished length to: with both allowances, up to the next 1/32 inch (half a
    millimetre): what is joined from it is never too short, and it meets what is exact.

    >>> trimmed(5 / 3, 0.25), trimmed(3, 0.25)
    (2.1875, 3.5)
    """
    return ceil_to(finished + 2 * seam, ruler.fine)


def as_sewn(quilt: Quilt, units: Iterable[CutUnit], seam: float) -> dict[int, AsSewn]:
    """By piece, how it sews from the rectangles of a cutting list.

    >>> from quiltgeom.cutting.methods.pieces import cut_units
    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1)
    >>> focus = cut_units(quilt.pieces[:1], "one-way", 40.0)
    >>> as_sewn(quilt, focus, 0.25)[0].trim is None
    True
    """
    lengths: dict[int, list[tuple[CutUnit, Member]]] = {}
    for unit in units:
        for member in unit.members:
            lengths.setdefault(member.piece, []).append((unit, member))
    return {piece: _one(quilt, cut, seam) for piece, cut in sorted(lengths.items())}


def _one(quilt: Quilt, cut: list[tuple[CutUnit, Member]], seam: float) -> AsSewn:
    unit, member = cut[0]
    ruler = unit.ruler
    piece = quilt.pieces[member.piece]
    outline = piece.outline.turned(-member.lie_deg, (0, 0))
    rectangle, lie = is_rectangle(outline), member.lie_deg
    x0, y0, x1, y1 = outline.bounds
    w, h = x1 - x0, y1 - y0
    wide, tall = unit.wide - 2 * seam, unit.high - 2 * seam
    if unit.method in _TWICE or unit.method in _ONCE or unit.method == "four at a time":
        times = _triangle(unit, seam) / math.sqrt(2 * outline.area)
        over = (times - 1) * math.sqrt(2 * outline.area)
        return AsSewn(times, times, lie, "unit" if -SAME_LENGTH < over < _ROUNDED else "exact")
    if unit.method == "flip corner" or (unit.method == "flip base" and not rectangle):
        even = all(-SAME_LENGTH < d < SAME_LENGTH for d in (wide - w, tall - h))
        rounded = all(-SAME_LENGTH < d < ruler.step for d in (wide - w, tall - h))
        return AsSewn(wide / w, tall / h, lie, "unit" if rounded and not even else "exact")
    way: Way = "itself"
    if piece.block == "mitred-border":
        way, wide, tall = ("mitre", w, tall) if w >= h else ("mitre", wide, h)
    elif unit.method == "slanted strip":
        xa, ya, xb, yb = offset_outline(outline, seam).bounds
        level = abs(abs(unit.lines[0][3] - unit.lines[0][1]) - unit.high) < ruler.step
        over = unit.high - (yb - ya) if level else unit.wide - (xb - xa)
        return AsSewn(1.0, 1.0, lie, "template" if over > MEETS else "exact")
    elif unit.method in _EXACT or not rectangle:
        return AsSewn(1.0, 1.0, lie, "exact")
    elif unit.method == "joined strip" and w >= h:
        wide = sum(u.wide - 2 * seam for u, _ in cut)
    elif unit.method == "joined strip":
        tall = sum(u.high - 2 * seam for u, _ in cut)
    elif unit.method == "strip set":
        wide = unit.wide / len(unit.members) - 2 * seam
    off = (wide - w, tall - h)
    rounded = all(-SAME_LENGTH < d < ruler.step * len(cut) for d in off) and max(off) > SAME_LENGTH
    to = (trimmed(w, seam, ruler), trimmed(h, seam, ruler)) if rounded else None
    return AsSewn(wide / w, tall / h, lie, way, to)


def _triangle(unit: CutUnit, seam: float) -> float:
    """Leg of the triangles as sewn from squares."""
    side = max(unit.wide, unit.high)
    if unit.method in _TWICE:
        return (side - (2 + 2 * _ROOT2) * seam) / _ROOT2
    if unit.method == "four at a time":
        return (side - 2 * seam) / _ROOT2 - 2 * seam
    return side / _ONCE[unit.method] - (2 + _ROOT2) * seam
