"""Working copies of a swatch picture: checked, area-averaged down, smoothed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltgeom.errors import QuiltValueError

__all__ = ["check_rgb", "shrink"]


def check_rgb(rgb: object, *, least: int = 16) -> NDArray[np.uint8]:
    """The picture as ``(h, w, 3)`` uint8, or one clear error.

    Raises:
        QuiltValueError: another shape or type, or fewer than ``least`` pixels on a side.

    >>> check_rgb(np.zeros((20, 30, 3), dtype=np.uint8)).shape
    (20, 30, 3)
    """
    a = np.asarray(rgb)
    if a.ndim != 3 or a.shape[2] != 3 or a.dtype != np.uint8:
        raise QuiltValueError(
            f"swatch picture: found an array {a.shape} of {a.dtype}; accepted: (height, width, 3) "
            "of uint8"
        )
    if min(a.shape[:2]) < least:
        raise QuiltValueError(
            f"swatch picture: found {a.shape[1]} x {a.shape[0]} pixels; accepted: at least "
            f"{least} pixels each way (200 or more to read a print)"
        )
    return a


def shrink(rgb: NDArray[np.uint8], long_side: int) -> NDArray[np.uint8]:
    """Area-average a picture so that its longer side has at most ``long_side`` pixels.

    >>> shrink(np.zeros((40, 60, 3), dtype=np.uint8), 30).shape
    (20, 30, 3)
    """
    h, w = rgb.shape[:2]
    if max(h, w) <= long_side:
        return rgb
    from PIL import Image

    scale = long_side / max(h, w)
    size = (max(1, round(w * scale)), max(1, round(h * scale)))
    picture = Image.fromarray(np.ascontiguousarray(rgb))
    return np.asarray(picture.resize(size, Image.Resampling.BOX, reducing_gap=2.0))
