"""The most valuable filling of strips of every height, for several sets of prices at once.

Three nested knapsacks (Gilmore and Gomory 1965, by stages): pieces side by side make rows, rows
one below the other make stacks, stacks side by side fill the strip. Whole numbers throughout, so
that every machine finds the same strips.
"""

from collections.abc import Sequence

import numpy as np

from quiltgeom.cutting.solver.budget import Budget
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.knapsack import NEVER, Limits, Packing, knapsack, taken_sizes
from quiltgeom.cutting.solver.strips import Row, Stack, Strip

PRICE_UNIT = 1 << 14
"""Prices are whole multiples of 1/16384 of an eighth of an inch of strip height."""

_MOST_STACKS = 40
"""Stacks are as wide as one piece or as two side by side, at most so many widths."""

_MOST_HEIGHTS = 60
"""Heights always tried, and as many again that the prices recommend."""

_PAIRS = 130
"""Strips as high as two pieces one below the other are always tried up to 16 1/4 inches."""

_MOST_LEFT_OVER = 12
"""Stacks as wide as what long standing pieces leave of the cloth, at most so many widths."""

_SETS = 8
"""Sets of prices filled at once: the duals, and shaken copies for variety."""

_MEMORY, _WORK = 5 * 10**8, 4 * 10**8
"""Bytes that the tables of one filling may take, and numbers that it may compute: larger lists
have fewer sets of prices filled at once, or none."""

_WIDEST = 2048
"""Eighths: cloth is sold up to 3 yards wide, and borders along it are as long."""

_HIGHEST = (1 << 31) // PRICE_UNIT - 1
"""Eighths: the price of a higher strip would not fit into the tables."""


