"""Knapsacks over whole tables at once: for every room, set of prices and column the best filling
that holds no more of any item than it may.

How many pieces of each item a filling holds is packed into few whole numbers, so that limits are
one comparison.
"""

from collections.abc import Sequence

import numpy as np

from quiltgeom.cutting.solver.budget import Budget

NEVER = -(1 << 30)
"""What a choice is worth that may not be taken."""

_BITS = 62


class Packing:
    """Counts of items as bit fields, each with a guard bit above it.

    A limit has every guard bit set; after subtracting counts the guard bits are all still set
    exactly if no count was over its limit (counts up to twice the largest limit are told apart).

    >>> t = Packing([5, 9])
    >>> held = t.units[0] * 3 + t.units[1] * 9
    >>> t.counts(held).tolist()
    [3, 9]
    >>> room = [t.limit([[5, 9]]) - held, t.limit([[5, 9]]) - held - t.units[1]]
    >>> [bool((r & t.guards == t.guards).all()) for r in room]
    [True, False]
    """

    def __init__(self, most: Sequence[int]) -> None:
        self._fields: list[tuple[int, int, int]] = []  # word, first bit, bits below the guard
        word, at = 0, 0
        for n in most:
            bits = int(n).bit_length()
            if at + bits + 1 > _BITS:
                word, at = word + 1, 0
            self._fields.append((word, at, bits))
            at += bits + 1
        self.words = word + 1
        self.units = np.zeros((len(most), self.words), dtype=np.int64)
        self.guards = np.zeros(self.words, dtype=np.int64)
        for k, (w, first, bits) in enumerate(self._fields):
            self.units[k, w] = 1 << first
            self.guards[w] |= 1 << (first + bits)

    def limit(self, most: Sequence[Sequence[int]] | np.ndarray) -> np.ndarray:
        """Packed limits, guard bits set; shape ``(sets, items)`` to ``(sets, words)``."""
        return np.asarray(most, dtype=np.int64) @ self.units + self.guards

    def counts(self, packed: np.ndarray) -> np.ndarray:
        """Counts of each item, in a last axis of items instead of words."""
        out = [(packed[..., w] >> first) & ((2 << bits) - 1) for w, first, bits in self._fields]
        return np.stack(out, axis=-1)


class Limits:
    """How many of each item a part may hold, and what is lost where it holds more.

    Args:
        packing: how contents are packed.
        most: limits, shape ``(sets, items)``.
        prices: of the same shape.
        clip: columns in which a part may hold more, the surplus counting nothing (so that the last
            pieces of a kind can stand beside long ones); elsewhere such a part is left out.
    """

    def __init__(
        self, packing: Packing, most: np.ndarray, prices: np.ndarray, clip: np.ndarray | None = None
    ) -> None:
        self.packing, self.most, self.prices = packing, np.asarray(most), np.asarray(prices)
        self.clip = np.zeros(1, dtype=bool) if clip is None else clip
        self._packed = packing.limit(most)[:, None, :]

    def kept(self, held: np.ndarray) -> np.ndarray:
        """Whether packed contents, shape ``(..., sets, columns, words)``, keep to the limits."""
        guards = self.packing.guards
        one = [(self._packed[..., w] - held[..., w]) & g == g for w, g in enumerate(guards)]
        return np.asarray(np.logical_and.reduce(one) if len(one) > 1 else one[0])

    def clipped(self, held: np.ndarray, sets: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Contents, shape ``(n, words)``, without what is too much, and what that takes away."""
        counts = self.packing.counts(held)
        few = np.minimum(counts, self.most[sets])
        return few @ self.packing.units, ((counts - few) * self.prices[sets]).sum(axis=1)


def knapsack(
    sizes: np.ndarray, gain: np.ndarray, use: np.ndarray, room: int, limits: Limits, budget: Budget
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Best total gain for every room up to ``room``; a size may repeat.

    Args:
        sizes: ascending, shape ``(k,)``.
        gain: shape ``(k, sets, columns)``.
        use: packed content of each choice, shape ``(k, sets, columns, words)``.
        room: the whole room.
        limits: for each of the sets.
        budget: asked for every room.

    Returns:
        Values and the last size taken (-1: none), both of shape ``(room + 1, sets, columns)``,
        and packed contents of shape ``(room + 1, sets, columns, words)``.
    """
    best = np.zeros((room + 1, *gain.shape[1:]), dtype=np.int32)
    taken = np.full(best.shape, -1, dtype=np.int16)
    content = np.zeros((room + 1, *use.shape[1:]), dtype=np.int64)
    fitting: Sequence[int] = np.searchsorted(sizes, np.arange(room + 1), side="right").tolist()
    v, c = np.ogrid[: gain.shape[1], : gain.shape[2]]
    clip = np.flatnonzero(limits.clip)
    cells = int(best[0].size) * (2 + use.shape[-1])
    for x in range(int(sizes[0]), room + 1):
        n = fitting[x]
        budget.spend(n * cells)
        rest = x - sizes[:n]
        options = best[rest] + gain[:n]
        held = content[rest] + use[:n]
        kept = limits.kept(held)
        if len(clip):
            _clip(options, held, kept, best[x - 1], clip, limits)
        options[~kept] = NEVER
        last = options.argmax(axis=0)
        most = options[last, v, c]
        better = most > best[x - 1]
        best[x] = np.where(better, most, best[x - 1])
        taken[x][better] = last[better]
        content[x] = np.where(better[..., None], held[last, v, c], content[x - 1])
    return best, taken, content


def _clip(
    options: np.ndarray,
    held: np.ndarray,
    kept: np.ndarray,
    least: np.ndarray,
    columns: np.ndarray,
    limits: Limits,
) -> None:
    """Take from parts that hold more than they may what is too much, if they are still worth it."""
    k, v, c = np.nonzero(~kept[:, :, columns] & (options[:, :, columns] > least[:, columns]))
    at = k, v, columns[c]
    held[at], lost = limits.clipped(held[at], v)
    options[at] -= lost.astype(options.dtype)
    kept[at] = True


def taken_sizes(last: np.ndarray, sizes: np.ndarray) -> list[int]:
    """The choices of a knapsack, from the last one that was taken in its whole room."""
    x, out = len(last) - 1, []
    while x > 0:
        choice = int(last[x])
        if choice >= 0:
            out.append(choice)
        x -= int(sizes[choice]) if choice >= 0 else 1
    return out
