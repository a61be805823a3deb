"""The strips as a person cuts them, and what is left over."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.cutting.fabric_plan import FabricPlan, PlacedUnit
from quiltgeom.tolerance import EQUAL_SCORE, SAME_LENGTH, SAME_POINT

Rows = tuple[tuple[PlacedUnit, ...], ...]
"""What a stack is cut apart into: rows, each with its pieces side by side."""

_LEAST = 2.0
"""Cloth narrower than this is scrap, not a leftover worth a line."""


@dataclass(frozen=True, slots=True)
class CutStrip:
    """One strip, cut edge to edge.

    Attributes:
        number: from 1, over all pieces of cloth.
        cloth: number of the piece of cloth, from 0.
        start, size: where it begins and how wide it is, inches: along the cloth, or across it
            where the strips run along the cloth.
        stacks: from its beginning, letters of the list with their counts; one stack is cut off
            the strip, then cut apart.
        used: how much of the strip's length the pieces take, inches.
        rows: for every stack its rows, each with its pieces in order.
        ends: where every stack begins in the strip, and how deep into it its pieces reach.
    """

    number: int
    cloth: int
    start: float
    size: float
    stacks: tuple[tuple[tuple[str, int], ...], ...]
    used: float
    rows: tuple[Rows, ...] = ()
    ends: tuple[tuple[float, float], ...] = ()


def _planned_end(plan: FabricPlan, low: float, after: float) -> float:
    """Where the plan ends the strip that begins here: it may be higher than its pieces, so that
    fewer strip heights need be set; 0 if no strip begins here or others begin within it."""
    ends = list(itertools.accumulate(plan.solution.strips))
    step = plan.ruler.step
    for start, end in zip([0, *ends], ends, strict=False):
        if abs(start * step - low) < SAME_LENGTH and end * step <= after + SAME_LENGTH:
            return end * step
    return 0.0


def cut_order(plan: FabricPlan) -> list[CutStrip]:
    """Strips from the beginning of every cloth, each with its stacks in order.

    >>> from quiltgeom.cutting.cutting_plan import cut_plan
    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("sail-loft"), rows=2, columns=2)
    >>> cut_order(cut_plan(quilt, {}, effort=1).fabrics[0])[0].number
    1
    """
    lengthwise, snap = plan.solution.lengthwise, plan.ruler.snap
    out: list[CutStrip] = []
    for cloth in sorted({p.cloth for p in plan.placed}):
        mine = [p for p in plan.placed if p.cloth == cloth]
        bands = parted(mine, along=not lengthwise)
        lows = [extent(b, along=not lengthwise)[0] for b in bands]
        for band, after in zip(bands, [*lows[1:], math.inf], strict=True):
            low, high = extent(band, along=not lengthwise)
            high = max(high, _planned_end(plan, low, after))
            stacks = parted(band, along=lengthwise)
            rows = tuple(_rows(s, along=not lengthwise) for s in stacks)
            labels = [[plan.labels[p.number] for row in s for p in row] for s in rows]
            counts = tuple(
                tuple((label, len(list(run))) for label, run in itertools.groupby(stack))
                for stack in labels
            )
            starts = [extent(s, along=lengthwise)[0] for s in stacks]
            deep = [snap(extent(s, along=not lengthwise)[1] - low) for s in stacks]
            inside = counts, extent(band, along=lengthwise)[1], rows
            ends = tuple(zip(starts, deep, strict=True))
            out.append(CutStrip(len(out) + 1, cloth, low, snap(high - low), *inside, ends))
    return out


def parted(placed: Sequence[PlacedUnit], *, along: bool) -> list[list[PlacedUnit]]:
    """Rectangles in groups that straight cuts part, in order along (or across) the cloth."""
    groups: list[list[PlacedUnit]] = []
    end = -1.0
    for p in sorted(placed, key=lambda p: (_span(p, along=along), p.number)):
        low, high = _span(p, along=along)
        if not groups or low >= end - SAME_POINT:
            groups.append([])
        groups[-1].append(p)
        end = max(end, high)
    return groups


def _span(p: PlacedUnit, *, along: bool) -> tuple[float, float]:
    low, size = (p.y, p.height) if along else (p.x, p.width)
    return low, p.unit.ruler.snap(low + size)


def extent(band: Sequence[PlacedUnit], *, along: bool) -> tuple[float, float]:
    """From where to where rectangles reach, along the cloth or across it."""
    spans = [_span(p, along=along) for p in band]
    return min(s[0] for s in spans), max(s[1] for s in spans)


def _rows(stack: Sequence[PlacedUnit], *, along: bool) -> Rows:
    return tuple(
        tuple(sorted(row, key=lambda p: (_span(p, along=not along), _span(p, along=along))))
        for row in parted(stack, along=along)
    )


@dataclass(frozen=True, slots=True)
class Leftover:
    """A rectangle of cloth that nothing is cut from, inches from the cloth's top left."""

    cloth: int
    x: float
    y: float
    width: float
    height: float


def leftovers(plan: FabricPlan) -> list[Leftover]:
    """What is left: beside every strip, and at the end of every cloth; largest first.

    Neighbouring strips that end at the same place leave one piece.
    """
    out: list[Leftover] = []
    lengthwise = plan.solution.lengthwise
    strips = cut_order(plan)
    for cloth, (length, width) in enumerate(plan.drawn):
        run, end = (length, width) if lengthwise else (width, length)
        boxes: list[tuple[float, float, float, float]] = []  # along the strip, across it
        used = 0.0
        for s in (s for s in strips if s.cloth == cloth):
            boxes += _left_in(s, run, boxes)
            used = s.start + s.size
        boxes.append((0.0, used, run, end - used))
        for a, b, w, h in boxes:
            if min(w, h) >= _LEAST - SAME_POINT:
                out.append(Leftover(cloth, *((b, a, h, w) if lengthwise else (a, b, w, h))))
    return sorted(out, key=lambda r: (-r.width * r.height, r.cloth, r.y, r.x))


def _left_in(
    strip: CutStrip, run: float, before: list[tuple[float, float, float, float]]
) -> list[tuple[float, float, float, float]]:
    """What a strip leaves: beside its pieces, or below the last of them, if that is more.

    A piece left beside the strip before that ends at the same place is taken up into this one.
    """
    best, place = (run - strip.used) * strip.size, len(strip.ends)
    deep = 0.0
    for k in range(len(strip.ends) - 1, -1, -1):
        start, depth = strip.ends[k]
        deep = max(deep, depth)
        if (run - start) * (strip.size - deep) > best + EQUAL_SCORE:
            best, place = (run - start) * (strip.size - deep), k
    if place == len(strip.ends):
        left, start, _, high = before[-1] if before else (-1.0, 0.0, 0.0, 0.0)
        if left == strip.used and abs(start + high - strip.start) < SAME_POINT:
            before.pop()
            return [(strip.used, start, run - strip.used, high + strip.size)]
        return [(strip.used, strip.start, run - strip.used, strip.size)]
    deep = max(d for _, d in strip.ends[place:])
    start = strip.ends[place][0]
    return [
        (strip.used, strip.start, run - strip.used, deep),
        (start, strip.start + deep, run - start, strip.size - deep),
    ]
