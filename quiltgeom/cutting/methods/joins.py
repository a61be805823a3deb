"""Where borders, sashing and binding are joined end to end, and which way they lie on the cloth.

Strips of sashing and borders may be joined, and the binding is; a patch of a block, or one that
shows the print, never is. All strips of a fabric that may lie either way lie one way, so that a
border stretches alike all round.
"""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from quiltgeom.cutting.buying.yardage import bias_squares, binding, binding_length
from quiltgeom.cutting.methods.cut_shapes import TURNS, CutShape
from quiltgeom.cutting.methods.unit import CutUnit, Member, Method
from quiltgeom.cutting.options import CutOptions
from quiltgeom.model.fabric import Direction
from quiltgeom.model.quilt import Quilt
from quiltgeom.tolerance import SAME_LENGTH
from quiltgeom.units import INCH_IN_CM, INCHES, Ruler

_A = TypeVar("_A")
_B = TypeVar("_B")

_LEAST = 4.0
"""Least length, inches, of the parts of a strip: shorter ones nobody would join."""


@dataclass(frozen=True, slots=True)
class Joins:
    """One way of cutting the long strips of a fabric.

    Attributes:
        across: the longest part across the cloth, inches.
        along: the longest part along the cloth, inches.
        stand: strips that may lie either way run along the cloth.
        even: strips joined across are cut in equal lengths; else in whole ones and what is left.
        even_along: the same of those along the cloth.
        bound: the longest strip of binding, inches.
        bound_along: the binding runs along the cloth.
        more: its strips are so many more than the fewest, and no longer than they need be; None:
            as long as they can be.
    """

    across: float
    along: float = math.inf
    stand: bool = False
    even: bool = True
    even_along: bool = True
    bound: float = math.inf
    bound_along: bool = False
    more: int | None = None

    def strips_text(self, ruler: Ruler = INCHES) -> str:
        """How long strips are cut, in words."""
        long, way = (self.along, "along") if self.stand else (self.across, "across")
        even = self.even_along if self.stand else self.even
        kind = "equal lengths" if even else "lengths"
        size = "whole" if math.isinf(long) else f"in {kind} up to {ruler.about(long)}"
        words = f"long strips {way} the cloth, {size}"
        if not self.stand and not math.isinf(self.along):
            words += f", upright ones up to {ruler.about(self.along)}"
        return words

    def binding_text(self, ruler: Ruler = INCHES) -> str:
        """How binding is cut, in words."""
        way = "along" if self.bound_along else "across"
        more = ", one strip more" if self.more else ""
        return f"binding {way} the cloth, strips up to {ruler.about(self.bound)}{more}"


def thrifty_joins(
    cloth: tuple[float, float],
    options: CutOptions,
    *,
    turn: bool,
    longest: tuple[float, float],
    binding: float,
) -> list[Joins]:
    """The ways that are tried for a fabric, those with the fewest joins first.

    Args:
        cloth: usable width, and length (infinite where it is bought), inches.
        options: seam allowance and ruler.
        turn: whether the print lets a strip lie either way.
        longest: the longest strips as they must lie, across and along the cloth, inches; if they
            may turn, their greatest length twice.
        binding: width of the strips of binding that are cut from it, inches; 0 without. From cloth
            at hand they are no longer than need be, and one more is tried: longer cloth should
            not refuse what shorter cloth can do.

    >>> [(j.across, j.even) for j in thrifty_joins(
    ...     (40, math.inf), CutOptions(), turn=False, longest=(60, 0), binding=0)]
    [(40, True), (40, False), (20.0, True)]
    """
    width, length = cloth
    across = _limits(width, longest[0], options.seam)
    along = _limits(length, longest[1], options.seam, options.ruler.reach)
    if turn:
        ways = [Joins(a, length, even=even) for a, even in across]
        if longest[1]:
            ways += [Joins(width, a, True, even_along=even) for a, even in along]
    else:
        ways = [Joins(a, b, False, e, f) for (a, e), (b, f) in _pairs(across, along)]
    if not binding:
        return ways
    short = 4 * binding  # nobody joins strips shorter than that
    bound = [(width / k, False) for k in (1, 2) if k == 1 or width / k >= short]
    if math.isinf(length):
        return [replace(way, bound=long) for way, (long, _) in _pairs(ways, bound)]
    bound += [(length / k, True) for k in (1, 2) if length / k >= short]
    edges = [(*b, more) for more in (0, 1) for b in bound if not more or b[0] in cloth]
    both = [(way, *edge) for way, edge in _pairs(ways, edges)]
    return [replace(w, bound=b, bound_along=stand, more=more) for w, b, stand, more in both]


