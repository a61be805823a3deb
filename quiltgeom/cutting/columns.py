"""Column generation: which strips are worth cutting, priced by linear-programming duals."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import numpy as np

from quiltgeom.cutting.items import Demand
from quiltgeom.cutting.strips import Stack, Strip

__all__ = ["StripMaker", "choose_strips", "generate"]


_PAIRS = 120
"""Strips made of two pieces one below the other are tried up to 15 inches."""

_MOST = 30


class StripMaker:
    """Makes the most valuable strips for given values of the pieces.

    Args:
        demand: the pieces.
        width: usable width of the cloth, eighths.
        tallest: no strip is taller than this.
    """

    def __init__(self, demand: Demand, width: int, tallest: int) -> None:
        self.demand, self.width = demand, width
        poses = [(p, *pose) for p, pose in enumerate(demand.poses)]
        self.poses = [q for q in poses if q[2] <= width and q[3] <= tallest]
        self.item = np.array([q[1] for q in self.poses])
        single = sorted({q[3] for q in self.poses})
        # strips as tall as two pieces let unlike pairs share one cut
        pairs = sorted({a + b for a in single for b in single if a + b <= min(tallest, _PAIRS)})
        self.heights = sorted({*single, *pairs[:_MOST]})
        self.widths = sorted({q[2] for q in self.poses})
        self.top = max(self.heights)
        self._by_width = [
            [k for k, q in enumerate(self.poses) if q[2] <= w] for w in self.widths
        ]  # fmt: skip

    def _stacks(self, values: np.ndarray) -> tuple[np.ndarray, list[np.ndarray]]:
        """Best stack value for each column width and strip height, with the choices."""
        table = np.zeros((len(self.widths), self.top + 1))
        choices = []
        for row, usable in enumerate(self._by_width):
            ks = np.array([k for k in usable if values[self.item[k]] > 1e-12], dtype=np.int64)
            choice = np.full(self.top + 1, -1, dtype=np.int64)
            if len(ks):
                hs = np.array([self.poses[k][3] for k in ks])
                gains = values[self.item[ks]]
                self._fill(table[row], choice, ks, hs, gains)
            choices.append(choice)
        return table, choices

    def _fill(
        self,
        best: np.ndarray,
        choice: np.ndarray,
        ks: np.ndarray,
        hs: np.ndarray,
        gains: np.ndarray,
    ) -> None:
        low = int(hs.min())
        padded = np.concatenate([np.full(self.top, -1e18), best])  # negative heights never win
        for h in range(low, self.top + 1):
            options = padded[self.top + h - hs] + gains
            j = int(options.argmax())
            before = padded[self.top + h - 1]
            if options[j] > before + 1e-12:
                padded[self.top + h], choice[h] = options[j], ks[j]
            else:
                padded[self.top + h] = before
        best[:] = padded[self.top :]

    def _stack_at(self, row: int, height: int, choices: list[np.ndarray]) -> tuple[int, ...]:
        out, choice = [], choices[row]
        while height > 0:
            k = int(choice[height])
            if k < 0:
                height -= 1
                continue
            out.append(self.poses[k][0])
            height -= self.poses[k][3]
        return tuple(out)

    def best(self, values: np.ndarray) -> list[tuple[float, Strip]]:
        """For every strip height the filling of largest value (pieces may repeat freely)."""
        table, choices = self._stacks(values)
        gains = table[:, self.heights]
        spans = np.array(self.widths)
        low = int(spans.min())
        best = np.zeros((self.width + 1, len(self.heights)))
        pick = np.full((self.width + 1, len(self.heights)), -1, dtype=np.int64)
        every = np.arange(len(self.heights))
        for x in range(low, self.width + 1):
            n = int(np.searchsorted(spans, x, side="right"))
            options = best[x - spans[:n]] + gains[:n]
            j = options.argmax(axis=0)
            top = options[j, every]
            better = top > best[x - 1] + 1e-12
            best[x] = np.where(better, top, best[x - 1])
            pick[x] = np.where(better, j, -1)
        return [
            (float(best[self.width, c]), self._trace(c, pick, choices))
            for c in range(len(self.heights))
        ]

    def _trace(self, c: int, pick: np.ndarray, choices: list[np.ndarray]) -> Strip:
        stacks, x, height = [], self.width, self.heights[c]
        while x > 0:
            row = int(pick[x, c])
            if row < 0:
                x -= 1
                continue
            stacks.append(Stack(self.widths[row], self._stack_at(row, height, choices)))
            x -= self.widths[row]
        return Strip(height, tuple(stacks))

    def limited(self, values: np.ndarray, left: np.ndarray, height: int) -> Strip:
        """A filling that uses no more than ``left``: stack after stack, re-priced as it runs out.

        The first stacks come from the free filling; the rest of the width is filled again with
        what is still wanted.
        """
        left = left.copy()
        stacks: list[Stack] = []
        room = self.width
        while room > 0:
            found = self._one_stack(values, left, height, room)
            if found is None:
                break
            stacks.append(found)
            room -= found.width
            for p in found.poses:
                left[self.demand.poses[p][0]] -= 1
        return Strip(height, tuple(stacks))

    def _one_stack(
        self, values: np.ndarray, left: np.ndarray, height: int, room: int
    ) -> Stack | None:
        best: tuple[float, Stack] | None = None
        for w in self.widths:
            if w > room:
                break
            count, below, poses, value = left.copy(), height, [], 0.0
            usable = [q for q in self.poses if q[2] <= w]
            usable.sort(key=lambda q: (-values[q[1]] / q[3], -q[3], q[0]))
            for p, item, _, h, _ in usable:
                while h <= below and count[item] > 0:
                    count[item] -= 1
                    below -= h
                    poses.append(p)
                    value += values[item]
            if poses and (best is None or value / w > best[0] + 1e-12):
                best = (value / w, Stack(w, tuple(poses)))
        return best[1] if best else None


def generate(maker: StripMaker, pool: list[Strip], *, rounds: int = 60) -> tuple[np.ndarray, float]:
    """Add strips to the pool until none would lower the linear programme.

    Returns:
        The dual values of the items and the value of the linear programme (eighths).
    """
    from scipy.optimize import linprog

    demand = maker.demand
    known = set(pool)
    need = np.array(demand.counts, dtype=float)
    duals, total = np.zeros(len(need)), 0.0
    for _ in range(rounds):
        heights = np.array([float(s.height) for s in pool])
        uses = np.array([s.use(demand) for s in pool], dtype=float).T
        result = linprog(heights, A_ub=-uses, b_ub=-need, method="highs")
        duals, total = -np.asarray(result.ineqlin.marginals), float(result.fun)
        added = 0
        for value, strip in maker.best(duals):
            if value > strip.height * (1 + 1e-7) and strip not in known:
                known.add(strip)
                pool.append(strip)
                added += 1
        if not added:
            break
    return duals, total


@contextmanager
def _hushed() -> Iterator[None]:
    """Keep the solver's stray lines (HiGHS writes some past Python) out of the program's output."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # no standard output at all
        yield
        return
    quiet = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(quiet, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(quiet)
        os.close(kept)


def choose_strips(
    pool: Sequence[Strip], demand: Demand, *, nodes: int = 400, seconds: float = 4.0
) -> list[Strip] | None:
    """Whole numbers of strips of least total height that hold every piece (HiGHS)."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    if not pool:
        return None
    uses = np.array([s.use(demand) for s in pool], dtype=float).T
    need = np.array(demand.counts, dtype=float)
    uses = np.minimum(uses, need[:, None])
    most = np.array([max(1.0, np.ceil((need / np.maximum(u, 1e-9))[u > 0].max())) if u.any() else 0
                     for u in uses.T])  # fmt: skip
    with _hushed():
        result = milp(
            np.array([float(s.height) for s in pool]), integrality=np.ones(len(pool)),
            bounds=Bounds(0, most), constraints=LinearConstraint(uses, need, np.inf),
            options={"node_limit": nodes, "time_limit": seconds, "mip_rel_gap": 1e-6},
        )  # fmt: skip
    if result.x is None:
        return None
    return [s for s, x in zip(pool, result.x, strict=True) for _ in range(round(x))]
