"""A list of pieces cut from several pieces of cloth."""

import math
from collections.abc import Sequence

import numpy as np

from quiltgeom.cutting.solver.budget import Budget, Stopped
from quiltgeom.cutting.solver.items import Demand, Spot
from quiltgeom.tolerance import EQUAL_SCORE

_WORK = 4 * 10**9
"""All tries together may count so much work, a minute or so."""

_TABLE = 2 * 10**7
"""Numbers in the table of one strip: more would take too much memory."""


def cut_from_cloths(
    demand: Demand,
    cloths: Sequence[tuple[int, int]],
    *,
    tries: int = 60,
    budget: Budget | None = None,
) -> list[Spot] | None:
    """Cut a list from several pieces of cloth: strips, subcuts, trims on each of them.

    Strip after strip takes the best filling of all heights (an exact knapsack over the width);
    pieces that are hard to place count more from try to try.

    Args:
        demand: pieces, eighths.
        cloths: ``(width, length)`` of every cloth, eighths.
        tries: number of tries.
        budget: asked for every strip.

    Returns:
        Where every piece lies, with the number of its cloth; None if no way was found, which
        proves nothing.

    >>> spots = cut_from_cloths(Demand.of([(20, 20, 5)]), [(20, 40), (60, 20)])
    >>> sorted((s.cloth, s.x, s.y) for s in spots)
    [(0, 0, 0), (0, 0, 20), (1, 0, 0), (1, 20, 0), (1, 40, 0)]
    """
    budget = (budget or Budget()).part(0, 1, work=_WORK)
    areas = np.array([float(i.width * i.height) for i in demand.items])
    weight = np.ones(len(areas))
    noise = np.random.default_rng(7)
    small = sorted(range(len(cloths)), key=lambda k: (cloths[k][0] * cloths[k][1], k))
    for k in range(tries):
        order = small if k % 2 == 0 else small[::-1]
        value = areas * weight * noise.uniform(0.92, 1.08, len(areas)) if k > 1 else areas * weight
        try:
            spots, left = _fill_all(demand, cloths, order, value, budget)
        except Stopped:
            break
        if not left.any():
            return sorted(spots, key=lambda s: (s.cloth, s.y, s.x))
        weight = np.where(left > 0, weight * 1.15, weight)
    return None


def _fill_all(
    demand: Demand,
    cloths: Sequence[tuple[int, int]],
    order: Sequence[int],
    value: np.ndarray,
    budget: Budget,
) -> tuple[list[Spot], np.ndarray]:
    left = np.array(demand.counts)
    spots: list[Spot] = []
    for c in order:
        width, length = cloths[c]
        y = 0
        while left.any():
            found = _best_strip(demand, width, length - y, left, value, budget)
            if found is None:
                break
            height, stacks = found
            x = 0
            for pose, count in stacks:
                item, w, h = demand.poses[pose]
                spots += [Spot(item, x, y + i * h, w, h, c) for i in range(count)]
                left[item] -= count
                x += w
            y += height
    return spots, left


def _best_strip(
    demand: Demand, width: int, room: int, left: np.ndarray, value: np.ndarray, budget: Budget
) -> tuple[int, list[tuple[int, int]]] | None:
    """Height and stacks ``(pose, pieces)`` of the strip with most value for its height."""
    poses = enumerate(demand.poses)
    usable = [p for p, (k, w, h) in poses if left[k] > 0 and w <= width and h <= room]
    best: tuple[float, int, list[tuple[int, int]]] | None = None
    for height in sorted({demand.poses[p][2] for p in usable}, reverse=True):
        worth, stacks = _fill_strip(demand, width, height, usable, left, value, budget)
        if stacks and (best is None or worth / height > best[0] + EQUAL_SCORE):
            best = (worth / height, height, stacks)
    return (best[1], best[2]) if best else None


def _fill_strip(
    demand: Demand,
    width: int,
    height: int,
    usable: Sequence[int],
    left: np.ndarray,
    value: np.ndarray,
    budget: Budget,
) -> tuple[float, list[tuple[int, int]]]:
    """The best stacks side by side: a knapsack over the width, every stack at most as often as
    there are pieces for it."""
    stacks: list[tuple[int, int]] = []
    for p in usable:
        item, w, h = demand.poses[p]
        deep = height // h
        if deep:
            most = min(width // w, math.ceil(left[item] / deep))
            full = int(left[item]) // deep
            stacks += [(p, deep)] * min(most, full)
            if full < most:
                stacks.append((p, int(left[item]) - full * deep))
    budget.spend(4 * (len(stacks) + 1) * (width + 1))
    if len(stacks) * width > _TABLE:
        return 0.0, []
    table = np.zeros((len(stacks) + 1, width + 1))
    for i, (p, n) in enumerate(stacks):
        w = demand.poses[p][1]
        table[i + 1] = table[i]
        with_it = table[i, : width + 1 - w] + n * value[demand.poses[p][0]]
        table[i + 1, w:] = np.maximum(table[i, w:], with_it)
    chosen, at, used = [], width, np.zeros(len(left), dtype=np.int64)
    for i in range(len(stacks) - 1, -1, -1):
        p, n = stacks[i]
        if table[i + 1, at] > table[i, at]:
            item = demand.poses[p][0]
            n = min(n, int(left[item] - used[item]))  # two poses of an item share its pieces
            at -= demand.poses[p][1]
            if n > 0:
                used[item] += n
                chosen.append((p, n))
    chosen.sort(key=lambda s: (-s[1] * demand.poses[s[0]][2], s[0]))
    return float((used * value).sum()), chosen