def _pairs(first: Sequence[_A], second: Sequence[_B]) -> list[tuple[_A, _B]]:
    """Everything of the one with everything of the other, what is early in both first."""
    pairs = itertools.product(range(len(first)), range(len(second)))
    return [(first[i], second[j]) for i, j in sorted(pairs, key=lambda p: (sum(p), p))]


def easy_joins(cloth: tuple[float, float], longest: float, options: CutOptions) -> list[Joins]:
    """Strips right across the cloth, in equal lengths or not, or halves where some must be joined
    anyway; those that must stand, no longer than a ruler. See :func:`thrifty_joins`."""
    width, length = cloth
    return [
        Joins(across, min(length, options.ruler.reach), False, even, even, width)
        for across, even in _limits(width, longest, options.seam)
        if across == width or longest > width + SAME_LENGTH
    ]


def _limits(
    room: float, longest: float, seam: float, reach: float = 0.0
) -> list[tuple[float, bool]]:
    """Lengths to which strips are cut, and whether into equal parts: as long as there is room,
    as a ruler, half the room or the halves of the longest."""
    out = [(room, True)]
    if longest > room + SAME_LENGTH:
        out.append((room, False))
    if reach and reach < min(room, longest):
        out += [(reach, True), (reach, False)]
    half = min(room / 2, longest / 2 + seam)  # two halves take four allowances
    if longest > half + SAME_LENGTH and half >= _LEAST:
        out.append((half, True))
    return out


def strip_units(
    shapes: Iterable[CutShape], direction: Direction, joins: Joins, options: CutOptions
) -> list[CutUnit]:
    """Borders and sashing of one fabric, whole or joined from equal lengths.

    Args:
        shapes: strips as they lie on the cloth.
        direction: what turns the print allows.
        joins: how they are cut.
        options: seam allowance, what is added at mitres, borders that are to run along the cloth.
    """
    turn = len(TURNS[direction]) == 4
    return [u for s in shapes for u in _strip(s, joins, options, turn)]


def _strip(shape: CutShape, joins: Joins, options: CutOptions, turn: bool) -> list[CutUnit]:
    seam = options.seam
    x0, y0, x1, y1 = shape.outline.bounds
    w, h = x1 - x0 + 2 * seam, y1 - y0 + 2 * seam
    mitred = shape.block == "mitred-border"
    if mitred:  # no less than the tips of the allowance: (1 + sqrt 2) s beyond the finished side
        more = max(options.mitre_extra, 2 * math.sqrt(2) * seam)
        w, h = (w + more, h) if w >= h else (w, h + more)
    lengthwise = shape.is_border and shape.role in options.lengthwise and (h >= w or turn)
    stand = lengthwise or (joins.stand if turn else h > w)
    if turn and stand != (h > w) and w != h:
        shape, w, h = shape.turned(90.0), h, w
    limit = math.inf if lengthwise else joins.along if stand else joins.across
    method: Method = "mitred border" if mitred else "rectangle"
    if lengthwise:
        method = "lengthwise border"
    fixed = turn and (shape.is_border or max(w, h) > limit + SAME_LENGTH)
    even = joins.even_along if stand else joins.even
    cuts = _lengths(max(w, h) - 2 * seam, limit, even, options)
    return _parts(shape, (w, h), cuts, options, method, fixed)


