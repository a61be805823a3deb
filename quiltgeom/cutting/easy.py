"""Strips that are easy to cut: one size to a stack, no strip wider than its tallest piece.

Three stages: strips across the cloth, stacks off the strip, pieces off the stack; what is beside or
below them is trimmed.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from quiltgeom.cutting.budget import Budget
from quiltgeom.cutting.items import Demand
from quiltgeom.cutting.strips import Stack, Strip

__all__ = ["EasyFiller", "easy_demand"]

_REACH = 24 * 8
_SETS = 8
"""Sets of prices filled at once."""

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
    """The most valuable filling of strips, as :class:`~quiltgeom.cutting.fill.Filler`, with stacks
    of one size: a bounded knapsack over the width for every height at once.

    Args:
        demand: the pieces.
        width: usable width of the cloth, steps of the ruler.
    """

    def __init__(self, demand: Demand, width: int) -> None:
        self.width = width
        self.poses = [(p, *pose) for p, pose in enumerate(demand.poses) if pose[1] <= width]
        self.heights = np.array(sorted({h for _, _, _, h, _ in self.poses}))
        self.items = len(demand.items)
        # how many of each pose lie one below the other in a strip of each height
        self.deep = np.array([[int(high) // h for high in self.heights]
                              for _, _, _, h, _ in self.poses])  # fmt: skip
        self._chunks: list[tuple[int, int]] = []  # pose, number of stacks taken together
        for k, (_, item, w, _, _) in enumerate(self.poses):
            most, size = min(width // w, demand.items[item].count), 1
            while most > 0:
                self._chunks.append((k, min(size, most)))
                most, size = most - size, 2 * size
        one = (len(self._chunks) + 24) * len(self.heights) * (width + 1)
        self.sets = min(_SETS, _MEMORY // one)

    def fill(
        self, prices: np.ndarray, most: np.ndarray, budget: Budget | None = None
    ) -> tuple[np.ndarray, np.ndarray]:
        """Values of shape ``(sets, heights)`` and contents of shape ``(sets, heights, items)`` of
        the best strip for each set of prices, shape ``(sets, items)``, holding no more than
        ``most`` of each item as far as one pose of it goes."""
        sets, room, budget = len(prices), self.width + 1, budget or Budget()
        best = np.zeros((sets, len(self.heights), room), dtype=np.int64)
        self._taken = np.zeros((len(self._chunks), *best.shape), dtype=bool)
        before = np.zeros(len(self.poses), dtype=np.int64)
        self._counts = []
        for c, (k, n) in enumerate(self._chunks):
            budget.spend(best.size)
            _, item, w, _, _ = self.poses[k]
            had = np.minimum(before[k] * self.deep[k], most[:, item, None])
            has = np.minimum((before[k] + n) * self.deep[k], most[:, item, None])
            self._counts.append(has - had)
            before[k] += n
            if n * w >= room:
                continue
            gain = (has - had) * prices[:, item, None]
            other = best[:, :, : room - n * w] + gain[:, :, None]
            better = (other > best[:, :, n * w :]) & (gain > 0)[:, :, None]
            self._taken[c, :, :, n * w :] = better
            best[:, :, n * w :] = np.where(better, other, best[:, :, n * w :])
        uses = np.zeros((sets, len(self.heights), self.items), dtype=np.int64)
        for v in range(sets):
            for h in range(len(self.heights)):
                for c in self._path(v, h):
                    uses[v, h, self.poses[self._chunks[c][0]][1]] += self._counts[c][v, h]
        return best[:, :, -1], np.minimum(uses, most[:, None, :])

    def _path(self, v: int, h: int) -> list[int]:
        """The chunks of the best strip."""
        x, out = self.width, []
        for c in range(len(self._chunks) - 1, -1, -1):
            if self._taken[c, v, h, x]:
                out.append(c)
                x -= self._chunks[c][1] * self.poses[self._chunks[c][0]][2]
        return out

    def strip(self, v: int, h: int) -> Strip:
        """The best strip of ``self.heights[h]`` for price set ``v`` of the last filling."""
        stacks: list[Stack] = []
        for c in self._path(v, h):
            k, n = self._chunks[c]
            pose, _, w, _, _ = self.poses[k]
            held = int(self._counts[c][v, h])
            deep = int(self.deep[k, h])
            for done in range(0, min(held, n * deep), deep):
                stacks.append(Stack(w, ((pose,),) * min(deep, held - done)))
        return Strip(int(self.heights[h]), tuple(stacks))
