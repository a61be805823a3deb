"""What a search may take: counted work, seconds, and somebody who may say stop."""

from __future__ import annotations

import copy
import math
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult


Progress = Callable[[float, str], bool | None]
"""Called with the share that is done, 0 to 1, and what is being done; ``True`` says stop."""


class Stopped(Exception):  # noqa: N818 (no error: caught where the best so far is held)
    """Raised inside a search whose budget is used up; never leaves the library."""


class _Common:
    """What all parts of one budget share."""

    def __init__(self, progress: Progress | None, clock: Callable[[], float]) -> None:
        self.progress, self.clock = progress, clock
        self.spent, self.furthest, self.cancelled = 0, 0.0, False


class Budget:
    """Asked inside every loop of a search.

    Args:
        seconds: from now; None: no limit.
        work: most that may be counted, about one for each number that is computed; None: no
            limit. Equal input is stopped at the same place on every machine.
        progress: is shown how far the search is, often, and may stop it.
        clock: seconds that only grow.

    Attributes:
        stopped: whether the clock or ``progress`` ended this search or a part of it. (Work that
            is used up is the ordinary end of a search.)

    >>> budget = Budget(work=10)
    >>> budget.spend(10)
    >>> budget.over, budget.part(0, 2, work=5).over
    (False, False)
    >>> budget.spend(1)
    Traceback (most recent call last):
    ...
    quiltgeom.cutting.solver.budget.Stopped
    """

    def __init__(
        self,
        seconds: float | None = None,
        *,
        work: float | None = None,
        progress: Progress | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._common = _Common(progress, clock)
        self._end = math.inf if seconds is None else clock() + seconds
        self._most = math.inf if work is None else work
        self._low, self._high, self._at, self._text = 0.0, 1.0, 0.0, ""
        self._above: Budget | None = None
        self.stopped = False

    @property
    def left(self) -> float | None:
        """Seconds left, at least 0; None without a limit."""
        return None if self._end == math.inf else max(0.0, self._end - self._common.clock())

    @property
    def over(self) -> bool:
        """Whether it is used up: asks the counter, the clock and whoever may stop it."""
        common = self._common
        if common.spent > self._most:
            return True
        if not common.cancelled and common.progress is not None:
            common.furthest = max(common.furthest, self._at)
            common.cancelled = common.progress(common.furthest, self._text) is True
        if common.cancelled or (self._end < math.inf and common.clock() >= self._end):
            self._mark()
            return True
        return False

    def show(self, share: float) -> None:
        """How much of it is done, 0 to 1, for whoever watches."""
        self._at = self._low + share * (self._high - self._low)

    def _mark(self) -> None:
        budget: Budget | None = self
        while budget is not None and not budget.stopped:
            budget.stopped, budget = True, budget._above

    def spend(self, work: int = 1) -> None:
        """Count work.

        Raises:
            Stopped: the budget is used up.
        """
        self._common.spent += work
        if self.over:
            raise Stopped

    def stop(self) -> None:
        """End it: something else that knows the clock ran out of time.

        Raises:
            Stopped: always.
        """
        self._mark()
        raise Stopped

    def part(self, k: int, n: int, text: str = "", *, work: float = math.inf) -> Budget:
        """The budget of the ``k``-th of ``n`` parts: its share of what is left, so that time which
        one part leaves goes to the next; ``work`` limits it further."""
        out, common = copy.copy(self), self._common
        if self._end < math.inf:
            now = common.clock()
            out._end = now + max(0.0, self._end - now) / (n - k)
        if self._most < math.inf:
            out._most = common.spent + max(0.0, self._most - common.spent) / (n - k)
        out._most = min(out._most, common.spent + work)
        span = (self._high - self._low) / n
        out._low, out._high = self._low + k * span, self._low + (k + 1) * span
        out._at = out._low
        out._text, out._above, out.stopped = text or self._text, self, False
        return out


_PROGRAMME = 40
"""A linear programme counts as so much work for each coefficient."""


def linear_programme(
    budget: Budget, cost: np.ndarray, rows: np.ndarray, most: np.ndarray, **options: Any
) -> OptimizeResult:
    """Minimise ``cost x`` with ``rows x <= most`` within the time that is left.

    Raises:
        Stopped: there was not enough.
    """
    from scipy.optimize import linprog

    budget.spend(_PROGRAMME * rows.size)
    left = budget.left
    if left is not None:
        options["options"] = {"time_limit": max(left, 1e-3)}
    result = linprog(cost, A_ub=rows, b_ub=most, **options)
    if result.status == 1:
        budget.stop()
    return result
