"""How blurred a photo is, by the steepest edges of what it shows."""

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float32]

SIDE = 1200
"""Pixels of the longer side at which a photo is looked at: finer blur hurts nothing that is read
or drawn of it."""

_SCALES = (1.2, 2.4)  # sigmas of the two blurs that are compared, pixels
_CONTRAST = 12.0  # L* across an edge, at least: beyond what noise and weave show
_STEEP = 1.0  # L* a pixel
_LEAST = 300  # pixels of edges, at least, to judge by
_PART = 0.12  # of all edges that must lie one way for that way to count
_SHARP = 1.2  # pixels: up to this an edge is not blurred
_ALIKE = 0.76  # of the upper quartile: blur makes edges alike, soft prints have all kinds
_ALONG = ((0, 1), (1, 1), (1, 0), (1, -1))


def blur_px(rgb: Pixels) -> float | None:
    """Blur of the sharper edges, of the one in four ways that is blurred most (a shaken photo is
    sharp along the shake), as the sigma of a Gaussian.

    An edge blurred again loses the less of its slope the more it was blurred before (S. Zhuo,
    T. Sim, "Defocus map estimation from a single image", Pattern Recognition 44, 2011).

    Args:
        rgb: ``(h, w, 3)`` uint8, at most :data:`SIDE` pixels a side.

    Returns:
        Pixels; None where there are no clear edges to judge by, or edges of all kinds, as in a
        print that is soft itself.

    >>> cloth = np.kron(np.indices((12, 12)).sum(axis=0) % 2, np.ones((40, 40), int))
    >>> cloth = np.repeat(np.uint8(60 + 120 * cloth)[..., None], 3, axis=2)
    >>> blur_px(cloth) < 1, round(blur_px(cv2.GaussianBlur(cloth, (0, 0), 3.0)))
    (True, 3)
    >>> blur_px(np.full((480, 480, 3), 90, np.uint8)) is None
    True
    """
    light = cv2.cvtColor(rgb, cv2.COLOR_RGB2LAB)[..., 0].astype(np.float32) * (100 / 255)
    (gx, gy), (hx, hy) = (_slopes(light, sigma) for sigma in _SCALES)
    slope, again = np.hypot(gx, gy), np.hypot(hx, hy)
    ways = np.rint(np.arctan2(gy, gx) / (np.pi / 4)).astype(np.int8) % 4
    found = [_blurs(slope, again, (ways == k) & _ridge(slope, k)) for k in range(4)]
    total = sum(map(len, found))
    if total < _LEAST:
        return None
    quarters = [np.percentile(f, (25, 75)) for f in found if len(f) > _PART * total]
    low, high = max(map(tuple, quarters))
    # shake leaves the edges along it sharp; where all are soft, the print itself may be
    shaken = min(q[0] for q in quarters) < _SHARP
    return float(low) if shaken or low > _ALIKE * high else None


def _slopes(light: Floats, sigma: float) -> tuple[Floats, Floats]:
    soft = cv2.GaussianBlur(light, (0, 0), sigma)
    x, y = (cv2.Sobel(soft, cv2.CV_32F, *d, scale=1 / 8) for d in ((1, 0), (0, 1)))
    return np.asarray(x, np.float32), np.asarray(y, np.float32)


def _ridge(slope: Floats, way: int) -> NDArray[np.bool_]:
    """Where a slope is steepest across the edge; the picture's rim is left out."""
    dy, dx = _ALONG[way]
    ahead, behind = (np.roll(slope, (k * dy, k * dx), axis=(0, 1)) for k in (-1, 1))
    top = (slope >= ahead) & (slope >= behind) & (slope > _STEEP)
    top[:8] = top[-8:] = False
    top[:, :8] = top[:, -8:] = False
    result: NDArray[np.bool_] = top
    return result


def _blurs(slope: Floats, again: Floats, at: NDArray[np.bool_]) -> Floats:
    """The blur of each edge that parts light from dark clearly."""
    fine, coarse = (s * s for s in _SCALES)
    ratio = (slope[at] / np.maximum(again[at], 1e-6)) ** 2
    own = np.clip((coarse - ratio * fine) / np.maximum(ratio - 1, 1e-3), 0, 400)
    contrast = slope[at] * np.sqrt(2 * np.pi * (own + fine))
    blurs: Floats = np.sqrt(own[contrast > _CONTRAST])
    return blurs
