"""The tops of a self-likeness map: where a shifted print fits itself, to a part of a pixel."""

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats
from quiltgeom.fabric.reading.repeats.autocorrelation import SelfLikeness
from quiltgeom.tolerance import EQUAL_SCORES


def peaks(likeness: SelfLikeness, least_radius: float = 4.0) -> tuple[Floats, Floats]:
    """Local maxima (dx, dy) of the half plane with sub-pixel places, and their heights."""
    from scipy.ndimage import gaussian_filter, maximum_filter

    r = likeness.r
    soft = gaussian_filter(r, 0.7)
    top = (soft == maximum_filter(soft, 5)) & (r > -1)
    ys, xs = np.nonzero(top)
    dx = xs - likeness.cx
    ok = (np.hypot(dx, ys) >= least_radius) & ((ys > 0) | (dx > 0)) & (xs > 0)
    ok &= (xs < r.shape[1] - 1) & (ys < r.shape[0] - 1)
    points = np.column_stack([dx[ok], ys[ok]]).astype(float)
    return settle(likeness, points, reach=1)


def settle(likeness: SelfLikeness, points: Floats, reach: int) -> tuple[Floats, Floats]:
    """Move points to the top within ``reach`` pixels, then to the parabola's apex; heights too."""
    r, cx = likeness.r, likeness.cx
    flip = points[:, 1] < 0
    p = np.rint(np.where(flip[:, None], -points, points)).astype(int)
    steps = np.arange(-reach, reach + 1)
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
    likeness: SelfLikeness, q: NDArray[np.int64], step: tuple[int, int]
) -> tuple[Floats, Floats]:
    """Shift to a parabola's apex along one axis, and how much higher it is."""
    d = np.array(step)
    before, here, after = (likeness.at((q + k * d).astype(float)) for k in (-1, 0, 1))
    bend = before - 2 * here + after
    bent = bend < -EQUAL_SCORES
    shift = np.where(bent, (before - after) / np.where(bent, 2 * bend, 1.0), 0.0)
    usable = (before > -0.99) & (after > -0.99)
    shift = np.where(usable, np.clip(shift, -0.6, 0.6), 0.0)
    return shift, np.maximum(0.25 * (after - before) * shift, 0.0)


def background(likeness: SelfLikeness) -> tuple[float, float]:
    """Middle and robust deviation of the likeness at all shifts: what chance shifts reach."""
    values = likeness.r[likeness.r > -1]
    middle = float(np.median(values))
    spread = 1.4826 * float(np.median(np.abs(values - middle)))
    return middle, max(spread, 1e-3)
