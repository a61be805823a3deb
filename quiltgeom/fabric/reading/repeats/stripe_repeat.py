"""Bars: a print that is like itself all along one direction."""

from collections.abc import Sequence

import numpy as np

from quiltgeom.colour import Floats
from quiltgeom.fabric.reading.repeats.autocorrelation import Autocorrelation
from quiltgeom.fabric.reading.repeats.repeat_lattice import Found

_BENT = 2.0  # pixels that a bar lies beside its straight line
_FINE = 32.0  # pixels: wider bars are straight enough to be found as bars
_EVEN = 0.85  # of what the copies next to it reach
_RIDGE = 0.75  # of the likeness of copies that is kept all along bars


def find_stripe(likeness: Autocorrelation, size: float) -> Found | None:
    """Stripes: the picture is like itself all along one direction.

    Returns:
        The period across (one vector, or none if the bars do not repeat), or None if no stripes.
    """
    angles = np.radians(np.arange(0, 180, 0.5))
    radii = np.arange(3.0, 0.55 * size)
    unit = np.column_stack([np.cos(angles), np.sin(angles)])
    rays = (unit[:, None, :] * radii[None, :, None]).reshape(-1, 2)
    along = likeness.at(rays).reshape(len(angles), -1)
    steady = np.quantile(along, 0.1, axis=1)
    best = int(np.argmax(along.mean(axis=1)))
    across = along[(best + 180) % 360]
    # not a stripe if it also hardly changes the other way, or varies along the bars
    if steady[best] < 0.25 or np.ptp(across) < 0.3:
        return None
    if np.quantile(along[best], 0.9) - steady[best] > 0.25 * np.quantile(along[best], 0.9):
        return None
    normal = np.array([-unit[best, 1], unit[best, 0]])
    period, height, count = _period(likeness, normal, 0.72 * size, float(along[best].mean()))
    vectors = np.zeros((0, 2)) if period is None else normal[None, :] * period
    return Found(vectors, height, count, 99.0, along=unit[best])


def _period(
    likeness: Autocorrelation, normal: Floats, farthest: float, level: float
) -> tuple[float | None, float, int]:
    """The smallest distance across the bars all of whose multiples are peaks."""
    t = np.arange(0.0, farthest, 0.25)
    # between pixels a straight line would cut the peaks of narrow bars off
    r = likeness.at(normal[None, :] * t[:, None], order=3)
    peaks = [i for i in range(8, len(t) - 1) if r[i - 1] < r[i] >= r[i + 1] and r[i] > 0]
    for first in peaks:
        period, places = t[first], []
        for k in range(1, int((farthest - 1) / t[first]) + 1):
            if k * period > farthest - 1.5:  # the first peak alone puts the last one a little off
                continue
            near = [i for i in peaks if abs(t[i] - k * period) < max(1.0, 0.08 * t[first])]
            # creases add up: far copies fit less well
            if not near or r[near].max() < max(0.2, (0.8 if k < 3 else 0.6) * level):
                break
            places.append((k, max(near, key=lambda i: r[i])))
            period = sum(a * t[i] for a, i in places) / sum(a * a for a, _ in places)
        else:
            if places and _even([float(r[i]) for _, i in places], max(r[i] for i in peaks)):
                return float(period), float(r[first]), len(places)
    return None, 0.0, 0


def _even(heights: Sequence[float], highest: float) -> bool:
    """Whether copies fit about as well as the next nearer and the next farther one: of bars that
    only look alike every second or third would stand out."""
    if heights[0] < _EVEN * highest:
        return False
    return all(
        b >= _EVEN * (a + c) / 2 for a, b, c in zip(heights, heights[1:], heights[2:], strict=False)
    )


def without_bars(planes: Floats, along: Floats) -> Floats:
    """What is left of a print when its bars are taken out: what changes along them.

    Args:
        planes: ``(c, h, w)`` detail planes.
        along: unit vector (x, y) along the bars.
    """
    from scipy.signal import fftconvolve

    n = max(planes.shape[1:]) // 5
    t = np.linspace(-0.5, 0.5, 4 * n + 1) * n
    line = np.zeros((n + 1 | 1,) * 2)
    middle = line.shape[0] // 2
    x, y = (np.rint(t * a).astype(int) + middle for a in along)
    line[y, x] = 1.0
    line /= line.sum()
    weight = fftconvolve(np.ones(planes.shape[1:]), line, mode="same")
    smooth = [fftconvolve(p, line, mode="same") / np.maximum(weight, 0.05) for p in planes]
    return np.asarray(planes - np.stack(smooth))


def bars_of(found: Found, likeness: Autocorrelation) -> Found | None:
    """Fine bars that a crease bends look like a lattice of short steps along them: the stripe that
    they are, or None if a print really changes along both steps.

    Between a point of a true lattice and the next the likeness falls; along bars it stays.
    """
    if len(found.vectors) != 2:
        return None
    a, b = found.vectors
    for v in sorted((a, b, a + b, a - b), key=lambda v: float(np.hypot(*v))):
        length = float(np.hypot(*v))
        along = v / length
        normal = np.array([-along[1], along[0]])
        # a bent bar meets itself a little beside the straight line
        way = np.linspace(0.0, 2.0, 25)[4:-4, None, None] * v
        aside = np.arange(-_BENT, _BENT + 0.1, 0.5)[None, :, None] * normal
        ridge = likeness.at((way + aside).reshape(-1, 2)).reshape(way.shape[0], -1).max(axis=1)
        period = abs(float(a[0] * b[1] - a[1] * b[0])) / length
        if 2 * _BENT < period <= _FINE and float(ridge.min()) > _RIDGE * float(ridge.max()):
            return Found(
                normal[None, :] * period, found.likeness, found.points, found.z, along=along
            )
    return None
