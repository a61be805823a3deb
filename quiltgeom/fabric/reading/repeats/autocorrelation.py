"""How like itself a picture is at every shift: normalised autocorrelation over the overlap, and its
peaks to a part of a pixel."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, rgb_to_lab
from quiltgeom.fabric.reading.pixels import blur
from quiltgeom.tolerance import EQUAL_SCORE, LEAST_POWER

_LEAST_OVERLAP = 0.22  # of the area: less is too little evidence
_LEAST_SHIFT = 4.0  # pixels: nearer, everything is like itself


def detail_planes(rgb: NDArray[np.uint8], *, smooth: float = 0.8) -> Floats:
    """CIELAB planes ``(3, h, w)`` without uneven light (slow changes) and with little noise."""
    lab = np.moveaxis(rgb_to_lab(rgb), -1, 0)
    slow = 0.16 * max(rgb.shape[:2])
    planes = [blur(p, smooth) - blur(p, slow) for p in lab]
    return np.stack(planes)


@dataclass(frozen=True)
class Autocorrelation:
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


def autocorrelation(planes: Floats) -> Autocorrelation:
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
    return Autocorrelation(r, cx, (w, h))


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


def peaks(likeness: Autocorrelation) -> tuple[Floats, Floats]:
    """Local maxima (dx, dy) of the half plane with sub-pixel places, and their heights."""
    from scipy.ndimage import gaussian_filter, maximum_filter

    r = likeness.r
    soft = gaussian_filter(r, 0.7)
    maxima = (soft == maximum_filter(soft, 5)) & (r > -1)
    ys, xs = np.nonzero(maxima)
    dx = xs - likeness.cx
    ok = (np.hypot(dx, ys) >= _LEAST_SHIFT) & ((ys > 0) | (dx > 0)) & (xs > 0)
    ok &= (xs < r.shape[1] - 1) & (ys < r.shape[0] - 1)
    points = np.column_stack([dx[ok], ys[ok]]).astype(float)
    return nearest_peaks(likeness, points, radius=1)


def nearest_peaks(likeness: Autocorrelation, points: Floats, radius: int) -> tuple[Floats, Floats]:
    """Points moved to the best within ``radius`` pixels, then to the parabola's apex; heights."""
    r, cx = likeness.r, likeness.cx
    flip = points[:, 1] < 0
    p = np.rint(np.where(flip[:, None], -points, points)).astype(int)
    steps = np.arange(-radius, radius + 1)
    gy, gx = np.meshgrid(steps, steps, indexing="ij")
    # rows above shift 0 are the same shifts turned round
    y = p[:, 1, None] + gy.ravel()
    x = p[:, 0, None] + gx.ravel()
    x, y = np.where(y < 0, -x, x), np.abs(y)
    inside = (y < r.shape[0]) & (np.abs(x) <= cx)
    values = np.where(inside, r[np.where(inside, y, 0), np.where(inside, x, 0) + cx], -1.0)
    best = np.argmax(values, axis=1)
    q = p + np.column_stack([gx.ravel()[best], gy.ravel()[best]])
    (sx, hx), (sy, hy) = _apex(likeness, q, (1, 0)), _apex(likeness, q, (0, 1))
    out = q + np.column_stack([sx, sy])
    height = np.minimum(likeness.at(q.astype(float)) + hx + hy, 1.0)
    return np.where(flip[:, None], -out, out), height


def _apex(
    likeness: Autocorrelation, q: NDArray[np.int64], step: tuple[int, int]
) -> tuple[Floats, Floats]:
    """Shift to a parabola's apex along one axis, and how much higher it is."""
    d = np.array(step)
    before, here, after = (likeness.at((q + k * d).astype(float)) for k in (-1, 0, 1))
    bend = before - 2 * here + after
    bent = bend < -EQUAL_SCORE
    shift = np.where(bent, (before - after) / np.where(bent, 2 * bend, 1.0), 0.0)
    usable = (before > -0.99) & (after > -0.99)
    shift = np.where(usable, np.clip(shift, -0.6, 0.6), 0.0)
    return shift, np.maximum(0.25 * (after - before) * shift, 0.0)


def background(likeness: Autocorrelation) -> tuple[float, float]:
    """Middle and robust deviation of the likeness at all shifts: what chance shifts reach."""
    values = likeness.r[likeness.r > -1]
    middle = float(np.median(values))
    spread = 1.4826 * float(np.median(np.abs(values - middle)))
    return middle, max(spread, 1e-3)
