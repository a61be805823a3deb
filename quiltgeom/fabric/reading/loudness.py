"""Loudness: how strongly a print competes for attention."""

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import rgb_to_lab
from quiltgeom.fabric.reading.pixels import blur, check_rgb, shrink

_PPI = 40.0  # an eye at arm's length sees little beyond this
_BANDS = (0.06, 0.12, 0.25, 0.5, 1.0, 2.0)  # inches: smoothing radii, each twice the last
_WEIGHTS = (0.30, 0.55, 0.8, 1.0, 1.0)  # fine grain reads as solid, motifs carry across a room
_CHROMA_WEIGHT = 0.6  # colour contrast without value contrast is the quieter of the two
_FULL = 26.0  # weighted contrast (CIELAB units) that makes a print loud


def read_loudness(rgb: NDArray[np.uint8], width_in: float) -> float:
    """0 (a solid) to 1 (a loud print), from contrast, its edges and their scale.

    Contrast in CIELAB is split into bands by scale in inches; edges count because a hard-edged
    motif is louder than a cloud of the same contrast.

    Args:
        rgb: ``(h, w, 3)`` uint8.

    >>> read_loudness(np.full((100, 100, 3), 90, dtype=np.uint8), 5.0)
    0.0
    """
    from scipy.ndimage import sobel

    small = shrink(check_rgb(rgb), max(64, min(640, round(_PPI * width_in * 1.0))))
    per_inch = small.shape[1] / width_in
    lab = np.moveaxis(rgb_to_lab(small), -1, 0)
    lab[1:] *= _CHROMA_WEIGHT
    steps = [np.stack([blur(p, r * per_inch) for p in lab]) for r in _BANDS]
    power = 0.0
    for weight, fine, coarse in zip(_WEIGHTS, steps, steps[1:], strict=False):
        power += weight**2 * float(((fine - coarse) ** 2).sum(axis=0).mean())
    slope = np.sqrt(sum(sobel(p, a) ** 2 for p in steps[0] for a in (0, 1))) / 8 * per_inch
    edges = float(np.quantile(slope, 0.9)) * _BANDS[0]
    return round(float(1 - np.exp(-(0.75 * np.sqrt(power) + 0.25 * edges) / _FULL * 2.2)), 4)
