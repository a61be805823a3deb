"""Where tossed motifs lie: spread evenly over a repeat whose edges join."""

from dataclasses import dataclass

import numpy as np

from quiltgeom.demo.noise import Dice


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
    reach = float(np.sqrt(box[0] * box[1] / count))
    for i in range(rounds):
        gap = at[:, None, :] - at[None, :, :]
        gap -= box * np.rint(gap / box)
        far = np.sqrt((gap * gap).sum(axis=2)) + 1e-9
        push = np.clip(1.35 * reach - far, 0, None) / far
        np.fill_diagonal(push, 0.0)
        at = (at + (0.30 - 0.2 * i / rounds) * (gap * push[:, :, None]).sum(axis=1)) % box
    at = np.round(at, 4)
    return [Spot(float(x), float(y), (k * 137.5) % 360, k) for k, (x, y) in enumerate(at)]
