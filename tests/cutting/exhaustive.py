"""An exhaustive oracle for small cutting plans: every accepted list, every layout.

It shares nothing with the solver. Sizes are whole eighths of an inch; a piece is
``(width, height, may_turn)``, its width across the cloth.

The accepted lists, in words, for usable cloth W across and L along:

* a patch of a block and a cornerstone is one rectangle, two seam allowances larger than it is
  finished, up to the next eighth;
* strips of sashing and borders that lie across are whole or joined: in equal lengths, as few as
  are no longer than W, or in lengths of W and what is left; or in equal lengths no longer than half
  of W (or than the halves of the longest such strip, where that is less). Strips that stand
  likewise with L, and with a ruler's 24 in (both kinds). Every choice for those across goes with
  every one for those that stand. Nothing is joined from lengths under 4 in finished; where the rest
  would be one, all are equal; half lengths are 4 in or more as cut;
* where the print lets a strip turn, all of a fabric lie across or all stand; short strips of
  sashing that are not joined may turn one by one;
* binding in equal strips: as few as are no longer than W or half of W across, L or half of L along
  (such a limit, but for W, is no less than four times its width), or one more than are no longer
  than W or L; none longer than so many need be;
  joined on the diagonal: ``n x length - (n - 1) x width`` is the perimeter and 10 in, or more.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache

from quiltgeom.model.quilt import Piece, Quilt

Part = tuple[int, int, bool]
List = tuple[tuple[Part, int], ...]
"""Pieces and how many of each, sorted."""

Corner = tuple[int, int]

SEAM, LEAST, RULER, BINDING = 0.25, 4.0, 24.0, 2.5


def up(inches: float) -> int:
    """Whole eighths, rounded up."""
    return math.ceil(inches * 8 - 1e-6)


def size_of(piece: Piece) -> tuple[float, float]:
    """Finished width and height with the print upright."""
    x0, y0, x1, y1 = piece.outline.turned(-piece.lie_deg, (0, 0)).bounds
    return x1 - x0, y1 - y0


def is_upright(piece: Piece) -> bool:
    """Whether it is a rectangle along the threads."""
    w, h = size_of(piece)
    return piece.outline.is_straight and abs(w * h - piece.area) < 1e-6


def lists(
    quilt: Quilt, role: str, *, turn: bool, width: float, length: float, bound: bool
) -> set[List]:
    """Every accepted list of a role whose patches are upright rectangles."""
    mine = [p for p in quilt if p.role == role]
    patches = [_cut(*size_of(p), turn) for p in mine if not p.is_strip]
    strips = [(*size_of(p), p.in_border) for p in mine if p.is_strip]
    bindings = list(
        _bindings(2 * (quilt.width + quilt.height) + 10, width, length) if bound else [[]]
    )
    out = set()
    for some, edge in itertools.product(_strip_lists(strips, turn, width, length), bindings):
        out.add(tuple(sorted(Counter([*patches, *some, *edge]).items())))
    return out


def _cut(w: float, h: float, turn: bool) -> Part:
    a, b = up(w + 2 * SEAM), up(h + 2 * SEAM)
    return a, b, turn and a != b


def _strip_lists(
    strips: list[tuple[float, float, bool]], turn: bool, width: float, length: float
) -> Iterator[list[Part]]:
    if turn:
        longest = max((max(w, h) for w, h, _ in strips), default=0.0) + 2 * SEAM
        for stand in (False, True):
            limits = _limits(length, longest, RULER) if stand else _limits(width, longest)
            for limit in limits:
                parts = []
                for w, h, border in strips:
                    cuts = _lengths(max(w, h), *limit)
                    free = not border and len(cuts) == 1
                    for cut in cuts:
                        a, b = (min(w, h), cut) if stand else (cut, min(w, h))
                        parts.append(_cut(a, b, free))
                yield parts
        return
    across = max((w for w, h, _ in strips if w >= h), default=0.0) + 2 * SEAM
    along = max((h for w, h, _ in strips if h > w), default=0.0) + 2 * SEAM
    for a, b in itertools.product(_limits(width, across), _limits(length, along, RULER)):
        parts = []
        for w, h, _ in strips:
            if h > w:
                parts += [_cut(w, cut, False) for cut in _lengths(h, *b)]
            else:
                parts += [_cut(cut, h, False) for cut in _lengths(w, *a)]
        yield parts


def _limits(room: float, longest: float, ruler: float = 0.0) -> list[tuple[float, bool]]:
    """Longest part as cut, and whether all parts are equal."""
    out = [(room, True), (room, False)]
    if 0 < ruler < room:
        out += [(ruler, True), (ruler, False)]
    half = min(room / 2, (longest - 2 * SEAM) / 2 + 2 * SEAM)
    if half >= LEAST:
        out.append((half, True))
    return out


def _lengths(long: float, limit: float, even: bool) -> list[float]:
    """Finished lengths of the parts of a strip, all but the last cut on a mark of the ruler."""
    most = math.floor(limit * 8 + 1e-6) / 8 - 2 * SEAM
    if long <= most + 1e-6 or most < LEAST:
        return [long]
    count = math.ceil(long / most - 1e-6)
    if even or long - (count - 1) * most < LEAST:
        most = min(most, math.ceil((long / count + 2 * SEAM) * 8 - 1e-6) / 8 - 2 * SEAM)
    return [most] * (count - 1) + [long - (count - 1) * most]


def _bindings(need: float, width: float, length: float) -> Iterator[list[Part]]:
    for room, along in ((width, False), (length, True)):
        for share in (1, 2):
            long = math.floor(room * 8 / share + 1e-6) / 8
            first = share == 1 and not along
            if long <= BINDING or (long < 4 * BINDING and not first):
                continue
            count = max(1, math.ceil((need - BINDING) / (long - BINDING) - 1e-9))
            for n in (count, count + 1)[: 3 - share]:
                size = up((need + (n - 1) * BINDING) / n), up(BINDING)
                yield [(*(size[::-1] if along else size), False)] * n


def can_cut(wanted: List, width: int, length: int) -> bool:
    """Whether edge-to-edge cuts in any number of stages give the list, exactly.

    For every part of the list the smallest boxes that hold it: those of two smaller parts side by
    side or one below the other. A box with more waste than the whole cloth has left is no use.
    """
    kinds = [p for p, _ in wanted]
    counts = tuple(n for _, n in wanted)
    areas = [w * h for w, h, _ in kinds]
    waste = width * length - sum(n * a for n, a in zip(counts, areas, strict=True))
    if waste < 0 or any(not _poses(p, width, length) for p in kinds):
        return False
    total = sum(counts)

    @cache
    def boxes(some: tuple[int, ...]) -> tuple[tuple[int, int], ...]:
        if sum(some) == 1:
            return tuple(_poses(kinds[some.index(1)], width, length))
        most = waste + sum(n * a for n, a in zip(some, areas, strict=True))
        found = set()
        for part in itertools.product(*(range(n + 1) for n in some)):
            rest = tuple(n - k for n, k in zip(some, part, strict=True))
            if part > rest or not any(part):
                continue
            for (a, b), (c, d) in itertools.product(boxes(part), boxes(rest)):
                for w, h in ((a + c, max(b, d)), (max(a, c), b + d)):
                    if w <= width and h <= length and w * h <= most:
                        found.add((w, h))
        return _smallest(found)

    return not total or bool(boxes(counts))


def _poses(part: Part, width: int, length: int) -> list[tuple[int, int]]:
    w, h, turn = part
    return [(a, b) for a, b in ((w, h), (h, w))[: 1 + turn] if a <= width and b <= length]


def _smallest(found: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    out: list[tuple[int, int]] = []
    for w, h in sorted(found):
        if not out or h < out[-1][1]:
            out.append((w, h))
    return tuple(out)


def can_pack(wanted: List, width: int, length: int, most: int = 200_000) -> bool | None:
    """Whether the list can lie on the cloth in any way at all; None after so many states.

    Every packing can be built piece by piece so that none lies left of or above an earlier one that
    it does not touch (the order of a sequence pair), each in an inner corner of the staircase round
    the earlier ones; so stairs and what is left are all that need be remembered.
    """
    kinds = [p for p, _ in wanted]
    counts = tuple(n for _, n in wanted)
    waste = width * length - sum(w * h * n for (w, h, _), n in wanted)
    if waste < 0:
        return False
    seen: set[tuple[tuple[Corner, ...], tuple[int, ...]]] = set()
    open_: list[tuple[tuple[Corner, ...], tuple[int, ...], int]] = [((), counts, 0)]
    while open_:
        stairs, left, used = open_.pop()
        if not any(left):
            return True
        if len(seen) > most:
            return None
        for k, n in enumerate(left):
            for w, h in _poses(kinds[k], width, length) if n else ():
                for x, y in _inner(stairs):
                    if x + w > width or y + h > length:
                        continue
                    steps = _with(stairs, x + w, y + h)
                    filled = used + w * h
                    state = steps, (*left[:k], n - 1, *left[k + 1 :])
                    if _under(steps) - filled > waste or state in seen:
                        continue
                    seen.add(state)
                    open_.append((*state, filled))
    return False


def _inner(stairs: tuple[Corner, ...]) -> list[Corner]:
    """Inner corners of a staircase of outer ones from left to right, high to low."""
    xs, ys = [0, *(x for x, _ in stairs)], [*(y for _, y in stairs), 0]
    return list(zip(xs, ys, strict=True))


def _with(stairs: tuple[Corner, ...], x: int, y: int) -> tuple[Corner, ...]:
    kept = [(a, b) for a, b in stairs if a > x or b > y]
    return tuple(sorted([*kept, (x, y)]))


def _under(stairs: tuple[Corner, ...]) -> int:
    area, last = 0, 0
    for x, y in stairs:
        area, last = area + (x - last) * y, x
    return area
