"""Strips across the cloth, as a person cuts: strip, subcut, stack, trim; and first-fit strips."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quiltgeom.cutting.items import Demand, Spot

__all__ = ["Stack", "Strip", "first_fit", "place", "tidy"]


@dataclass(frozen=True, slots=True)
class Stack:
    """Pieces one below the other in a strip; ``poses`` index the demand's poses."""

    width: int
    poses: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip across the cloth: its height and its stacks from left to right."""

    height: int
    stacks: tuple[Stack, ...]

    def use(self, demand: Demand) -> np.ndarray:
        """How many pieces of each item it holds."""
        counts = np.zeros(len(demand.items), dtype=np.int64)
        for stack in self.stacks:
            for p in stack.poses:
                counts[demand.poses[p][0]] += 1
        return counts


def tidy(strips: Sequence[Strip], demand: Demand) -> list[Strip]:
    """Drop pieces beyond the demand, close up heights, tallest strip first."""
    left = np.array(demand.counts)
    out = []
    for strip in sorted(strips, key=lambda s: (-s.height, s.stacks == ())):
        stacks = []
        for stack in strip.stacks:
            kept = []
            for p in stack.poses:
                if left[demand.poses[p][0]] > 0:
                    left[demand.poses[p][0]] -= 1
                    kept.append(p)
            if kept:
                kept.sort(key=lambda p: (-demand.poses[p][1], -demand.poses[p][2], p))
                stacks.append(Stack(demand.poses[kept[0]][1], tuple(kept)))
        if stacks:
            height = max(sum(demand.poses[p][2] for p in s.poses) for s in stacks)
            stacks.sort(key=lambda s: (len(s.poses), -demand.poses[s.poses[0]][2], -s.width))
            out.append(Strip(height, tuple(stacks)))
    return sorted(out, key=lambda s: (-s.height, [st.poses for st in s.stacks]))


def place(strips: Sequence[Strip], demand: Demand, *, cloth: int = 0, top: int = 0) -> list[Spot]:
    """Positions of the pieces of strips laid one below the other from ``top``."""
    spots = []
    y = top
    for strip in strips:
        x = 0
        for stack in strip.stacks:
            below = y
            for p in stack.poses:
                item, w, h, turned = demand.poses[p]
                spots.append(Spot(item, x, below, w, h, turned, cloth))
                below += h
            x += stack.width
        y += strip.height
    return spots


def first_fit(demand: Demand, width: int) -> list[Strip]:
    """First-fit strips, tallest pieces first; the best of lying, standing and as listed.

    >>> d = Demand.of([(28, 28, 12), (20, 20, 4)])
    >>> [s.height for s in first_fit(d, 320)]
    [28, 28]
    """
    best: list[Strip] = []
    for way in ("lying", "standing", "listed"):
        strips = _first_fit(demand, width, way)
        if strips is not None and (not best or _total(strips) < _total(best)):
            best = strips
    return best


def _total(strips: Sequence[Strip]) -> int:
    return sum(s.height for s in strips)


def _first_fit(demand: Demand, width: int, way: str) -> list[Strip] | None:
    chosen = []
    for k, ways in itertools.groupby(range(len(demand.poses)), key=lambda p: demand.poses[p][0]):
        usable = [p for p in ways if demand.poses[p][1] <= width]
        if not usable:
            return None
        order = {
            "lying": min(usable, key=lambda p: demand.poses[p][2]),
            "standing": max(usable, key=lambda p: demand.poses[p][2]),
        }
        chosen += [order.get(way, usable[0])] * demand.items[k].count
    chosen.sort(key=lambda p: (-demand.poses[p][2], -demand.poses[p][1], p))
    rows: list[tuple[int, int, list[Stack]]] = []
    for p in chosen:
        _, w, h, _ = demand.poses[p]
        for i, (height, used, stacks) in enumerate(rows):
            if used + w <= width:
                stacks.append(Stack(w, (p,)))
                rows[i] = (height, used + w, stacks)
                break
        else:
            rows.append((h, w, [Stack(w, (p,))]))
    return [Strip(height, tuple(stacks)) for height, _, stacks in rows]
