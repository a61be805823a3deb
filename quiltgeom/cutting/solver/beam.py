"""Which strips, in whole numbers: a beam search over partial plans."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quiltgeom.cutting.solver.budget import Budget, Stopped
from quiltgeom.cutting.solver.fill import PRICE_UNIT

_MOST_STRIPS = 1500


@dataclass(frozen=True, slots=True)
class Beam:
    """How to search.

    Attributes:
        width: partial plans that are kept after each strip.
        order: items by number; the next strip must hold the first of them still wanted.
        careful: compare partial plans by waste for what is done rather than by waste alone.
        seed: shakes the comparison; None leaves it as it is.
    """

    width: int
    order: tuple[int, ...]
    careful: bool = False
    seed: int | None = None


def search(
    heights: np.ndarray,
    uses: np.ndarray,
    need: np.ndarray,
    prices: np.ndarray,
    target: int,
    beam: Beam,
    budget: Budget | None = None,
) -> list[int] | None:
    """A sequence of strips of least total height that holds all pieces.

    Partial plans are compared by what they take plus the least that the rest can take: the prices
    never overrate it, so partial plans that cannot reach the target are dropped safely.

    Args:
        heights: of the strips, shape ``(strips,)``.
        uses: pieces in them, shape ``(strips, items)``; the last strips may be partly empty.
        need: pieces wanted, shape ``(items,)``.
        prices: whole multiples of 1/``PRICE_UNIT``; no strip is worth more than its height.
        target: only plans of at most this total height are of interest.
        beam: how to search.
        budget: asked for every strip; where it ends, the best so far is returned.

    Returns:
        Indices of strips, or None if nothing within the target was found.

    Raises:
        Stopped: nothing was found before the budget was used up.
    """
    cost = heights.astype(np.int64) * PRICE_UNIT
    loss = cost - uses @ prices
    least = int(prices @ need)
    chosen = np.flatnonzero(loss <= target * PRICE_UNIT - least)
    chosen = chosen[np.argsort(loss[chosen], kind="stable")][:_MOST_STRIPS]
    run = _Run(cost[chosen], uses[chosen].astype(np.int32), prices, beam, least, budget or Budget())
    found = run.go(need.astype(np.int32), target * PRICE_UNIT)
    return None if found is None else [int(chosen[k]) for k in found]


class _Run:
    def __init__(
        self,
        cost: np.ndarray,
        uses: np.ndarray,
        prices: np.ndarray,
        beam: Beam,
        least: int,
        budget: Budget,
    ) -> None:
        self.cost, self.uses, self.prices = cost, uses, prices
        self.beam, self.least, self.budget = beam, least, budget
        self.order = np.array(beam.order)
        self.holding = [np.flatnonzero(uses[:, k] > 0) for k in range(uses.shape[1])]
        self.noise = None if beam.seed is None else np.random.default_rng(beam.seed)
        self.hash = np.random.default_rng(7).integers(1, 1 << 40, uses.shape[1])
        self.steps: list[tuple[np.ndarray, np.ndarray]] = []

    def go(self, need: np.ndarray, limit: int) -> list[int] | None:
        left, taken = need[None], np.zeros(1, dtype=np.int64)
        best: tuple[int, int] | None = None
        alive = np.zeros(1, dtype=np.int64)  # place of each partial plan in the last step
        while len(left):
            try:
                options = self._options(left, taken, limit)
            except Stopped:
                if best is None:
                    raise
                break
            if options is None:
                break
            parents, strips, left, taken = options
            self.steps.append((alive[parents], strips))
            done = np.flatnonzero(~left.any(axis=1))
            if len(done):
                first = done[taken[done].argmin()]
                best, limit = (len(self.steps) - 1, int(first)), int(taken[first]) - 1
            alive = np.flatnonzero(left.any(axis=1) & (taken <= limit))
            left, taken = left[alive], taken[alive]
        return None if best is None else self._path(*best)

    def _path(self, step: int, place: int) -> list[int]:
        out = []
        for parents, strips in reversed(self.steps[: step + 1]):
            out.append(int(strips[place]))
            place = int(parents[place])
        return out[::-1]

    def _options(
        self, left: np.ndarray, taken: np.ndarray, limit: int
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray] | None:
        """The best continuations: ``(parents, strips, left, taken)``."""
        first = self.order[(left[:, self.order] > 0).argmax(axis=1)]
        parts = []
        for k in np.unique(first):
            where, strips = np.flatnonzero(first == k), self.holding[k]
            self.budget.spend(2 * len(where) * len(strips) * len(self.order))
            rest = np.maximum(left[where][:, None, :] - self.uses[strips][None], 0)
            bound = taken[where][:, None] + self.cost[strips][None] + rest @ self.prices
            a, b = np.nonzero(bound <= limit)
            parts.append((where[a], strips[b], rest[a, b], bound[a, b]))
        parents, strips, rest, bound = (np.concatenate(p) for p in zip(*parts, strict=True))
        if not len(parents):
            return None
        best = np.argsort(self._score(bound, rest), kind="stable")[: 6 * self.beam.width]
        _, once = np.unique(rest[best] @ self.hash, return_index=True)
        best = best[np.sort(once)][: self.beam.width]
        spent = taken[parents[best]] + self.cost[strips[best]]
        return parents[best], strips[best], rest[best], spent

    def _score(self, bound: np.ndarray, rest: np.ndarray) -> np.ndarray:
        loss = (bound - self.least).astype(float)
        if self.beam.careful:
            loss = (loss + 0.01 * self.least) / np.maximum(self.least - rest @ self.prices, 1)
        if self.noise is not None:
            spread = 0.1 if self.beam.careful else 0.3
            loss = loss * self.noise.uniform(1 - spread, 1 + spread, len(loss))
        return loss


def orders(sizes: Sequence[tuple[int, int, int]]) -> list[tuple[int, ...]]:
    """Orders in which items may be finished, from ``(width, height, count)``.

    >>> orders([(2, 3, 5), (4, 1, 9)])[0]
    (0, 1)
    """
    keys = (
        lambda k: -sizes[k][0] * sizes[k][1],
        lambda k: -max(sizes[k][:2]),
        lambda k: -sizes[k][1],
        lambda k: -sizes[k][0] * sizes[k][1] * sizes[k][2],
    )
    return [tuple(sorted(range(len(sizes)), key=key)) for key in keys]
