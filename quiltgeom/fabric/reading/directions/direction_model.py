"""The model that weighs a print's features: how likely each direction is."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from quiltgeom.colour import Floats
from quiltgeom.model.fabric import DIRECTIONS
from quiltgeom.texts import read_json

MOST = 4.0
"""Features farther from their mean than so many spreads count as just so far."""

FINENESS = 16
"""The model's prints are kept in whole sixteenths of a spread."""


@dataclass(frozen=True, eq=False)
class DirectionModel:
    """Multinomial kernel logistic regression over a few typical prints (Nyström landmarks).

    A print's scores rise and fall with how near its features are to those of each typical print, by
    a Gaussian of the distance in spreads.

    Attributes:
        landmarks: ``(m, features)``, the typical prints, in spreads from the mean.
        gamma: factor of the squared distance.
        constant: ``(4,)`` and
        weights: ``(4, m)``: scores of :data:`~quiltgeom.model.fabric.DIRECTIONS`.
        temperature: scores are divided by it, so that chances hold for prints left out of the fit.
    """

    features: tuple[str, ...]
    mean: Floats
    spread: Floats
    landmarks: Floats
    gamma: float
    constant: Floats
    weights: Floats
    temperature: float

    def standard(self, raw: Floats) -> Floats:
        """Features ``(n, features)`` as spreads from their mean."""
        return np.clip((np.clip(raw, -1.5, 1.5) - self.mean) / self.spread, -MOST, MOST)

    def scores(self, raw: Floats) -> Floats:
        """Scores of the four directions, ``(n, 4)``, before the temperature."""
        near = gaussian_kernel(self.standard(raw), self.landmarks, self.gamma)
        return np.asarray(self.constant + near @ self.weights.T)


def gaussian_kernel(a: Floats, b: Floats, gamma: float) -> Floats:
    """``exp(-gamma * squared distance)`` of every row of ``a`` and every row of ``b``.

    >>> gaussian_kernel(np.zeros((1, 2)), np.array([[0, 0], [3.0, 4]]), 0.04).round(3).tolist()
    [[1.0, 0.368]]
    """
    far = (a**2).sum(axis=1)[:, None] + (b**2).sum(axis=1)[None, :] - 2 * a @ b.T
    return np.asarray(np.exp(-gamma * np.maximum(far, 0.0)))


@cache
def shipped_model() -> DirectionModel:
    """The model that comes with the package (``direction_model.json``)."""
    data = read_json(Path(__file__).with_name("direction_model.json"))
    arrays = {k: np.array(data[k], dtype=float) for k in ("mean", "spread", "constant", "weights")}
    landmarks = np.array(data["landmarks"], dtype=float) / FINENESS
    return DirectionModel(
        tuple(data["clues"]),
        landmarks=landmarks,
        gamma=data["reach"],
        temperature=data["temper"],
        **arrays,
    )


def direction_chances(features: Mapping[str, float]) -> dict[str, float]:
    """How likely each direction is, by the shipped model; the chances add up to 1."""
    model = shipped_model()
    score = model.scores(np.array([[features[n] for n in model.features]]))[0] / model.temperature
    chance = np.exp(score - score.max())
    return dict(zip(DIRECTIONS, (chance / chance.sum()).tolist(), strict=True))
