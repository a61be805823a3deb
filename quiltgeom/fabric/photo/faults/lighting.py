"""What light does to a photo of cloth: burnt places, glare, shadows, one dark side."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.own_copies import mended

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float32]

_BURNT = 254
_BLOCK = 6  # pixels of the side of a place that is burnt or not
_NOISE = 0.6  # levels of 255: the least that a photographed even place shows
_SIDE = 300
"""Pixels of the longer side at which shadows and glare are looked at."""

_VEIL, _PALE = 0.8, 0.35  # of the darkest ink's white: in glare, and in prints that hide it
_SOFT = 0.25  # of white: the most by which glare ends within a sixtieth of the cloth
_PALE_ROUND = 0.6  # of white, round a place that glares
_SHADOW = (1.4, 9.0)  # blur of a shadow's edge, pixels: prints end sharper, lamps fade slower
_DEPTH = 0.34  # logarithm of light across it, at least
_GREY = 0.4  # of that: how far red, green and blue may part
_COPIES = 160
"""Pixels of the longer side at which copies are compared here."""


def burnt_share(rgb: Pixels) -> float:
    """Part of a photographed cloth that is burnt out: white, and without the noise and weave that
    the rest of it shows. A drawing has no noise anywhere, and its white is white.

    >>> grain = np.random.default_rng(1).normal(200, 3, (120, 120, 1)).repeat(3, axis=2)
    >>> grain[:, :30] += 90
    >>> burnt_share(np.uint8(np.clip(grain, 0, 255)))
    0.25
    >>> burnt_share(np.full((120, 120, 3), 255, np.uint8))
    0.0
    """
    least = rgb.min(axis=2).astype(np.float32)
    white = _blocks((least >= _BURNT).astype(np.float32))
    mean, square = _blocks(least), _blocks(least**2)
    even = np.sqrt(np.maximum(square - mean**2, 0))[white == 0]
    if even.size < 0.05 * mean.size or np.percentile(even, 25) < _NOISE:
        return 0.0
    return float((white > 0.95).mean())


def _blocks(plane: Floats) -> Floats:
    size = [max(1, n // _BLOCK) for n in plane.shape[::-1]]
    return np.asarray(cv2.resize(plane, size, interpolation=cv2.INTER_AREA), np.float32)


def glare_share(rgb: Pixels) -> float:
    """Part of a cloth that glares: a bright place without colour, wider than what the print leaves
    free elsewhere, that ends softly. A print's own white ends at an edge.

    It is seen in the dark channel (K. He, J. Sun, X. Tang, "Single image haze removal using dark
    channel prior", CVPR 2009): light that lies over all inks.

    >>> cloth = np.kron(np.indices((40, 40)).sum(axis=0) % 2, np.ones((8, 8), int))
    >>> cloth = (40 + 150 * cloth[..., None]) * np.array([1.0, 0.8, 0.4])
    >>> y, x = np.mgrid[-1:1:320j, -1:1:320j]
    >>> veil = 400 * np.exp(-(x**2 + y**2) / 0.18)[..., None]
    >>> glare_share(np.uint8(cloth)), 0.04 < glare_share(np.uint8(np.minimum(cloth + veil, 255)))
    (0.0, True)
    """
    least = _small(rgb, _SIDE).min(axis=2).astype(np.float32) / 255
    side = max(least.shape)
    patch = np.ones((side // 14, side // 14), np.uint8)
    veil = cv2.erode(least, patch)
    if np.median(veil) > _PALE:
        return 0.0
    count, labels, stats, _ = cv2.connectedComponentsWithStats((veil > _VEIL).astype(np.uint8))
    near, around = np.ones((side // 60,) * 2, np.uint8), np.ones((side // 4,) * 2, np.uint8)
    step = cv2.dilate(veil, near) - cv2.erode(veil, near)
    found = 0.0
    for k in range(1, count):
        if stats[k, cv2.CC_STAT_AREA] > 0.002 * labels.size:
            core = (labels == k).astype(np.uint8)
            rim, beyond = ((cv2.dilate(core, n) - core) > 0 for n in (near, around))
            if np.median(step[rim]) < _SOFT and np.median(veil[beyond]) < _PALE_ROUND:
                found += float(cv2.dilate(core, patch).mean())
    return found


def shadow_length(light: Floats) -> float:
    """The longest straight edge of a shadow that crosses a cloth, as part of its longer side.

    Such an edge dims red, green and blue alike, and is softer than what is printed (the sun is half
    a degree wide) and steeper than a lamp's fading.

    Args:
        light: ``(h, w, 3)`` logarithms of light.

    >>> y, x = np.mgrid[0:300, 0:300]
    >>> dim = 1 / (1 + np.exp((x + y / 2 - 200) / 2.5))
    >>> shadow = np.float32(np.repeat(dim[..., None] * -0.7, 3, axis=2))
    >>> shadow_length(shadow) > 0.4, shadow_length(shadow * 0)
    (True, 0.0)
    """
    (gx, gy), (hx, hy) = (_gradients(light, sigma) for sigma in (2.0, 4.0))
    x, y, x2, y2 = (g.mean(axis=2) for g in (gx, gy, hx, hy))
    slope, again = np.hypot(x, y), np.hypot(x2, y2)
    across = (gx * x[..., None] + gy * y[..., None]) / np.maximum(slope, 1e-6)[..., None]
    grey = np.ptp(across, axis=2) < _GREY * slope
    same_way = x * x2 + y * y2 > 0.9 * slope * again
    ratio = (slope / np.maximum(again, 1e-6)) ** 2
    blur = np.clip((16 - ratio * 4) / np.maximum(ratio - 1, 1e-3), 0, 400)
    deep = slope * np.sqrt(2 * np.pi * (blur + 4)) > _DEPTH
    soft = (blur > _SHADOW[0] ** 2) & (blur < _SHADOW[1] ** 2)
    edge: Pixels = (_crests(slope, x, y) & grey & same_way & deep & soft).astype(np.uint8)
    edge[:6] = edge[-6:] = 0
    edge[:, :6] = edge[:, -6:] = 0
    side = float(max(edge.shape))
    lines = cv2.HoughLinesP(
        edge, 1, np.pi / 180, 25, minLineLength=0.12 * side, maxLineGap=0.04 * side
    )
    if lines is None:
        return 0.0
    ends = lines.reshape(-1, 4).astype(float)
    lengths = np.hypot(ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1])
    return float(lengths.max()) / side


def _gradients(light: Floats, sigma: float) -> tuple[Floats, Floats]:
    soft = cv2.GaussianBlur(light, (0, 0), sigma)
    x, y = (cv2.Sobel(soft, cv2.CV_32F, *d, scale=1 / 8) for d in ((1, 0), (0, 1)))
    return np.asarray(x, np.float32), np.asarray(y, np.float32)


def _crests(slope: Floats, x: Floats, y: Floats) -> NDArray[np.bool_]:
    ways = np.rint(np.arctan2(y, x) / (np.pi / 4)).astype(np.int8) % 4
    top = np.zeros(slope.shape, bool)
    for k, step in enumerate(((0, 1), (1, 1), (1, 0), (1, -1))):
        ahead, behind = (np.roll(slope, np.multiply(step, s), axis=(0, 1)) for s in (-1, 1))
        top |= (ways == k) & (slope >= ahead) & (slope >= behind)
    return top


def seen_light(rgb: Pixels) -> Floats:
    """Logarithms of the light that comes from a cloth, its print with it; ``(h, w, 3)``, small."""
    return np.log(np.float32(0.006) + (_small(rgb, _SIDE).astype(np.float32) / 255) ** 2.2)


def light_by_copies(
    rgb: Pixels, width_in: float, vectors_in: Sequence[tuple[float, float]]
) -> tuple[Floats, float] | None:
    """The light on a cloth whose print repeats, and the part of it that is hidden.

    Args:
        rgb: ``(h, w, 3)`` uint8.
        width_in: its real width, inches.
        vectors_in: two vectors of its repeat, inches.

    Returns:
        Logarithms of how light each place of a small picture is against its copies,
        ``(h, w, 3)``, and 0..1; None where too few copies are seen.
    """
    small = _small(rgb, _COPIES)
    better = mended(small, width_in, vectors_in)
    if better is None:
        return None
    large = [cv2.resize(a, _small(rgb, _SIDE).shape[1::-1]) for a in (small, better.rgb)]
    before, after = (seen_light(np.asarray(a, np.uint8)).mean(axis=2) for a in large)
    return np.repeat((before - after)[..., None], 3, axis=2), better.hidden


def fall_off(light: Floats) -> float:
    """How many times as light the lightest part of a cloth is as the darkest, by a slow change.

    >>> ramp = np.linspace(0, np.log(3), 60, dtype=np.float32)
    >>> round(fall_off(np.broadcast_to(ramp[None, :, None], (60, 60, 3))), 2)
    3.0
    """
    plane = light.mean(axis=2)
    y, x = (a.ravel() for a in np.mgrid[-1 : 1 : plane.shape[0] * 1j, -1 : 1 : plane.shape[1] * 1j])
    model = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=1)
    fit = np.linalg.solve(model.T @ model, model.T @ plane.ravel())
    return float(np.exp(np.ptp(model @ fit)))


def _small(rgb: Pixels, side: int) -> Pixels:
    k = min(1.0, side / max(rgb.shape))
    small = cv2.resize(rgb, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8)
