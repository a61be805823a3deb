"""Scales: a whole-number weight for every size, and the scale that weighs a list heaviest."""

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from quiltgeom.cutting.solver.budget import Budget, linear_programme
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.tolerance import EQUAL_SCORE, LP_SLACK

Weights = tuple[tuple[int, int], ...]
"""Sorted ``(size, weight)`` pairs."""

_SCALE = 720720
"""Weights are rounded down to multiples of 1/720720 (divisible by 1 to 16: the usual fractions
stay exact)."""

_ROUNDS = 40


def copies_of(demand: Demand, axis: int) -> dict[int, int]:
    """How many pieces can show each size in this direction (a cut line meets a piece once)."""
    out: dict[int, int] = {}
    for k, *size in demand.poses:
        out[size[axis]] = out.get(size[axis], 0) + demand.items[k].count
    return out


def capacity(weights: Iterable[tuple[int, int]], room: int, copies: dict[int, int]) -> int:
    """Largest total weight of sizes that fit into ``room`` (exact, whole numbers).

    >>> capacity([(3, 5), (4, 7)], 10, {3: 9, 4: 1})
    17
    """
    best = np.zeros(room + 1, dtype=np.int64)
    for size, weight in weights:
        most = min(copies.get(size, 0), room // size) if weight > 0 else 0
        for bundle in bundles(most):
            span = size * bundle
            np.maximum(best[span:], best[: room + 1 - span] + weight * bundle, out=best[span:])
    return int(best[room])


def bundles(most: int) -> Iterator[int]:
    """Numbers of which some or all add up to every number up to ``most``: binary splitting.

    >>> list(bundles(12))
    [1, 2, 4, 5]
    """
    bundle = 1
    while most > 0:
        yield min(bundle, most)
        most, bundle = most - bundle, 2 * bundle


def identity(demand: Demand) -> Weights:
    """Every size weighs itself."""
    sizes = sorted({s for _, w, h in demand.poses for s in (w, h)})
    return tuple((s, s) for s in sizes)


def best_scale(
    demand: Demand, other: dict[int, int], room: int, axis: int, budget: Budget | None = None
) -> Weights:
    """The scale of one direction that makes the load largest, the other direction given.

    A linear programme over the weights, one constraint per way of filling ``room``, added until
    no filling weighs more than 1.
    """
    budget = budget or Budget()
    copies = copies_of(demand, axis)
    sizes = sorted(s for s in copies if s <= room)
    every = [s for s, _ in identity(demand)]
    if not sizes:
        return tuple((s, 0) for s in every)
    gain, bound_rows = _gain_rows(demand, other, sizes, axis)
    most = {s: min(room // s, copies[s]) for s in sizes}
    fillings = [tuple(most[s] if s == size else 0 for s in sizes) for size in sizes]
    values = np.zeros(len(sizes))
    for _ in range(_ROUNDS):
        values = _solve_scale(gain, bound_rows, np.array(fillings), len(sizes), budget)
        filling, weight = _heaviest(values, sizes, room, copies, budget)
        if weight <= 1 + LP_SLACK or filling in fillings:
            break
        fillings.append(filling)
    found = {s: int(v * _SCALE + 1e-4) for s, v in zip(sizes, values, strict=True)}
    return tuple((s, found.get(s, 0)) for s in every)


def _gain_rows(
    demand: Demand, other: dict[int, int], sizes: Sequence[int], axis: int
) -> tuple[np.ndarray, list[np.ndarray]]:
    """Objective (count of each item) and rows ``load of item <= weight x other weight``."""
    n, m = len(sizes), len(demand.items)
    top = max([*other.values(), 1])
    rows = []
    for k, *way in demand.poses:
        if way[axis] in sizes:
            row = np.zeros(n + m)
            row[n + k] = 1.0
            row[sizes.index(way[axis])] = -other[way[1 - axis]] / top
            rows.append(row)
    return np.array([float(i.count) for i in demand.items]), rows


def _solve_scale(
    gain: np.ndarray, rows: list[np.ndarray], fillings: np.ndarray, n: int, budget: Budget
) -> np.ndarray:
    m = len(gain)
    upper = np.zeros((len(fillings), n + m))
    upper[:, :n] = fillings
    a = np.vstack([upper, *rows])
    b = np.concatenate([np.ones(len(fillings)), np.zeros(len(rows))])
    cost = np.concatenate([np.zeros(n), -gain / max(gain.max(), 1.0)])
    limits = [(0.0, 1.0)] * (n + m)
    result = linear_programme(budget, cost, a, b, bounds=limits, method="highs-ds")
    return np.asarray(result.x[:n] if result.x is not None else np.zeros(n))


def _heaviest(
    values: np.ndarray, sizes: Sequence[int], room: int, copies: dict[int, int], budget: Budget
) -> tuple[tuple[int, ...], float]:
    """The filling of ``room`` with the largest value (bounded knapsack with traceback)."""
    best = np.zeros(room + 1)
    steps: list[tuple[int, int, int, np.ndarray]] = []
    for k, size in enumerate(sizes):
        most = min(copies[size], room // size) if values[k] > EQUAL_SCORE else 0
        for bundle in bundles(most):
            span = size * bundle
            budget.spend(room)
            lifted = best.copy()
            lifted[span:] = np.maximum(best[span:], best[: room + 1 - span] + values[k] * bundle)
            steps.append((k, bundle, span, lifted > best + EQUAL_SCORE))
            best = lifted
    counts, at = [0] * len(sizes), room
    for k, bundle, span, taken in reversed(steps):
        if taken[at]:
            counts[k] += bundle
            at -= span
    return tuple(counts), float(best[room])


def thresholds(demand: Demand, length: int) -> list[dict[int, int]]:
    """Simple scales along the cloth to start from (step functions and rounding functions)."""
    sizes = [s for s, _ in identity(demand)]
    out: list[dict[int, int]] = [{s: s for s in sizes}]
    cuts = sorted({s for s in sizes if 2 * s <= length})
    for cut in cuts[-6:]:  # large pieces whole, small ones nothing, the middle as it is
        out.append({s: length if s > length - cut else (0 if s < cut else s) for s in sizes})
    for k in (2, 3, 4):
        out.append({s: (k + 1) * s // length if ((k + 1) * s) % length else 0 for s in sizes})
    return [g for g in out if any(g.values())]
