"""Lower bounds that carry their own proof: how much cloth ANY way of cutting needs.

A *scale* gives every piece width a whole-number weight; its capacity is the largest total weight
of pieces that fit side by side across the cloth, found exactly by a knapsack recursion. With
such a scale for widths and another for heights, a plan on a cloth of ``width x length`` can only
exist if the sum of (width weight x height weight) does not exceed the product of the capacities
(Fekete and Schepers 2004, "conservative scales"). The weights come from linear programmes, but
the proof does not trust them: any whole numbers give a valid bound.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from quiltgeom.cutting.items import Demand

__all__ = ["Certificate", "area_bound", "capacity", "prove_impossible", "width_bound"]

Weights = tuple[tuple[int, int], ...]
"""Sorted ``(size, weight)`` pairs."""

_SCALE = 720720
"""Weights are rounded down to multiples of 1/720720 (divisible by 1 to 16: the usual fractions
stay exact)."""

_ROUNDS = 40


@dataclass(frozen=True, slots=True)
class Certificate:
    """A proof that a list of pieces does not fit: check it with :meth:`holds`.

    Attributes:
        cloths: ``(width, length)`` of every piece of cloth, eighths.
        across: weights of sizes measured across the cloth.
        along: weights of sizes measured along the cloth.
    """

    cloths: tuple[tuple[int, int], ...]
    across: Weights
    along: Weights

    def load(self, demand: Demand) -> int:
        """Weighted area of the pieces, each lying the way that costs least."""
        f, g = dict(self.across), dict(self.along)
        total = 0
        for item in demand.items:
            ways = [f[item.width] * g[item.height]]
            if item.may_turn:
                ways.append(f[item.height] * g[item.width])
            total += item.count * min(ways)
        return total

    def room(self, demand: Demand) -> int:
        """Most weighted area that the cloth can hold."""
        across, along = _copies(demand, 0), _copies(demand, 1)
        return sum(
            capacity(self.across, w, across) * capacity(self.along, h, along)
            for w, h in self.cloths
        )

    def holds(self, demand: Demand) -> bool:
        """Whether this proves that ``demand`` cannot be cut from the cloths."""
        return self.load(demand) > self.room(demand)

    def sentence(self, demand: Demand) -> str:
        """The proof in words, as a share of the room."""
        load, room = self.load(demand), self.room(demand)
        plain = all(s == w for s, w in (*self.across, *self.along))
        kind = "area" if plain else "weighted area (conservative scales)"
        if not room:
            return "a piece is larger than the cloth"
        return f"the pieces need {100 * load / room:.1f} % of the cloth's {kind}"


def _copies(demand: Demand, axis: int) -> dict[int, int]:
    """How many pieces can show each size in this direction (a cut line meets a piece once)."""
    out: dict[int, int] = {}
    for _, w, h, _ in (pose for pose in demand.poses):
        out.setdefault((w, h)[axis], 0)
    for k, w, h, _ in demand.poses:
        out[(w, h)[axis]] += demand.items[k].count
    return out


def capacity(weights: Iterable[tuple[int, int]], room: int, copies: dict[int, int]) -> int:
    """Largest total weight of sizes that fit into ``room`` (exact, whole numbers).

    >>> capacity([(3, 5), (4, 7)], 10, {3: 9, 4: 1})
    17
    """
    best = np.zeros(room + 1, dtype=np.int64)
    for size, weight in weights:
        left = min(copies.get(size, 0), room // size) if weight > 0 else 0
        bundle = 1
        while left > 0:  # binary splitting of the copies
            bundle = min(bundle, left)
            left -= bundle
            span = size * bundle
            np.maximum(best[span:], best[: room + 1 - span] + weight * bundle, out=best[span:])
            bundle *= 2
    return int(best[room])


def area_bound(demand: Demand, width: int) -> int:
    """Shortest length by area alone, eighths."""
    return -(-demand.area // width)


def identity(demand: Demand) -> Weights:
    """Every size weighs itself."""
    sizes = sorted({s for _, w, h, _ in demand.poses for s in (w, h)})
    return tuple((s, s) for s in sizes)


def width_bound(demand: Demand, width: int) -> tuple[int, Weights]:
    """Shortest length that the widths allow, with the scale that proves it.

    Every thread across the cloth is filled like a one-dimensional cutting problem; the best
    scale is its dual linear programme.

    Returns:
        Length in eighths and the weights across; the length is
        ``ceil(weighted area / capacity)``.
    """
    along = identity(demand)
    best, proof = area_bound(demand, width), along
    weights = best_scale(demand, dict(along), width, axis=0)
    certificate = Certificate(((width, 1),), weights, along)
    room = capacity(weights, width, _copies(demand, 0))
    if room and -(-certificate.load(demand) // room) > best:
        best, proof = -(-certificate.load(demand) // room), weights
    shortest = max((min(w, h) if i.may_turn else h) for i in demand.items
                   for w, h in [(i.width, i.height)])  # fmt: skip
    return max(best, shortest), proof


def best_scale(demand: Demand, other: dict[int, int], room: int, axis: int) -> Weights:
    """The scale of one direction that makes the load largest, the other direction given.

    A linear programme over the weights, one constraint per way of filling ``room``, added until
    no filling weighs more than 1.
    """
    copies = _copies(demand, axis)
    sizes = sorted(s for s in copies if s <= room)
    others = {s: 0 for s in identity_sizes(demand)}
    if not sizes:
        return tuple((s, 0) for s in others)
    gain, bound_rows = _gain_rows(demand, other, sizes, axis)
    fillings = [_single(s, sizes, room, copies) for s in sizes]
    values = np.zeros(len(sizes))
    for _ in range(_ROUNDS):
        values = _solve_scale(gain, bound_rows, np.array(fillings), len(sizes))
        filling, weight = _heaviest(values, sizes, room, copies)
        if weight <= 1 + 1e-7 or filling in fillings:
            break
        fillings.append(filling)
    found = {s: int(v * _SCALE + 1e-4) for s, v in zip(sizes, values, strict=True)}
    return tuple((s, found.get(s, 0)) for s in others)


def identity_sizes(demand: Demand) -> list[int]:
    """All sizes of the pieces, both directions, in order."""
    return [s for s, _ in identity(demand)]


def _gain_rows(
    demand: Demand, other: dict[int, int], sizes: Sequence[int], axis: int
) -> tuple[np.ndarray, list[np.ndarray]]:
    """Objective (count of each item) and rows ``load of item <= weight x other weight``."""
    n, m = len(sizes), len(demand.items)
    top = max([*other.values(), 1])
    rows = []
    for k, item in enumerate(demand.items):
        ways = [(item.width, item.height)]
        if item.may_turn and item.width != item.height:
            ways.append((item.height, item.width))
        for way in ways:
            if way[axis] not in sizes:
                continue
            row = np.zeros(n + m)
            row[n + k] = 1.0
            row[sizes.index(way[axis])] = -other[way[1 - axis]] / top
            rows.append(row)
    return np.array([float(i.count) for i in demand.items]), rows


def _single(size: int, sizes: Sequence[int], room: int, copies: dict[int, int]) -> tuple[int, ...]:
    return tuple(min(room // s, copies[s]) if s == size else 0 for s in sizes)


def _solve_scale(
    gain: np.ndarray, rows: list[np.ndarray], fillings: np.ndarray, n: int
) -> np.ndarray:
    from scipy.optimize import linprog

    m = len(gain)
    upper = np.zeros((len(fillings), n + m))
    upper[:, :n] = fillings
    a = np.vstack([upper, *rows])
    b = np.concatenate([np.ones(len(fillings)), np.zeros(len(rows))])
    cost = np.concatenate([np.zeros(n), -gain / max(gain.max(), 1.0)])
    limits = [(0.0, 1.0)] * n + [(0.0, 1.0)] * m
    result = linprog(cost, A_ub=a, b_ub=b, bounds=limits, method="highs-ds")
    return np.asarray(result.x[:n] if result.x is not None else np.zeros(n))


def _heaviest(
    values: np.ndarray, sizes: Sequence[int], room: int, copies: dict[int, int]
) -> tuple[tuple[int, ...], float]:
    """The filling of ``room`` with the largest value (bounded knapsack with traceback)."""
    best = np.zeros(room + 1)
    steps: list[tuple[int, int, int, np.ndarray]] = []
    for k, size in enumerate(sizes):
        left = min(copies[size], room // size) if values[k] > 1e-12 else 0
        bundle = 1
        while left > 0:
            bundle = min(bundle, left)
            left -= bundle
            span = size * bundle
            lifted = best.copy()
            lifted[span:] = np.maximum(best[span:], best[: room + 1 - span] + values[k] * bundle)
            steps.append((k, bundle, span, lifted > best + 1e-12))
            best = lifted
            bundle *= 2
    counts, at = [0] * len(sizes), room
    for k, bundle, span, taken in reversed(steps):
        if taken[at]:
            counts[k] += bundle
            at -= span
    return tuple(counts), float(best[room])


def _thresholds(demand: Demand, length: int) -> list[dict[int, int]]:
    """Simple scales along the cloth to start from (step functions and rounding functions)."""
    sizes = identity_sizes(demand)
    out: list[dict[int, int]] = [{s: s for s in sizes}]
    cuts = sorted({s for s in sizes if 2 * s <= length})
    for cut in cuts[-6:]:  # large pieces whole, small ones nothing, the middle as it is
        out.append({s: length if s > length - cut else (0 if s < cut else s) for s in sizes})
    for k in (2, 3, 4):
        out.append({s: (k + 1) * s // length if ((k + 1) * s) % length else
                    0 for s in sizes})  # fmt: skip
    return [g for g in out if any(g.values())]


def prove_impossible(
    demand: Demand, cloths: Sequence[tuple[int, int]], *, rounds: int = 3
) -> Certificate | None:
    """Look for a proof that ``demand`` cannot be cut from these pieces of cloth.

    Alternates between the two directions: each linear programme gives the best scale of one for
    the scale of the other. None means: no proof found, which proves nothing.

    >>> d = Demand.of([(11, 11, 4)])
    >>> prove_impossible(d, [(21, 43)]) is not None, prove_impossible(d, [(22, 22)]) is None
    (True, True)
    """
    cloths = tuple((int(w), int(h)) for w, h in cloths)
    plain = identity(demand)
    first = Certificate(cloths, plain, plain)
    if first.holds(demand):
        return first
    width = max(w for w, _ in cloths)
    length = max(h for _, h in cloths)
    for start in _thresholds(demand, length):
        along = tuple(sorted(start.items()))
        for _ in range(rounds):
            across = best_scale(demand, dict(along), width, axis=0)
            certificate = Certificate(cloths, across, along)
            if certificate.holds(demand):
                return certificate
            along = best_scale(demand, dict(across), length, axis=1)
            certificate = Certificate(cloths, across, along)
            if certificate.holds(demand):
                return certificate
    return None