def _lengths(long: float, limit: float, even: bool, options: CutOptions) -> list[float]:
    """Finished lengths of the parts of a strip; both allowances are added to each. None is cut
    longer than the limit, all but the last on a mark of the ruler, so that the parts together are
    no longer than they must be."""
    both, ruler = 2 * options.seam, options.ruler
    most = (limit if math.isinf(limit) else ruler.floor(limit)) - both
    if long <= most + SAME_LENGTH or most < _LEAST:
        return [long]
    count = math.ceil(long / most - SAME_LENGTH)
    if even or long - (count - 1) * most < _LEAST:
        most = min(most, ruler.ceil(long / count + both) - both)
    return [*[most] * (count - 1), long - (count - 1) * most]


def _parts(
    shape: CutShape,
    size: tuple[float, float],
    cuts: Sequence[float],
    options: CutOptions,
    method: Method,
    fixed: bool,
) -> list[CutUnit]:
    """A strip of these finished lengths, joined with straight seams."""
    (w, h), seam = size, options.seam
    stand = h > w
    long, thick = max(w, h), min(w, h)
    x0, y0, x1, y1 = shape.outline.bounds
    low, high = (y0, y1) if stand else (x0, x1)
    b = (low + high - long) / 2 + seam  # finished parts begin here (a mitred end reaches further)
    units, count = [], len(cuts)
    for k, step in enumerate(cuts, 1):
        a, b = b, b + step
        middle = (max(a, low) + min(b, high)) / 2 - a + seam
        spot = (thick / 2, middle) if stand else (middle, thick / 2)
        part = (k, count, (a, b)) if count > 1 else ()
        member = Member(shape.piece, *spot, shape.lie, *part)
        cut = step + 2 * seam, thick
        how: Method = "joined strip" if count > 1 else method
        w, h = cut[::-1] if stand else cut
        units.append(CutUnit.of(how, w, h, [member], fixed=fixed, ruler=options.ruler))
    return units


def binding_units(quilt: Quilt, joins: Joins, options: CutOptions, cloth: float) -> list[CutUnit]:
    """Straight strips (binding shows a finger's width of its print, so they may lie either way,
    all alike), or squares for continuous bias strips.

    Args:
        quilt: what is bound.
        joins: length and direction of the strips.
        options: kind and width of the binding.
        cloth: usable width of the cloth, inches.
    """
    strip, ruler = options.binding_strip, options.ruler
    if options.binding == "straight":
        long = min(joins.bound, cloth) if not joins.bound_along else joins.bound
        long = ruler.floor(long)  # before they are counted
        made = binding(quilt.width, quilt.height, cloth=long, strip=strip, diagonal=True)
        count = made.strips + (joins.more or 0)
        if joins.more is not None:
            long = (binding_length(quilt.width, quilt.height) + (count - 1) * strip) / count
        size = (strip, long) if joins.bound_along else (long, strip)
        unit = CutUnit.of("binding", *size, fixed=True, ruler=ruler)
        return [unit] * count
    need = binding_length(quilt.width, quilt.height)
    step = 1 / INCH_IN_CM if ruler.metric else 1.0
    number, side = bias_squares(need, strip, cloth, seam=options.seam, step=step)
    return [CutUnit.of("bias binding", side, side, ruler=ruler)] * number


def longest_strips(
    shapes: Sequence[CutShape], direction: Direction, options: CutOptions
) -> tuple[float, float]:
    """The longest strips across and along the cloth, allowances included, inches; strips that may
    turn count for both."""
    turn = len(TURNS[direction]) == 4
    most = [0.0, 0.0]
    for s in shapes:
        x0, y0, x1, y1 = s.outline.bounds
        w, h = x1 - x0, y1 - y0
        extra = 2 * options.seam + (options.mitre_extra if s.block == "mitred-border" else 0.0)
        for k in (0, 1) if turn else (int(h > w),):
            most[k] = max(most[k], max(w, h) + extra)
    return most[0], most[1]