class Filler:
    """Strips for a list of pieces on a cloth.

    Args:
        demand: the pieces.
        width: usable width of the cloth, eighths.
        tallest: no strip is higher than this unless a piece is.
    """

    def __init__(self, demand: Demand, width: int, tallest: int) -> None:
        self.width = width
        self.packing = Packing(demand.counts)
        self.poses = [(p, *pose) for p, pose in enumerate(demand.poses) if pose[1] <= width]
        single = sorted({q[3] for q in self.poses})
        pairs = {a + b for a in single for b in single if a + b <= _PAIRS}
        self._base = sorted({*single, *_thinned(pairs, _MOST_HEIGHTS - len(single))})
        self.top = max(self._base[-1], tallest)
        self.row_heights = np.array(single)
        self.piece_widths = np.array(sorted({q[2] for q in self.poses}))
        widths = set(self.piece_widths.tolist())
        left_over = _left_beside_long(self.poses, demand, width, min(widths)) - widths
        widths |= set(_thinned(left_over, _MOST_LEFT_OVER))
        doubles = {a + b for a in widths for b in widths if a + b <= width} - widths
        widths |= set(_thinned(doubles, _MOST_STACKS - len(widths)))
        self.stack_widths = np.array(sorted(widths))
        self._item = np.array([q[1] for q in self.poses])
        self._allowed = self._kinds_of_stack(demand)
        self._kinds = len(self._allowed)
        self.heights = np.array(self._base)
        self._long = [h for h in single if h > _PAIRS]
        self.sets = self._sets()
        if self.sets == 1:
            self._allowed, self._kinds = self._allowed[:1], 1

    def _sets(self) -> int:
        """How many sets of prices can be filled at once; 0: the tables would be too large."""
        if self.top > _HIGHEST or self.width > _WIDEST:
            return 0
        rows, high = len(self.row_heights), len(self._base) + _MOST_HEIGHTS
        parts = (  # room, columns, sizes of each knapsack
            (int(self.stack_widths[-1]), self._kinds * rows, len(self.piece_widths)),
            (self.top, self._kinds * len(self.stack_widths), rows),
            (self.width, high, self._kinds * len(self.stack_widths)),
        )
        words = self.packing.words
        memory = sum((room + 4 * n) * columns * (6 + 8 * words) for room, columns, n in parts)
        work = sum(room * columns * n * (2 + words) for room, columns, n in parts)
        return min(_SETS, _MEMORY // memory, max(1, _WORK // work) if work < _WORK * 20 else 0)

    def _kinds_of_stack(self, demand: Demand) -> list[list[int]]:
        """Which poses each kind of stack may hold; of every kind the best is kept.

        A stack that holds the last of a piece can stand once only, so others go without such
        pieces; beside long pieces that stand, stacks of short ones go.
        """
        scarce = [i.count * min(i.width, i.height) < self.width for i in demand.items]
        every = list(range(len(self.poses)))
        plenty = [k for k in every if not scarce[self.poses[k][1]]]
        short = [k for k in every if self.poses[k][3] <= _PAIRS]
        return [every, *(some for some in (plenty, short) if some and len(some) < len(every))]

    def fill(
        self, prices: np.ndarray, most: np.ndarray, budget: Budget | None = None
    ) -> tuple[np.ndarray, np.ndarray]:
        """The best strip for each set of prices and each of ``self.heights``.

        Args:
            prices: whole numbers, shape ``(sets, items)``, in units of ``PRICE_UNIT``.
            most: how many of each item a strip may hold, of the same shape. (The best filling
                of a part is kept, not all of them, so scarce pieces make the answer less than
                exact; it never counts more than it may.)

        Returns:
            Values of shape ``(sets, heights)`` and contents of shape ``(sets, heights, items)``;
            :meth:`strip` gives the strips themselves.
        """
        sets, budget = len(prices), budget or Budget()
        limits = Limits(self.packing, np.tile(most, (self._kinds, 1)), prices)
        best = [self._best_pieces(prices, some) for some in self._allowed]
        gain, use, self._piece = (np.concatenate(part, axis=1) for part in zip(*best, strict=True))
        room = int(self.stack_widths[-1])
        value, self._row, use = knapsack(self.piece_widths, gain, use, room, limits, budget)
        gain, use = _turned(value[self.stack_widths]), _turned(use[self.stack_widths])
        value, self._rows, use = knapsack(self.row_heights, gain, use, self.top, limits, budget)
        self.heights = self._promising(value[:, :sets])
        gain, use = self._both(value[self.heights], sets), self._both(use[self.heights], sets)
        limits = Limits(self.packing, most, prices, np.isin(self.heights, self._long))
        widths = np.repeat(self.stack_widths, self._kinds)
        value, self._stacks, use = knapsack(widths, gain, use, self.width, limits, budget)
        return value[self.width], self.packing.counts(use[self.width])

    def _both(self, table: np.ndarray, sets: int) -> np.ndarray:
        """Stacks of each width, with scarce pieces and without, next to each other."""
        parts = [_turned(table[:, k * sets : (k + 1) * sets]) for k in range(self._kinds)]
        both = np.stack(parts, axis=1)
        return np.ascontiguousarray(both.reshape(-1, *both.shape[2:]))

    def _best_pieces(
        self, prices: np.ndarray, allowed: Sequence[int]
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """For each piece width, price set and row height the best piece that is not higher."""
        shape = len(self.piece_widths), len(prices), len(self.row_heights)
        value = np.full(shape, NEVER, dtype=np.int32)
        choice = np.zeros(shape, dtype=np.int64)
        for k in allowed:
            _, item, w, h = self.poses[k]
            o = int(np.searchsorted(self.piece_widths, w))
            high = self.row_heights >= h
            better = (prices[:, item] > 0)[:, None] & (prices[:, item][:, None] > value[o]) & high
            value[o] = np.where(better, prices[:, item][:, None], value[o])
            choice[o][better] = k
        return value, self.packing.units[self._item[choice]], choice

    def _promising(self, stacks: np.ndarray) -> np.ndarray:
        """The usual heights, and those whose best stack is worth most for its area."""
        if self.top == self._base[-1]:
            return np.array(self._base)
        worth = (stacks[1:] / self.stack_widths).max(axis=(1, 2)) / np.arange(1, self.top + 1)
        worth[~(stacks[1:] > stacks[:-1]).any(axis=(1, 2))] = 0.0
        worth[np.array(self._base) - 1] = 0.0
        best = np.argsort(-worth, kind="stable")[:_MOST_HEIGHTS]
        return np.array(sorted({*self._base, *(best[worth[best] > 0] + 1).tolist()}))

    def strip(self, v: int, h: int) -> Strip:
        """The best strip of ``self.heights[h]`` for price set ``v`` of the last filling.

        A strip as high as a long piece may hold more of a piece than was counted.
        """
        height, sets = int(self.heights[h]), self._stacks.shape[1]
        choices = taken_sizes(self._stacks[:, v, h], np.repeat(self.stack_widths, self._kinds))
        known: dict[int, Stack] = {}
        for c in choices:
            if c not in known:
                kind, width = c % self._kinds, c // self._kinds
                known[c] = self._stack(v + kind * sets, width, height)
        return Strip(height, tuple(known[c] for c in choices))

    def _stack(self, v: int, c: int, height: int) -> Stack:
        width = int(self.stack_widths[c])
        rows = taken_sizes(self._rows[: height + 1, v, c], self.row_heights)
        return Stack(width, tuple(self._pieces(v, r, width) for r in rows))

    def _pieces(self, v: int, r: int, width: int) -> Row:
        row = taken_sizes(self._row[: width + 1, v, r], self.piece_widths)
        return tuple(self.poses[int(self._piece[o, v, r])][0] for o in row)


def _left_beside_long(
    poses: Sequence[tuple[int, int, int, int]], demand: Demand, width: int, least: int
) -> set[int]:
    """What is left of the cloth's width beside long pieces that stand: a few of one kind, or of
    two kinds."""
    sums: list[set[int]] = []
    for _, item, w, h in poses:
        if h > _PAIRS:
            most = min(demand.items[item].count, width // w)
            sums.append({w * n for n in range(1, most + 1)})
    taken = set().union(*sums)
    if len(taken) > width // 4:  # thin pieces: whatever is left is among these
        return {width - t for t in taken if t + least <= width}
    taken |= {a + b for i, one in enumerate(sums) for two in sums[:i] for a in one for b in two}
    return {width - t for t in taken if t + least <= width}


def _turned(table: np.ndarray) -> np.ndarray:
    """From ``(columns, sets, k, ...)`` to ``(k, sets, columns, ...)``."""
    return np.ascontiguousarray(np.swapaxes(table, 0, 2))


def _thinned(sizes: set[int], most: int) -> list[int]:
    """At most so many of the sizes, evenly spread."""
    ordered = sorted(sizes)
    if len(ordered) <= most:
        return ordered
    return [ordered[i * (len(ordered) - 1) // max(most - 1, 1)] for i in range(max(most, 0))]
