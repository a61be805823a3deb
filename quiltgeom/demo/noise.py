"""Random numbers that stay the same on every machine: raw PCG64 bits, nothing else."""

import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float32]


class Dice:
    """Uniform numbers from the raw bits of PCG64 (whose stream numpy keeps stable).

    >>> dice = Dice(1)
    >>> a = [round(dice.between(0, 10), 3) for _ in range(3)]
    >>> a == [round(Dice(1).many(3)[i] * 10, 3) for i in range(3)]
    True
    """

    def __init__(self, seed: int) -> None:
        self._bits = np.random.PCG64(seed)

    def many(self, count: int) -> NDArray[np.float64]:
        """``count`` numbers from [0, 1)."""
        raw = np.asarray(self._bits.random_raw(count), dtype=np.uint64)
        return (raw >> np.uint64(11)).astype(np.float64) * 2.0**-53

    def between(self, low: float, high: float) -> float:
        """One number from [low, high)."""
        return low + (high - low) * float(self.many(1)[0])

    def pick(self, count: int) -> int:
        """One of 0 .. count - 1."""
        return int(self.many(1)[0] * count)


def fine_noise(seed: int, cells: tuple[int, int], size: tuple[int, int]) -> Field:
    """Smooth noise of mean 0 and about -1 .. 1: ``cells`` (rows, columns) drawn up to ``size``.

    Returns:
        float32 array of shape ``size`` (height, width).
    """
    from PIL import Image

    values = Dice(seed).many(cells[0] * cells[1]).reshape(cells).astype(np.float32) * 2 - 1
    picture = Image.fromarray(values).resize(size[::-1], Image.Resampling.BICUBIC)
    return np.asarray(picture, dtype=np.float32)
