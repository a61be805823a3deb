"""Slanted patches from strips: diamonds, parallelograms, triangles and trapezoids, side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from quiltgeom.cutting.methods.cut_shapes import CutShape, corners, sides
from quiltgeom.cutting.methods.unit import Line, Member
from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.tolerance import RULER_SLACK, SAME_LENGTH
from quiltgeom.units import INCHES, Ruler


@dataclass(frozen=True, slots=True)
class Run:
    """Patches side by side in a strip.

    Attributes:
        width, height: of the rectangle of cloth, inches (across and along the cloth).
        members: the patches.
        lines: slanted cuts inside it, ``(x, y, x, y)``.
        upright: whether the strip runs across the cloth.
    """

    width: float
    height: float
    members: tuple[Member, ...]
    lines: tuple[Line, ...]
    upright: bool = True


def common_lie(shape: CutShape, turns: Sequence[int], *, free: bool) -> CutShape:
    """The one way in which congruent patches lie, as far as their print lets them turn.

    Args:
        turns: quarter turns that the print allows.
        free: any turn is allowed: as much edge as possible then follows the threads.
    """
    options = [shape.turned(90.0 * t) if t else shape for t in turns]
    if free:
        angles = [math.atan2(q[1] - p[1], q[0] - p[0]) for p, q in sides(shape.outline)]
        options += [shape.turned(-math.degrees(a)) for a in angles]
        most = max(_on_thread(o.outline) for o in options)
        options = [o for o in options if _on_thread(o.outline) > most - SAME_LENGTH]
    return min(options, key=lambda o: (not along_strip(o.outline), shift_key(o.outline)))


def _on_thread(outline: Outline) -> float:
    edges = ((abs(p[0] - q[0]), abs(p[1] - q[1])) for p, q in sides(outline))
    return sum(math.hypot(w, h) for w, h in edges if min(w, h) < SAME_LENGTH)


def shift_key(outline: Outline) -> tuple[tuple[int, int], ...]:
    """Equal for outlines that differ by a shift alone."""
    x0, y0, _, _ = outline.bounds
    points = ((round((x - x0) * 1e4), round((y - y0) * 1e4)) for x, y in corners(outline))
    return tuple(sorted(points))


def along_strip(outline: Outline) -> bool:
    """Whether straight cuts part copies side by side in a strip across the cloth: a triangle on
    its side, or two sides along the strip and one slanted edge at either end.

    >>> along_strip(Outline(((1, 0), (4, 0), (3, 1), (0, 1))))
    True
    """
    if not outline.is_straight:
        return False
    pts = corners(outline)
    y0, y1 = outline.bounds[1], outline.bounds[3]
    top = sum(abs(p[1] - y0) < SAME_LENGTH for p in pts)
    bottom = sum(abs(p[1] - y1) < SAME_LENGTH for p in pts)
    return len(pts) in (3, 4) and top + bottom == len(pts) and min(top, bottom) >= 1


def lay_run(
    shapes: Sequence[CutShape],
    room: float,
    seam: float,
    *,
    halves: bool,
    upright: bool = True,
    short: float = 0.0,
    ruler: Ruler = INCHES,
) -> list[Run]:
    """Lay congruent patches (all laid as by :func:`common_lie`) into runs no longer than ``room``.

    Args:
        halves: whether the print allows half turns, so that every other patch may stand on its
            head and triangles interlock.
        upright: strips across the cloth; else along it.
        short: strips along the cloth are no longer than they need to be, standing side by side on
            a cloth ``room`` wide, and no longer than so many inches; 0: as long as ``room``.
    """
    shapes = list(shapes)
    first = shapes[0].outline if upright else transposed(shapes[0].outline)
    ways = [_Cut(first, seam), _Cut(first.turned(180, (0, 0)), seam)]
    flip = halves and ways[0].next_to(ways[1]) + ways[1].next_to(ways[0]) < (
        2 * ways[0].next_to(ways[0]) - SAME_LENGTH
    )
    sequence = [ways[k % 2 if flip else 0] for k in range(len(shapes))]
    steps = (a.next_to(b) for a, b in pairwise(sequence))
    starts = list(accumulate(steps, initial=0.0))
    rights = (start + cut.width for start, cut in zip(starts, sequence, strict=True))
    ends = list(accumulate(rights, max))
    most = max(1, sum(e <= room + RULER_SLACK for e in ends))
    if short and not upright and most > 1:
        columns = max(1, ruler.down(room + RULER_SLACK) // ruler.up(sequence[0].height))
        most = sum(e <= max(short, ends[1]) + RULER_SLACK for e in ends[:most])
        most = _side_by_side(ends[:most], len(shapes), columns)
    runs = []
    for begin in range(0, len(shapes), most):
        group = shapes[begin : begin + most]
        if flip:
            group = [s.turned(180) if k % 2 else s for k, s in enumerate(group)]
        runs.append(_run(group, sequence, starts, ends, upright))
    return runs


def _side_by_side(ends: Sequence[float], count: int, columns: int) -> int:
    """How many patches to a strip along the cloth, so that all strips, so many side by side, take
    the least length (two patches at least: single ones waste their slanted ends)."""

    def length(most: int) -> float:
        return -(-count // (most * columns)) * ends[most - 1]

    return min(range(2, len(ends) + 1), key=lambda n: (round(length(n), 6), -n))


def transposed(outline: Outline) -> Outline:
    """Across and along exchanged."""
    return Outline(tuple((y, x) for x, y in outline.points), outline.bulges)


class _Cut:
    """A cut shape between the two edges of its strip, its left at 0."""

    def __init__(self, outline: Outline, seam: float) -> None:
        cut = offset_outline(outline, seam)
        x0, y0, x1, y1 = cut.bounds
        self.width, self.height = x1 - x0, y1 - y0
        a0, b0, a1, b1 = outline.bounds
        self.middle = ((a0 + a1) / 2 - x0, (b0 + b1) / 2 - y0)
        points = [(x - x0, y - y0) for x, y in corners(cut)]
        top = sorted(x for x, y in points if y < SAME_LENGTH)
        bottom = sorted(x for x, y in points if y > self.height - SAME_LENGTH)
        self.left = (top[0], bottom[0])
        self.right = (top[-1], bottom[-1])

    def next_to(self, other: _Cut) -> float:
        """From this shape's left to that of the next one, so that they just touch."""
        return max(r - left for r, left in zip(self.right, other.left, strict=True))


