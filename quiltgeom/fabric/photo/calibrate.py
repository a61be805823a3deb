"""Straightening and evening out a photo of a swatch before it is read."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import LUMINANCE, Floats, linear_to_srgb, srgb_to_linear
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.reading.pixels import check_rgb, shrink

Box = tuple[int, int, int, int]
Points = Sequence[tuple[float, float]]


def width_from_points(
    size: tuple[int, int], p: tuple[float, float], q: tuple[float, float], apart_in: float
) -> float:
    """Real width of a picture in which two points (pixels) are known inches apart.

    >>> width_from_points((1200, 900), (100, 50), (500, 350), 5.0)
    12.0
    """
    length = float(np.hypot(q[0] - p[0], q[1] - p[1]))
    if length < 2 or not apart_in > 0:
        raise QuiltValueError(
            f"two points: found {length:.1f} px for {apart_in:g} in; accepted: points at least "
            "2 px and more than 0 in apart"
        )
    return size[0] * apart_in / length


def homography(source: Points, target: Points) -> Floats:
    """The 3 x 3 projective map that takes four points to four others.

    >>> square = [(0, 0), (1, 0), (1, 1), (0, 1)]
    >>> bool(np.allclose(homography(square, square), np.eye(3)))
    True
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    solved = np.linalg.solve(np.array(rows, float), np.array(right, float))
    return np.append(solved, 1.0).reshape(3, 3)


def rectify(
    rgb: NDArray[np.uint8], corners: Sequence[tuple[float, float]], size_in: tuple[float, float]
) -> NDArray[np.uint8]:
    """Undo perspective: the rectangle with the given corners, seen straight from above.

    Args:
        corners: four pixel positions of a real rectangle: top left, top right, bottom right,
            bottom left.

    Returns:
        The rectangle with the photo's own pixels per inch along its longest side.

    Raises:
        QuiltValueError: corners in a line or in another order.

    >>> photo = np.zeros((100, 100, 3), dtype=np.uint8)
    >>> rectify(photo, [(10, 10), (90, 10), (90, 90), (10, 90)], (4, 4)).shape
    (80, 80, 3)
    """
    rgb, c = check_rgb(rgb), check_corners(corners)
    sides = np.linalg.norm(c - np.roll(c, -1, axis=0), axis=1)
    scale = float(max(sides[[0, 2]].max() / size_in[0], sides[[1, 3]].max() / size_in[1]))
    w, h = (max(1, round(s * scale)) for s in size_in)
    back = homography([(0, 0), (w, 0), (w, h), (0, h)], [(float(x), float(y)) for x, y in c])
    # from places, whose first pixel's middle is at 0.5, to pixels, whose first is at 0
    to_pixels = np.array([[1.0, 0.0, -0.5], [0.0, 1.0, -0.5], [0.0, 0.0, 1.0]])
    turned = to_pixels @ back @ np.linalg.inv(to_pixels)
    how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    flat: NDArray[np.uint8] = cv2.warpPerspective(
        rgb, turned, (w, h), flags=how, borderMode=cv2.BORDER_REPLICATE
    )
    return flat


def check_corners(corners: Points) -> Floats:
    """Four corners as an array of shape ``(4, 2)``.

    Raises:
        QuiltValueError: corners in a line or in another order.
    """
    c = np.asarray(corners, dtype=float)
    if c.shape != (4, 2) or not _convex(c):
        raise QuiltValueError(
            "corners: found points that are not a convex four-sided figure in clockwise order; "
            "accepted: top left, top right, bottom right, bottom left, in pixels"
        )
    return c


def _convex(c: Floats) -> bool:
    e = np.roll(c, -1, axis=0) - c
    n = np.roll(e, -1, axis=0)
    return bool((e[:, 0] * n[:, 1] - e[:, 1] * n[:, 0] > 1.0).all())


def balance_white(
    rgb: NDArray[np.uint8], box: Box, *, reflectance: float | None = None
) -> NDArray[np.uint8]:
    """Make a white or grey area neutral, in linear light.

    Args:
        box: ``(x0, y0, x1, y1)`` pixels of the area.
        reflectance: how light the area really is, 0..1 (grey card 0.18, white card about 0.9);
            None removes the cast and keeps the brightness.

    Raises:
        QuiltValueError: box outside the photo, too dark or burnt out.
    """
    rgb = check_rgb(rgb)
    h, w = rgb.shape[:2]
    x0, y0, x1, y1 = box
    if not (0 <= x0 < x1 <= w and 0 <= y0 < y1 <= h):
        raise QuiltValueError(f"white area: found {box}; accepted: inside {w} x {h} pixels")
    area = rgb[y0:y1, x0:x1].reshape(-1, 3)
    if float((area >= 254).mean()) > 0.2 or float(area.mean()) < 20:
        raise QuiltValueError(
            "white area: found it burnt out or too dark; accepted: a card between black and white"
        )
    mean = np.median(srgb_to_linear(area / 255.0), axis=0)
    level = mean @ LUMINANCE if reflectance is None else reflectance
    return relit(rgb, level / mean)


def relit(rgb: NDArray[np.uint8], gain: Floats) -> NDArray[np.uint8]:
    """The photo with its light multiplied: ``(3,)`` factors of linear red, green and blue.

    >>> relit(np.full((1, 1, 3), 100, np.uint8), np.array([1.0, 2.0, 1.0])).tolist()
    [[[100, 138, 100]]]
    """
    table = np.rint(
        255 * linear_to_srgb(srgb_to_linear(np.arange(256) / 255.0)[:, None] * gain)
    ).astype(np.uint8)
    return np.stack([table[rgb[..., k], k] for k in range(3)], axis=-1)


def even_light(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Flatten slow changes of light across a swatch (a window at one side, lens fall-off).

    The light is modelled as a quadratic surface fitted to log luminance, robustly; a scene loses a
    little of its own gradient with it, a print none. The middle of the photo stays as it is: a lens
    takes nothing away there, and that is what cameras meter.
    """
    rgb = check_rgb(rgb)
    small = srgb_to_linear(shrink(rgb, 128) / 255.0) @ LUMINANCE
    y = np.log(np.maximum(small, 0.003))
    model = _surface(small.shape)
    weight = np.ones(model.shape[0])
    for _ in range(8):
        weighed = model * weight[:, None]  # six unknowns: the normal equations are well posed
        fit = np.linalg.solve(weighed.T @ weighed, weighed.T @ (y.ravel() * weight))
        rest = np.abs(y.ravel() - model @ fit)
        weight = 1 / np.sqrt(1 + (rest / (np.median(rest) + 1e-3)) ** 2)
    light = (_surface(rgb.shape[:2]) @ fit).reshape(rgb.shape[:2])
    gain = np.exp(fit[0] - light)
    lit = srgb_to_linear(rgb / 255.0) * gain[..., None]
    return np.rint(255 * linear_to_srgb(lit)).astype(np.uint8)


def _surface(shape: tuple[int, ...]) -> Floats:
    y, x = np.meshgrid(*(np.linspace(-1, 1, n) for n in shape[:2]), indexing="ij")
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1).reshape(-1, 6)
