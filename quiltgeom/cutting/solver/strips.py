"""Strips across the cloth, as a person cuts: strip, subcut, stack, row, trim; first-fit strips."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quiltgeom.cutting.solver.items import Demand, Spot

Row = tuple[int, ...]
"""Pieces side by side, as indices of the demand's poses."""


@dataclass(frozen=True, slots=True)
class Stack:
    """Rows one below the other in a strip; a row is mostly one piece.

    ``width`` is the width of the stack, ``rows`` the rows from the top.
    """

    width: int
    rows: tuple[Row, ...]

    @property
    def poses(self) -> tuple[int, ...]:
        """All pieces in it, as indices of the demand's poses."""
        return tuple(p for row in self.rows for p in row)

    def height(self, demand: Demand) -> int:
        """The height that its rows take, eighths."""
        return sum(_row_height(row, demand) for row in self.rows)


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip across the cloth: its height and its stacks from left to right."""

    height: int
    stacks: tuple[Stack, ...]

    def use(self, demand: Demand) -> np.ndarray:
        """How many pieces of each item it holds, as whole numbers of shape ``(items,)``."""
        held = [demand.poses[p][0] for stack in self.stacks for p in stack.poses]
        return np.bincount(np.array(held, dtype=np.int64), minlength=len(demand.items))


def _row_height(row: Row, demand: Demand) -> int:
    return max(demand.poses[p][2] for p in row)


def keep(strip: Strip, demand: Demand, left: np.ndarray) -> Strip | None:
    """The strip without pieces that are no longer wanted, closed up; None if nothing remains.

    ``left`` (pieces still wanted of each item) is lowered by what is kept.
    """
    poses, stacks = demand.poses, []

    def width(row: Row) -> int:
        return sum(poses[p][1] for p in row)

    for stack in strip.stacks:
        rows: list[Row] = []
        for row in stack.rows:
            kept = []
            for p in row:
                if left[poses[p][0]] > 0:
                    left[poses[p][0]] -= 1
                    kept.append(p)
            if kept:
                rows.append(tuple(sorted(kept, key=lambda p: (-poses[p][2], -poses[p][1], p))))
        if rows:
            rows.sort(key=lambda row: (-width(row), -_row_height(row, demand), row))
            stacks.append(Stack(width(rows[0]), tuple(rows)))
    if not stacks:
        return None
    stacks.sort(key=lambda s: (len(s.poses), -_row_height(s.rows[0], demand), -s.width, s.rows))
    return Strip(max(s.height(demand) for s in stacks), tuple(stacks))


def tidy(strips: Sequence[Strip], demand: Demand) -> list[Strip]:
    """Drop pieces beyond the demand, close up heights, tallest strip first."""
    left = np.array(demand.counts)
    kept = [keep(s, demand, left) for s in sorted(strips, key=lambda s: -s.height)]
    left_over = [s for s in kept if s is not None]
    return sorted(left_over, key=lambda s: (-s.height, [k.rows for k in s.stacks]))


def place(strips: Sequence[Strip], demand: Demand) -> list[Spot]:
    """Positions of the pieces of strips laid one below the other."""
    spots, y = [], 0
    for strip in strips:
        x = 0
        for stack in strip.stacks:
            below = y
            for row in stack.rows:
                along = x
                for p in row:
                    item, w, h = demand.poses[p]
                    spots.append(Spot(item, along, below, w, h))
                    along += w
                below += _row_height(row, demand)
            x += stack.width
        y += strip.height
    return spots


def cut_count(strips: Sequence[Strip], demand: Demand, width: int) -> int:
    """Edge-to-edge cuts that these strips take, trims included.

    >>> d = Demand.of([(40, 20, 3)])
    >>> cut_count(first_fit(d, 128), d, 128), cut_count(first_fit(d, 120), d, 120)
    (4, 3)
    """
    total = 0
    for strip in strips:
        total += 1 + _ends([s.width for s in strip.stacks], width)
        for stack in strip.stacks:
            total += _ends([_row_height(r, demand) for r in stack.rows], strip.height)
            for row in stack.rows:
                total += _ends([demand.poses[p][1] for p in row], stack.width)
                total += sum(demand.poses[p][2] < _row_height(row, demand) for p in row)
    return total


def _ends(parts: Sequence[int], room: int) -> int:
    return len(parts) - (sum(parts) == room)


def formula_rows(demand: Demand, width: int) -> list[Strip] | None:
    """Rows by formula: each size for itself, as many to a row as fit, lying the better way.

    None if a piece does not fit across as it must lie.

    >>> d = Demand.of([(76, 76, 63)])
    >>> sum(s.height for s in formula_rows(d, 336)) / 8
    152.0
    """
    out = []
    for k, item in enumerate(demand.items):
        poses = [(p, w, h) for p, (i, w, h) in enumerate(demand.poses) if i == k]
        ways = [(p, width // w, h) for p, w, h in poses if w <= width]
        if not ways:
            return None
        p, across, h = min(ways, key=lambda way: (-(-item.count // way[1]) * way[2], way[0]))
        w = demand.poses[p][1]
        out += [
            Strip(h, (Stack(w, ((p,),)),) * min(across, item.count - done))
            for done in range(0, item.count, across)
        ]
    return out


def first_fit(demand: Demand, width: int) -> list[Strip]:
    """First-fit strips, tallest pieces first; the best of lying, standing and as listed.

    >>> d = Demand.of([(28, 28, 12), (20, 20, 4)])
    >>> [s.height for s in first_fit(d, 320)]
    [28, 28]
    """
    ways = (_first_fit(demand, width, sign) for sign in (1, -1, 0))
    return min((strips for strips in ways if strips), key=total_height, default=[])


def total_height(strips: Sequence[Strip]) -> int:
    """Length of cloth that strips take one below the other, steps."""
    return sum(s.height for s in strips)


def _first_fit(demand: Demand, width: int, sign: int) -> list[Strip] | None:
    """Strips with every piece lying (``sign`` 1), standing (-1) or as listed (0)."""
    chosen: list[tuple[int, int]] = []
    for k, ways in itertools.groupby(range(len(demand.poses)), key=lambda p: demand.poses[p][0]):
        usable = [p for p in ways if demand.poses[p][1] <= width]
        if not usable:
            return None
        lowest = min(usable, key=lambda p: sign * demand.poses[p][2])
        chosen.append((lowest, demand.items[k].count))
    chosen.sort(key=lambda c: (-demand.poses[c[0]][2], -demand.poses[c[0]][1], c[0]))
    rows: list[tuple[int, list[Stack]]] = []
    room: list[int] = []
    for p, count in chosen:  # equal pieces at once: what is full for one is full for the next
        _, w, h = demand.poses[p]
        for i, (_, stacks) in enumerate(rows):
            fit = min(room[i] // w, count)
            stacks += [Stack(w, ((p,),))] * fit
            room[i] -= fit * w
            count -= fit
        for done in range(0, count, width // w):
            fit = min(width // w, count - done)
            rows.append((h, [Stack(w, ((p,),))] * fit))
            room.append(width - fit * w)
    return [Strip(height, tuple(stacks)) for height, stacks in rows]
