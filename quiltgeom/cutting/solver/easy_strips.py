"""Strips that are easy to cut: one size to a stack or two, no strip wider than its tallest piece.

Three stages: strips across the cloth, stacks off the strip, pieces off the stack; what is beside or
below them is trimmed.
"""

from dataclasses import replace

import numpy as np

from quiltgeom.cutting.solver.budget import Budget
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.scales import bundles
from quiltgeom.cutting.solver.strips import Stack, Strip

_REACH = 24 * 8
_SETS = 8
"""Sets of prices filled at once."""

_PAIRS = 40
"""At most so many kinds of stacks hold two sizes."""

_MEMORY = 5 * 10**8
"""Bytes that the tables of one filling may take."""


def easy_demand(demand: Demand, width: int, reach: int = _REACH) -> Demand:
    """The list with pieces longer than a ruler laid across the cloth wherever they may be.

    >>> d = easy_demand(Demand.of([(20, 300, 4)], may_turn=True), 320)
    >>> (d.items[0].width, d.items[0].height, d.items[0].may_turn)
    (300, 20, False)
    """
    items = []
    for i in demand.items:
        low, high = sorted((i.width, i.height))
        if i.may_turn and reach < high <= width:
            i = replace(i, width=high, height=low, may_turn=False)
        items.append(i)
    return Demand(tuple(items))


class EasyFiller:
    """The most valuable filling of strips, as :class:`~quiltgeom.cutting.solver.fill.Filler`, with
    stacks of one size, or of one piece with pieces of another size of the same width below it: a
    bounded knapsack over the width for every height at once.

    Args:
        demand: the pieces.
        width: usable width of the cloth, steps of the ruler.
        loose: strips may be wider than all that they hold, for pieces one below the other.
    """

    def __init__(self, demand: Demand, width: int, loose: bool) -> None:
        self.width, self.loose = width, loose
        poses = [(p, *pose) for p, pose in enumerate(demand.poses) if pose[1] <= width]
        self.heights = np.array(sorted({h for _, _, _, h in poses}))
        both = [(a, b) for a in poses for b in poses if a[2] == b[2] and a[1] != b[1]]
        pairs = [(a, b) for a, b in both if a[3] + b[3] <= self.heights[-1]]
        self.kinds = [(a, a) for a in poses] + pairs[:_PAIRS]
        # how many of each item lie in a stack of each kind in a strip of each height
        self.held = np.zeros((len(self.kinds), len(self.heights), len(demand.items)), dtype=int)
        for t, (a, b) in enumerate(self.kinds):
            below = np.maximum(self.heights - a[3], 0) // b[3]
            self.held[t, :, a[1]] += self.heights >= a[3]
            self.held[t, :, b[1]] += np.where(self.heights >= a[3], below, 0)
        self._chunks: list[tuple[int, int]] = []  # kind, number of stacks taken together
        for t, (a, b) in enumerate(self.kinds):
            most = min(width // a[2], *(demand.items[q[1]].count for q in (a, b)))
            self._chunks += [(t, n) for n in bundles(most)]
        one = (len(self._chunks) + 24) * len(self.heights) * (width + 1)
        self.sets = min(_SETS, _MEMORY // one)

    def fill(
        self, prices: np.ndarray, most: np.ndarray, budget: Budget | None = None
    ) -> tuple[np.ndarray, np.ndarray]:
        """Values of shape ``(sets, heights)`` and contents of shape ``(sets, heights, items)`` of
        the best strip for each set of prices, shape ``(sets, items)``, holding no more than
        ``most`` of each item as far as one kind of stack goes."""
        sets, room, budget = len(prices), self.width + 1, budget or Budget()
        best = np.zeros((sets, len(self.heights), room), dtype=np.int64)
        self._taken = np.zeros((len(self._chunks), *best.shape), dtype=bool)
        before = np.zeros(len(self.kinds), dtype=np.int64)
        self._counts = []
        for c, (t, n) in enumerate(self._chunks):
            budget.spend(best.size)
            had = np.minimum(before[t] * self.held[t], most[:, None, :])
            self._counts.append(np.minimum((before[t] + n) * self.held[t], most[:, None, :]) - had)
            before[t] += n
            wide = n * self.kinds[t][0][2]
            if wide >= room:
                continue
            gain = (self._counts[-1] * prices[:, None, :]).sum(axis=2)
            other = best[:, :, : room - wide] + gain[:, :, None]
            better = (other > best[:, :, wide:]) & (gain > 0)[:, :, None]
            self._taken[c, :, :, wide:] = better
            best[:, :, wide:] = np.where(better, other, best[:, :, wide:])
        uses = np.zeros((sets, len(self.heights), self.held.shape[2]), dtype=np.int64)
        for v in range(sets):
            for h in range(len(self.heights)):
                path = self._path(v, h)
                tall = {self.kinds[self._chunks[c][0]][0][3] for c in path}
                if self.loose or self.heights[h] in tall:  # else it is cut as narrower strips
                    uses[v, h] = sum(self._counts[c][v, h] for c in path)
        values = np.where(uses.any(axis=2), best[:, :, -1], 0)
        return values, np.minimum(uses, most[:, None, :])

    def _path(self, v: int, h: int) -> list[int]:
        """The chunks of the best strip."""
        x, out = self.width, []
        for c in range(len(self._chunks) - 1, -1, -1):
            if self._taken[c, v, h, x]:
                out.append(c)
                x -= self._chunks[c][1] * self.kinds[self._chunks[c][0]][0][2]
        return out

    def strip(self, v: int, h: int) -> Strip:
        """The best strip of ``self.heights[h]`` for price set ``v`` of the last filling."""
        stacks: list[Stack] = []
        for c in self._path(v, h):
            t, n = self._chunks[c]
            a, b = self.kinds[t]
            left = self._counts[c][v, h].copy()
            for _ in range(n):
                rows = []
                for pose, item, _, _ in (a, *[b] * (int(self.held[t, h, b[1]]) - (a is b))):
                    if left[item] > 0:
                        left[item] -= 1
                        rows.append((pose,))
                if rows:
                    stacks.append(Stack(a[2], tuple(rows)))
        return Strip(int(self.heights[h]), tuple(stacks))
