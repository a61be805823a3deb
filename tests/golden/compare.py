"""Whether two pictures of the same mockup are the same but for rounding.

Three things may differ between machines without anything being wrong: cairo's and pixman's
rounding (one or two levels where cloth is scaled), the fifteen rows per pixel on which cairo counts
how much of an edge's pixel is covered (1/15 of the contrast, at most 17 levels, along edges), and
Pillow's rounding when a swatch is reduced (one level). So a pixel may be off by ``LEVELS`` without
being counted; hardly any may be off by more; and on average the picture must be within ``MEAN``,
or a small change everywhere (a tint, a print a little out of place) would not count at all.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

LEVELS = 24
"""A pixel differs if one of its colours does by more than so many levels of 255."""
SHARE = 0.0005
"""Part of the pixels that may differ: 29 of 240 x 240, less than any patch in these pictures but
the triangles of the medallion's stars (10 pixels). Rounding leaves none (measured: cairo 1.16
drawing in 1, 3 or 7 bands instead of 4, and with its best edges)."""
MEAN = 1.25
"""Mean absolute difference, levels. Noise of one level everywhere is less, whatever its sign."""

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class Difference:
    """How far two pictures are apart.

    Attributes:
        mean: mean absolute difference, levels.
        share: part of the pixels that differ by more than :data:`LEVELS`.
        sizes: (height, width) of both.
    """

    mean: float
    share: float
    sizes: tuple[tuple[int, int], tuple[int, int]]

    @property
    def same(self) -> bool:
        """Whether they are the same but for rounding."""
        return self.sizes[0] == self.sizes[1] and self.mean <= MEAN and self.share <= SHARE

    def __str__(self) -> str:
        (h, w), (k, v) = self.sizes
        if self.sizes[0] != self.sizes[1]:
            return f"expected {w} x {h} pixels, found {v} x {k}"
        return (
            f"mean difference {self.mean:.3f} levels (accepted: {MEAN}), {100 * self.share:.3f} % "
            f"of the pixels differ by more than {LEVELS} levels (accepted: {100 * SHARE:.3f} %)"
        )


def compare(expected: Pixels, actual: Pixels) -> Difference:
    """Compare two ``(h, w, 3)`` pictures."""
    sizes = (expected.shape[:2], actual.shape[:2])
    if sizes[0] != sizes[1]:
        return Difference(255.0, 1.0, sizes)
    off = np.abs(expected.astype(np.int16) - actual.astype(np.int16))
    return Difference(float(off.mean()), float((off.max(axis=2) > LEVELS).mean()), sizes)


def side_by_side(expected: Pixels, actual: Pixels, path: Path) -> Path:
    """Write expected, actual and their difference (three times as strong) beside each other."""
    path.parent.mkdir(parents=True, exist_ok=True)
    height = max(expected.shape[0], actual.shape[0])
    width = max(expected.shape[1], actual.shape[1])

    def padded(pixels: Pixels) -> NDArray[np.int16]:
        out = np.full((height, width, 3), 255, dtype=np.int16)
        out[: pixels.shape[0], : pixels.shape[1]] = pixels
        return out

    a, b = padded(expected), padded(actual)
    gap = np.full((height, 8, 3), 128, dtype=np.int16)
    strong = np.minimum(np.abs(a - b) * 3, 255)
    sheet = np.hstack([a, gap, b, gap, strong]).astype(np.uint8)
    Image.fromarray(sheet).save(path)
    return path


def load(path: Path) -> Pixels:
    """Pixels of a picture file."""
    with Image.open(path) as image:
        return np.asarray(image.convert("RGB"))