def _run(
    group: Sequence[CutShape],
    sequence: Sequence[_Cut],
    starts: Sequence[float],
    ends: Sequence[float],
    upright: bool,
) -> Run:
    members, lines = [], []
    for k, shape in enumerate(group):
        x, y = starts[k] + sequence[k].middle[0], sequence[k].middle[1]
        members.append(Member(shape.piece, *((x, y) if upright else (y, x)), shape.lie))
        (a, b), h = sequence[k].right, sequence[k].height
        p: Point = (starts[k] + a, 0.0)
        q: Point = (starts[k] + b, h)
        lines.append((*p, *q) if upright else (p[1], p[0], q[1], q[0]))
    w, h = ends[len(group) - 1], sequence[0].height
    return Run(*((w, h) if upright else (h, w)), tuple(members), tuple(lines), upright)


def slant_note(run: Run) -> str:
    """How many patches a run gives, and at which angles to the strip they are cut.

    >>> slant_note(Run(10.1, 3.5, (), ((1.0, 0.0, 3.0, 3.4641016),)))
    '0 patches, cut at 60 degrees'
    """
    steps = [(abs(x1 - x0), abs(y1 - y0)) for x0, y0, x1, y1 in run.lines]
    slants = [math.atan2(y, x) if run.upright else math.atan2(x, y) for x, y in steps]
    found = {round(math.degrees(a), 1) for a in slants}
    angles = " and ".join(f"{a:g}" for a in sorted(found))
    return f"{len(run.members)} patches, cut at {angles} degrees"
