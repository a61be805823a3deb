"""Triangles from squares cut on their diagonals."""

import math
from collections import deque
from collections.abc import Iterable, Sequence
from typing import Generic, Protocol, Self, TypeVar

from quiltgeom.cutting.methods.constants import (
    corner_triangle_square,
    half_square_square,
    quarter_square_square,
    side_triangle_square,
)
from quiltgeom.cutting.methods.cut_shapes import CutShape
from quiltgeom.cutting.methods.unit import CutUnit, Line, Member, Method
from quiltgeom.cutting.options import CutOptions


class Turnable(Protocol):
    """What can be turned on its cloth."""

    def turned(self, degrees: float) -> Self:
        """Turned clockwise."""


T = TypeVar("T")
S = TypeVar("S", bound=Turnable)

Pool = list[tuple[int, CutShape]]
"""Triangles with the corner of their right angle, or the side of their long edge."""


def half_side(leg: float, options: CutOptions, *, setting: bool = False) -> float:
    """Square to cut once for triangles with this finished leg (``setting``: corners on point), up
    to the next mark of the ruler: what is cut, not what would do.

    >>> half_side(3, CutOptions())
    3.875
    """
    rule, seam, up = options.rule, options.seam, options.ruler.ceil
    if setting:
        return up(corner_triangle_square(leg * math.sqrt(2), rule=rule, seam=seam))
    return up(half_square_square(leg, rule=rule, seam=seam))


def quarter_side(long: float, options: CutOptions, *, setting: bool = False) -> float:
    """Square to cut twice for triangles with this long side (``setting``: sides on point), up to
    the next mark of the ruler.

    >>> quarter_side(4, CutOptions()), quarter_side(10 * 2**0.5, CutOptions(), setting=True)
    (5.25, 15.5)
    """
    rule, seam, up = options.rule, options.seam, options.ruler.ceil
    if setting:
        return up(side_triangle_square(long / math.sqrt(2), rule=rule, seam=seam))
    return up(quarter_square_square(long, rule=rule, seam=seam))


class Waiting(Generic[T]):
    """What waits to be given a corner or side of a square, by the corner or side that it has.

    >>> waiting = Waiting([(1, "a"), (0, "b"), (1, "c")])
    >>> waiting.first, waiting.take(3, [0, 2]), waiting.first, waiting.take(2, [0])
    (1, ('a', 2), 0, None)
    """

    def __init__(self, entries: Iterable[tuple[int, T]]) -> None:
        self._ways: list[deque[tuple[int, T]]] = [deque() for _ in range(4)]
        for number, (way, entry) in enumerate(entries):
            self._ways[way].append((number, entry))

    @property
    def first(self) -> int | None:
        """Corner or side of the first that waits; None if nothing does."""
        heads = [(queue[0][0], way) for way, queue in enumerate(self._ways) if queue]
        return min(heads)[1] if heads else None

    def take(self, slot: int, turns: Sequence[int]) -> tuple[T, int] | None:
        """The first for this corner or side that lies so already, else one that may be turned;
        with the quarter turns that it needs."""
        for turn in turns:
            queue = self._ways[(slot - turn) % 4]
            if queue:
                return queue.popleft()[1], turn
        return None


def fill_slots(pool: Waiting[S], slots: Iterable[int], turns: Sequence[int]) -> list[tuple[int, S]]:
    """What comes to these corners or sides of a square, turned to lie there, as far as there is
    any; each with its corner or side."""
    found = [(slot, taken) for slot in slots if (taken := pool.take(slot, turns))]
    return [(slot, one.turned(90.0 * turn) if turn else one) for slot, (one, turn) in found]


def half_spots(side: float, leg: float, seam: float) -> list[tuple[float, float]]:
    """Middles of half-square triangles in a square, by the corner of their right angle."""
    near, far = seam + leg / 2, side - seam - leg / 2
    return [(near, near), (far, near), (far, far), (near, far)]


def diagonals(side: float, corner: int | None = None) -> tuple[Line, ...]:
    """The diagonal that parts a triangle at ``corner`` from the rest of a square, or both."""
    both: tuple[Line, ...] = ((side, 0.0, 0.0, side), (0.0, 0.0, side, side))
    return both if corner is None else (both[corner % 2],)


def halves(
    group: Pool,
    leg: float,
    turns: Sequence[int],
    side: float,
    options: CutOptions,
    *,
    oversize: bool = False,
) -> list[CutUnit]:
    """Squares cut once, two triangles from each as far as their print allows.

    ``oversize``: larger than needed, to be trimmed on a foundation; as much is left on all sides.
    """
    margin = (side - leg) / (2 + math.sqrt(2)) if oversize else options.seam
    method: Method = "foundation triangles" if oversize else "square cut once"
    pool, units, spots = Waiting(group), [], half_spots(side, leg, margin)
    while (first := pool.first) is not None:
        both = fill_slots(pool, (first, (first + 2) % 4), turns)
        members = [Member(shape.piece, *spots[slot], shape.lie) for slot, shape in both]
        lines = diagonals(options.ruler.ceil(side), first)
        units.append(CutUnit.of(method, side, side, members, lines, ruler=options.ruler))
    return units


def quarter_spots(side: float, long: float, seam: float) -> list[tuple[float, float]]:
    """Middles of quarter-square triangles in a square, by the side of their long edge."""
    mid, near = side / 2, seam + long / 4
    return [(mid, near), (side - near, mid), (mid, side - near), (near, mid)]


def quarters(
    group: Pool, long: float, turns: Sequence[int], side: float, options: CutOptions
) -> list[CutUnit]:
    """Squares cut twice, four triangles from each as far as their print allows; one triangle
    alone comes from half a square."""
    pool, units, spots = Waiting(group), [], quarter_spots(side, long, options.seam)
    while pool.first is not None:
        four = fill_slots(pool, range(4), turns)
        if len(four) == 1:
            units.append(_lone_quarter(*four[0], side, long, options))
            continue
        members = [Member(shape.piece, *spots[slot], shape.lie) for slot, shape in four]
        size, lines = (side, side), diagonals(options.ruler.ceil(side))
        units.append(CutUnit.of("square cut twice", *size, members, lines, ruler=options.ruler))
    return units


def _lone_quarter(
    way: int, shape: CutShape, side: float, long: float, options: CutOptions
) -> CutUnit:
    """One triangle of a square cut twice needs only half of it: cut from the middle of one side."""
    ruler, near = options.ruler, options.seam + long / 4
    w, h = ruler.ceil(side), ruler.ceil(side / 2)
    if way % 2 == 0:
        y, base, tip = (near, 0.0, h) if way == 0 else (h - near, h, 0.0)
        spot, size = (side / 2, y), (w, h)
        lines = ((0.0, base, w / 2, tip), (w / 2, tip, w, base))
    else:
        x, base, tip = (near, 0.0, h) if way == 3 else (h - near, h, 0.0)
        spot, size = (x, side / 2), (h, w)
        lines = ((base, 0.0, tip, w / 2), (tip, w / 2, base, w))
    members = [Member(shape.piece, *spot, shape.lie)]
    return CutUnit.of("half of a square cut twice", *size, members, lines, ruler=ruler)
