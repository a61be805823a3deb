"""The frame of a panel: a straight line near each of the four edges, round a picture."""

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, rgb_to_lab
from quiltgeom.fabric.reading.pixels import blur, shrink

_SIDE = 256  # pixels
_NEAR = 0.35  # part of the side in which a frame's line lies
_STEP = 5.0  # CIELAB units from one side of a line to the other
_WHOLE = 0.9  # part of the side along which a line must be seen
_SLOPES = np.linspace(-0.03, 0.03, 13)


def framed(rgb: NDArray[np.uint8]) -> float:
    """How surely a frame is seen: the part of its worst line that is there; 0 without one.

    Args:
        rgb: ``(h, w, 3)`` uint8, the cloth filling the picture.

    >>> picture = np.full((100, 100, 3), 240, dtype=np.uint8)
    >>> framed(picture)
    0.0
    >>> picture[12:88, 12:88] = (30, 60, 90)
    >>> framed(picture)
    1.0
    """
    lab = np.moveaxis(rgb_to_lab(shrink(rgb, _SIDE)), -1, 0)
    soft = np.stack([blur(p, 0.8) for p in lab])
    seen = min(_best_line(np.rot90(soft, k, axes=(1, 2))) for k in range(4))
    return round(seen, 3) if seen >= _WHOLE else 0.0


def _best_line(planes: Floats) -> float:
    """Share of the middle of the picture that the best straight line near the top crosses."""
    from scipy.ndimage import maximum_filter1d

    _, h, w = planes.shape
    step = np.sqrt(((planes[:, 3:] - planes[:, :-3]) ** 2).sum(axis=0))
    edge = maximum_filter1d((step >= _STEP) & _is_top(step), 3, axis=0)
    x = np.arange(round(0.2 * w), round(0.8 * w))
    rows = np.arange(2, round(_NEAR * h))
    best = 0.0
    for slope in _SLOPES:
        at = np.clip(np.rint(rows[:, None] + slope * (x - w / 2)).astype(int), 0, len(edge) - 1)
        best = max(best, float(edge[at, x].mean(axis=1).max()))
    return best


def _is_top(step: Floats) -> NDArray[np.bool_]:
    """Where a step is the steepest about: the sides of things large and small, not all of them."""
    from scipy.ndimage import maximum_filter1d

    return np.asarray(step >= 0.999 * maximum_filter1d(step, 5, axis=0))
