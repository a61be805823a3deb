"""How like itself a picture is at every shift: normalised autocorrelation over the overlap."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, rgb_to_lab
from quiltgeom.fabric.reading.pixels import blur
from quiltgeom.tolerance import LEAST_POWER

_LEAST_OVERLAP = 0.22  # of the area: less is too little evidence


def detail_planes(rgb: NDArray[np.uint8], *, smooth: float = 0.8) -> Floats:
    """CIELAB planes ``(3, h, w)`` without uneven light (slow changes) and with little noise."""
    lab = np.moveaxis(rgb_to_lab(rgb), -1, 0)
    slow = 0.16 * max(rgb.shape[:2])
    planes = [blur(p, smooth) - blur(p, slow) for p in lab]
    return np.stack(planes)


@dataclass(frozen=True)
class SelfLikeness:
    """Correlation of a picture with itself, shifted.

    Attributes:
        r: ``(ny, 2 * cx + 1)``; ``r[dy, cx + dx]`` for shifts ``dy >= 0``; -1 where the overlap is
            too small.
        cx: column of shift 0.
    """

    r: Floats
    cx: int
    size: tuple[int, int]

    def at(self, points: Floats, order: int = 1) -> Floats:
        """Bilinear (or spline) values at shifts ``(n, 2)`` of (dx, dy) pixels; -1 outside."""
        from scipy.ndimage import map_coordinates

        p = np.where(points[:, 1:] < 0, -points, points)
        where = np.stack([p[:, 1], p[:, 0] + self.cx])
        return np.asarray(map_coordinates(self.r, where, order=order, cval=-1.0))

    def inside(self, points: Floats) -> NDArray[np.bool_]:
        """Whether shifts lie where there is enough overlap."""
        p = np.rint(np.where(points[:, 1:] < 0, -points, points)).astype(int)
        ny, nx = self.r.shape
        ok = (p[:, 1] < ny) & (np.abs(p[:, 0]) <= self.cx)
        safe = np.where(ok[:, None], p, 0)
        enough = self.r[safe[:, 1], np.minimum(safe[:, 0] + self.cx, nx - 1)] > -1
        return np.asarray(ok & enough)


def self_likeness(planes: Floats) -> SelfLikeness:
    """Normalised cross-correlation of ``(c, h, w)`` planes with themselves at every shift.

    Means and variances are taken over the overlap of each shift (so a shift is not favoured or
    punished for the size of its overlap); the planes are pooled.
    """
    from scipy.fft import irfft2, next_fast_len, rfft2

    _, h, w = planes.shape
    size = next_fast_len(2 * h), next_fast_len(2 * w)
    spectrum = rfft2(planes, size)
    raw = irfft2((np.abs(spectrum) ** 2).sum(axis=0), size)
    ny, cx = int(0.78 * h), int(0.78 * w)
    dy, dx = np.arange(ny)[:, None], np.arange(-cx, cx + 1)[None, :]
    count = ((h - dy) * (w - np.abs(dx))).astype(float)
    cross = np.zeros((ny, 2 * cx + 1))
    one, two = np.zeros_like(cross), np.zeros_like(cross)
    for plane in planes:
        (s1, s2), (q1, q2) = _overlap_sums(plane, dy, dx), _overlap_sums(plane**2, dy, dx)
        cross -= s1 * s2 / count
        one += q1 - s1 * s1 / count
        two += q2 - s2 * s2 / count
    r = (cross + raw[:ny][:, np.arange(-cx, cx + 1)]) / np.sqrt(np.maximum(one * two, LEAST_POWER))
    r = np.where(count >= _LEAST_OVERLAP * h * w, np.clip(r, -1.0, 1.0), -1.0)
    return SelfLikeness(r, cx, (w, h))


def _overlap_sums(
    plane: Floats, dy: NDArray[np.int64], dx: NDArray[np.int64]
) -> tuple[Floats, Floats]:
    """Sums over the part of the picture that overlaps its shifted self, and over the other."""
    h, w = plane.shape
    total = np.zeros((h + 1, w + 1))
    total[1:, 1:] = plane.cumsum(axis=0).cumsum(axis=1)
    left, right = np.maximum(-dx, 0), np.minimum(w - dx, w)
    first = total[h - dy, right] - total[h - dy, left]
    left, right = np.maximum(dx, 0), np.minimum(w + dx, w)
    second = total[h, right] - total[h, left] - total[dy, right] + total[dy, left]
    return first, second
