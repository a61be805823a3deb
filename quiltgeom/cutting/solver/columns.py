"""Column generation: which strips are worth cutting, priced by linear-programming duals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from quiltgeom.cutting.solver.budget import Budget, Stopped, linear_programme
from quiltgeom.cutting.solver.easy_strips import EasyFiller
from quiltgeom.cutting.solver.fill import PRICE_UNIT, Filler
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.strips import Stack, Strip, keep
from quiltgeom.tolerance import EQUAL_SCORE

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult


Fillers = Filler | EasyFiller

_IDLE = 3
"""Rounds without a better strip after which no more are made."""


class Pool:
    """Different strips for one list of pieces, none holding more than is wanted.

    Of strips with the same content the lowest is kept.
    """

    def __init__(self, demand: Demand, width: int) -> None:
        self.demand, self.width = demand, width
        self.need = np.array(demand.counts)
        self.strips: list[Strip] = []
        self._uses: list[np.ndarray] = []
        self._place: dict[bytes, int] = {}
        self._known: dict[Stack, tuple[np.ndarray, int]] = {}

    def content(self, strip: Strip) -> tuple[np.ndarray, int]:
        """Pieces of each item in a strip, and the height that they take."""
        use, height = np.zeros(len(self.need), dtype=np.int64), 0
        for stack, n in Counter(strip.stacks).items():
            if stack not in self._known:
                alone = Strip(strip.height, (stack,))
                self._known[stack] = alone.use(self.demand), stack.height(self.demand)
            part, high = self._known[stack]
            use += n * part
            height = max(height, high)
        return use, height

    def add(self, strip: Strip) -> None:
        """Keep a strip, closed up."""
        use, height = self.content(strip)
        place = self._place.setdefault(use.tobytes(), len(self.strips))
        if place == len(self.strips):
            self.strips.append(Strip(height, strip.stacks))
            self._uses.append(use)
        elif height < self.strips[place].height:
            self.strips[place] = Strip(height, strip.stacks)

    def add_wanted(self, strip: Strip) -> None:
        """Keep a strip without the pieces that are more than is wanted."""
        kept = keep(strip, self.demand, self.need.copy())
        if kept is not None:
            self.add(kept)

    def wants(self, use: np.ndarray, height: int) -> bool:
        """Whether a strip with this content (one number an item) is new, or lower than before."""
        place = self._place.get(use.astype(np.int64).tobytes())
        return bool(use.any()) and (place is None or height < self.strips[place].height)

    def extend(self, strips: Iterable[Strip]) -> None:
        """Keep several strips."""
        for strip in strips:
            self.add(strip)

    @property
    def heights(self) -> np.ndarray:
        """Height of every strip, eighths."""
        return np.array([s.height for s in self.strips])

    @property
    def uses(self) -> np.ndarray:
        """Pieces of each item in every strip, shape ``(strips, items)``."""
        return np.array(self._uses)

    def whole(self, share: float, budget: Budget) -> list[int]:
        """Strips as often as the linear programme over the pool takes them, times a share, rounded
        down."""
        result = self._programme(budget)
        times = np.floor(np.asarray(result.x) * share + EQUAL_SCORE).astype(int)
        return np.repeat(np.arange(len(times)), times).tolist()

    def _programme(self, budget: Budget) -> OptimizeResult:
        uses, need = -self.uses.T.astype(float), -self.need.astype(float)
        return linear_programme(budget, self.heights.astype(float), uses, need, method="highs")

    def prices(self, budget: Budget | None = None) -> np.ndarray:
        """What a piece of each item costs: duals of the linear programme over the pool.

        Rounded down to whole multiples of 1/``PRICE_UNIT`` eighth and made feasible: no strip of
        the pool holds pieces worth more than its height.
        """
        heights, uses = self.heights, self.uses
        result = self._programme(budget or Budget())
        duals = np.maximum(-np.asarray(result.ineqlin.marginals), 0.0)
        prices = np.floor(duals * PRICE_UNIT).astype(np.int64)
        excess = (uses @ prices - heights * PRICE_UNIT).max()
        return np.asarray(prices if excess <= 0 else np.maximum(prices - excess, 0))


def generate(
    pool: Pool, filler: Fillers, seed: int, *, rounds: int = 16, budget: Budget | None = None
) -> np.ndarray:
    """Add strips until none lowers the linear programme any more, or the rounds are used up.

    Duals of a small pool are extreme, so half of the price sets lie between them and plain area.
    Half of the budget's time goes into it at most.

    Returns:
        The prices of the items, whole multiples of 1/``PRICE_UNIT`` eighth.
    """
    budget, noise = budget or Budget(), np.random.default_rng(seed)
    half, idle, n = budget.part(0, 2), 0, filler.sets
    prices = pool.prices(budget)
    area = np.array([i.width * i.height for i in pool.demand.items]) * (PRICE_UNIT / pool.width)
    for _ in range(rounds):
        before = len(pool.strips)
        share = noise.uniform(0.0, 1.0, (n, 1))
        share[: (n + 1) // 2] = 0.0
        sets = (1 - share) * prices + share * area
        sets[1:] *= noise.uniform(0.85, 1.15, (n - 1, len(prices)))
        last = sets[max(1, n - 2) :]
        last[noise.random(last.shape) < 0.3] = 0.0
        try:
            _add(pool, filler, sets, half, within=0.06)
        except Stopped:
            return pool.prices(budget)
        new = slice(before, None)
        gain = pool.uses[new] @ prices - pool.heights[new] * PRICE_UNIT
        prices = pool.prices(budget)
        idle = 0 if (gain > len(prices)).any() else idle + 1
        if idle == _IDLE:
            break
    return prices


def widen(pool: Pool, filler: Fillers, prices: np.ndarray, seed: int, budget: Budget) -> None:
    """More strips, from prices shaken harder and with some pieces left out."""
    noise = np.random.default_rng(seed)
    shaken = noise.uniform(0.7, 1.3, (filler.sets, len(prices)))
    shaken[noise.random(shaken.shape) < 0.3] = 0.0
    _add(pool, filler, prices * shaken, budget, within=0.15)


def refill(
    pool: Pool, filler: Fillers, prices: np.ndarray, plan: list[int], seed: int, budget: Budget
) -> None:
    """Strips for the pieces of a few strips of a plan, as if nothing else were wanted."""
    noise = np.random.default_rng(seed)
    uses = pool.uses[plan]
    shaken = noise.uniform(0.8, 1.25, (filler.sets, len(prices)))
    left = []
    for k in range(filler.sets):
        some = noise.permutation(len(plan))[: int(noise.integers(2, 5))]
        left.append(np.minimum(uses[some].sum(axis=0), pool.need))
        shaken[k, left[k] == 0] = 0.0
    _add(pool, filler, prices * shaken, budget, within=0.12, most=left)


def _add(
    pool: Pool,
    filler: Fillers,
    prices: np.ndarray,
    budget: Budget,
    *,
    within: float,
    most: list[np.ndarray] | None = None,
) -> None:
    """The strips of each price set that are nearly as valuable for their height as its best."""
    demand = pool.demand
    area = np.array([i.width * i.height / pool.width for i in demand.items])
    floor = np.where(prices > 0, np.maximum(area * (PRICE_UNIT / 10**5), 1.0), 0.0)
    whole = np.maximum(prices, floor).astype(np.int32)
    limit = np.broadcast_to(pool.need, whole.shape) if most is None else np.array(most)
    values, uses = filler.fill(whole, limit, budget)
    ratio = values / (filler.heights * PRICE_UNIT)
    for v, row in enumerate(ratio):
        for h in np.flatnonzero(row >= row.max() - within).tolist():
            budget.spend(len(demand.items))
            if pool.wants(uses[v, h], int(filler.heights[h])):
                pool.add_wanted(filler.strip(v, h))
