"""Working copies of a swatch picture: checked, area-averaged down, smoothed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats
from quiltgeom.errors import QuiltValueError

if TYPE_CHECKING:
    from PIL import Image


_LEAST = 16


def check_rgb(rgb: object) -> NDArray[np.uint8]:
    """The picture as ``(h, w, 3)`` uint8, or one clear error.

    Raises:
        QuiltValueError: another shape or type, or fewer than 16 pixels on a side.

    >>> check_rgb(np.zeros((20, 30, 3), dtype=np.uint8)).shape
    (20, 30, 3)
    """
    a = np.asarray(rgb)
    if a.ndim != 3 or a.shape[2] != 3 or a.dtype != np.uint8:
        raise QuiltValueError(
            f"swatch picture: found an array {a.shape} of {a.dtype}; accepted: (height, width, 3) "
            "of uint8"
        )
    check_size(a.shape[1], a.shape[0])
    return a


def check_size(width: int, height: int) -> None:
    """One clear error if a picture has fewer than 16 pixels on a side."""
    if min(width, height) < _LEAST:
        raise QuiltValueError(
            f"swatch picture: found {width} x {height} pixels; accepted: at least "
            f"{_LEAST} pixels each way (200 or more to read a print)"
        )


def shrink(rgb: NDArray[np.uint8], long_side: int) -> NDArray[np.uint8]:
    """Area-average a picture so that its longer side has at most ``long_side`` pixels.

    >>> shrink(np.zeros((40, 60, 3), dtype=np.uint8), 30).shape
    (20, 30, 3)
    """
    if max(rgb.shape[:2]) <= long_side:
        return rgb
    from PIL import Image

    return np.asarray(shrink_picture(Image.fromarray(np.ascontiguousarray(rgb)), long_side))


def shrink_picture(picture: Image.Image, long_side: int) -> Image.Image:
    """As :func:`shrink`, of a decoded picture: a large one need not become an array first."""
    from PIL import Image

    w, h = picture.size
    if max(w, h) <= long_side:
        return picture
    scale = long_side / max(w, h)
    size = (max(1, round(w * scale)), max(1, round(h * scale)))
    return picture.resize(size, Image.Resampling.BOX, reducing_gap=2.0)


def local_spread(planes: Floats) -> Floats:
    """Largest difference between neighbours, of all the channels of an ``(h, w, c)`` picture."""
    from scipy.ndimage import maximum_filter, minimum_filter

    each = [maximum_filter(p, 3) - minimum_filter(p, 3) for p in np.moveaxis(planes, -1, 0)]
    return np.asarray(np.max(each, axis=0))


def blur(plane: Floats, sigma: float) -> Floats:
    """Gaussian blur; a wide one is done on a smaller copy, which looks the same and is quick.

    >>> float(blur(np.full((40, 40), 3.0), 9.0).round(6).max())
    3.0
    """
    from PIL import Image
    from scipy.ndimage import gaussian_filter

    step = int(sigma / 3)
    if step < 2:
        return np.asarray(gaussian_filter(plane, sigma))
    h, w = plane.shape
    size = max(2, -(-w // step)), max(2, -(-h // step))
    picture = Image.fromarray(plane.astype(np.float32))
    small = np.asarray(picture.resize(size, Image.Resampling.BOX))
    soft = Image.fromarray(gaussian_filter(small, (sigma * size[1] / h, sigma * size[0] / w)))
    return np.asarray(soft.resize((w, h), Image.Resampling.BILINEAR), dtype=np.float64)
