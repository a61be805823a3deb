"""How many pieces of each item, packed into few whole numbers so that limits are one comparison."""

from collections.abc import Sequence

import numpy as np

_BITS = 62


class Packing:
    """Counts of items as bit fields, each with a guard bit above it.

    A limit has every guard bit set; after subtracting counts the guard bits are all still set
    exactly if no count was over its limit (counts up to twice the largest limit are told apart).

    >>> t = Packing([5, 9])
    >>> held = t.units[0] * 3 + t.units[1] * 9
    >>> t.counts(held).tolist()
    [3, 9]
    >>> t.within(held, t.limit([[5, 9]])[0]), t.within(held + t.units[1], t.limit([[5, 9]])[0])
    (True, False)
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

    def within(self, packed: np.ndarray, limit: np.ndarray) -> bool:
        """Whether packed counts keep to packed limits."""
        return bool(((limit - packed) & self.guards == self.guards).all())
