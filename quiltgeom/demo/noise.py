"""Random numbers that stay the same on every machine: raw PCG64 bits; noise, and places for tossed
motifs, made of them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.tolerance import LEAST_DIVISOR

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


@dataclass(frozen=True, slots=True)
class Spot:
    """One tossed motif: its place (inches), turn (degrees) and a running number."""

    x: float
    y: float
    turn: float
    number: int


def toss(size: tuple[float, float], count: int, seed: int, *, rounds: int = 60) -> list[Spot]:
    """``count`` spots that keep away from each other, across the edges of the repeat too.

    Turns go round the circle in even steps (shuffled by the golden angle), so that a tossed print
    has no up.

    >>> spots = toss((4, 4), 9, seed=3)
    >>> len(spots), spots == toss((4, 4), 9, seed=3)
    (9, True)
    """
    box = np.array(size, dtype=np.float64)
    at = Dice(seed).many(count * 2).reshape(count, 2) * box
    apart = float(np.sqrt(box[0] * box[1] / count))
    for i in range(rounds):
        gap = at[:, None, :] - at[None, :, :]
        gap -= box * np.rint(gap / box)
        far = np.sqrt((gap * gap).sum(axis=2)) + LEAST_DIVISOR
        push = np.clip(1.35 * apart - far, 0, None) / far
        np.fill_diagonal(push, 0.0)
        at = (at + (0.30 - 0.2 * i / rounds) * (gap * push[:, :, None]).sum(axis=1)) % box
    at = np.round(at, 4)
    return [Spot(float(x), float(y), (k * 137.5) % 360, k) for k, (x, y) in enumerate(at)]
