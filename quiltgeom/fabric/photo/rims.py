"""The sides of a piece of cloth to a pixel: where along each side cloth ends and table begins."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_ACROSS = 0.035
"""Of the longer side of the cloth: so far to either side of where it was found its rim is looked
for, and colours are taken for cloth and table from the outer two thirds of that."""

_ENDS = 0.06  # of a side, left out at both ends: corners curl
_SAMPLES = 160  # along a side
_STRONG = 3.0  # nats: the most that one pixel says


def finer(rgb: Pixels, corners: Floats, cut: Sequence[bool]) -> Floats:
    """Corners moved to where the sides are in the full picture.

    Args:
        rgb: ``(h, w, 3)`` uint8.
        corners: ``(4, 2)`` pixels, clockwise.
        cut: sides that only the end of the picture makes: they stay.

    >>> photo = np.full((300, 400, 3), (120, 90, 60), np.uint8)
    >>> photo[60:240, 100:300] = (40, 90, 160)
    >>> about = np.array([(103, 57), (298, 63), (302, 238), (99, 242)], float)
    >>> true = np.array([(100, 60), (300, 60), (300, 240), (100, 240)], float)
    >>> bool(np.abs(finer(photo, about, [False] * 4) - true).max() < 1)
    True
    """
    lab = cv2.cvtColor(rgb, cv2.COLOR_RGB2LAB)
    for part in (2.0, 1.0, 0.5):
        ends = [corners[k] for k in range(4)], [corners[(k + 1) % 4] for k in range(4)]
        lines = [
            (a, b) if stays else _moved(lab, a, b, part * _reach(corners))
            for a, b, stays in zip(*ends, cut, strict=True)
        ]
        corners = np.array([_crossing(lines[k - 1], lines[k]) for k in range(4)])
    return corners


def _reach(corners: Floats) -> float:
    return _ACROSS * float(np.hypot(*(np.roll(corners, -1, axis=0) - corners).T).max())


def _moved(lab: Pixels, a: Floats, b: Floats, reach: float) -> tuple[Floats, Floats]:
    """A side from ``a`` to ``b``, laid through the places where cloth ends."""
    length = float(np.hypot(*(b - a)))
    along = (b - a) / length
    outward = np.array([along[1], -along[0]])
    t = np.linspace(_ENDS, 1 - _ENDS, _SAMPLES) * length
    d = np.arange(-round(reach), round(reach) + 1)
    at = a + t[:, None, None] * along + d[None, :, None] * outward
    x, y = (at[..., k].astype(np.float32) - 0.5 for k in (0, 1))
    seen = (x >= 0) & (y >= 0) & (x < lab.shape[1]) & (y < lab.shape[0])
    colours = cv2.remap(lab, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    says = _table_or_cloth(colours, seen, d / reach)
    within = np.cumsum(np.where(seen, -says, 0), axis=1)
    rows = np.nonzero(seen.mean(axis=1) > 0.7)[0]
    if len(rows) < _SAMPLES // 4:
        return a, b
    # cloth up to and with the pixel at d, table after it
    ends = d[(2 * within - within[:, -1:]).argmax(axis=1)] + 0.5
    inner = np.abs(ends) < reach - 1
    rows = rows[inner[rows]]
    if len(rows) < _SAMPLES // 4:
        return a, b
    slope, offset = line_through(t[rows], ends[rows])
    return (a + offset * outward, b + (offset + slope * length) * outward)


def _table_or_cloth(colours: Pixels, seen: NDArray[np.bool_], off: Floats) -> Floats:
    """For each pixel, the logarithm of how much likelier its colour is on the table."""
    bins = [np.arange(0, 257 + 8, 8)] * 3
    outside, inside = (
        _histogram(colours[:, side][seen[:, side]], bins) for side in (off > 0.35, off < -0.35)
    )
    index = tuple(colours[..., k] // 8 for k in range(3))
    says: Floats = np.log(outside[index] / inside[index])
    return np.clip(says, -_STRONG, _STRONG)


def _histogram(colours: Pixels, bins: list[NDArray[np.int64]]) -> Floats:
    from scipy.ndimage import gaussian_filter

    counted, _ = np.histogramdd(colours.reshape(-1, 3), bins)
    smooth: Floats = gaussian_filter(counted, 0.8, truncate=3.0)
    return smooth / max(1.0, float(smooth.sum())) + 1e-5


def line_through(x: Floats, y: Floats) -> tuple[float, float]:
    """Slope and offset of the line through most points (Theil and Sen), as scipy.stats.theilslopes
    tells them; to load that takes as long as all the rest of finding a cloth's rims.

    >>> line_through(np.array([0.0, 1, 2, 3, 4]), np.array([1.0, 3, 5, 99, 9]))
    (2.0, 1.0)
    """
    first, second = np.triu_indices(len(x), 1)
    apart = x[second] - x[first]
    use = apart != 0
    slope = float(np.median((y[second] - y[first])[use] / apart[use]))
    return slope, float(np.median(y) - slope * np.median(x))


def _crossing(one: tuple[Floats, Floats], other: tuple[Floats, Floats]) -> Floats:
    (a, b), (c, d) = one, other
    part = np.linalg.solve(np.array([b - a, c - d]).T, c - a)[0]
    crossing: Floats = a + part * (b - a)
    return crossing
