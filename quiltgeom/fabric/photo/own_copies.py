"""A print mended by its own copies: what lies on the cloth, hard shadows and uneven light stand in
one copy of a motif and not in the others."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float32]

_SIDE = 600
"""Pixels of the longer side at which copies are compared."""

_MOST, _FEWEST = 25, 3
"""Copies of a place that are looked at, and from which a median means anything."""

_FAR = 0.75
"""Part of the shorter side within which copies are looked at, if there are enough."""

_LIGHT_IN = 0.35
"""Inches over which light is taken to be even."""

_FOREIGN = 14.0
"""CIELAB units beyond which a place is not the print; pixels fall a little beside their copies, so
the nearest within :data:`_BESIDE_IN` counts."""

_BESIDE_IN = 0.08
_SMALLEST_IN = 0.3  # of what lies on the cloth: less is taken for the print's own irregularity


@dataclass(frozen=True, slots=True)
class Mended:
    """A picture of cloth in even light with nothing on it.

    Attributes:
        rgb: ``(h, w, 3)`` uint8.
        hidden: part of the cloth that was hidden, 0..1, now shown by its copies.
    """

    rgb: Pixels
    hidden: float


def mended(
    rgb: Pixels, width_in: float, vectors_in: Sequence[tuple[float, float]]
) -> Mended | None:
    """Even out a straightened print's light and take away what lies on it, by its copies.

    Args:
        rgb: ``(h, w, 3)`` uint8.
        width_in: its real width, inches.
        vectors_in: two vectors of its repeat, inches.

    Returns:
        None where too few copies are seen.

    >>> tile = np.random.default_rng(1).integers(0, 255, (12, 12, 3), np.uint8)
    >>> cloth = np.kron(np.tile(tile, (8, 8, 1)), np.ones((4, 4, 1), np.uint8))
    >>> spoilt = cloth.copy()
    >>> spoilt[100:160, 100:160] = 90
    >>> again = mended(spoilt, 8.0, [(1.0, 0.0), (0.0, 1.0)])
    >>> bool(np.abs(again.rgb.astype(int) - cloth)[110:150, 110:150].mean() < 3)
    True
    """
    scale = min(1.0, _SIDE / max(rgb.shape))
    small = cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    ppi = small.shape[1] / width_in
    steps = _steps(np.array(vectors_in, float) * ppi, small.shape)
    if len(steps) < _FEWEST:
        return None
    lab = cv2.cvtColor(small.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    for _ in range(2):
        median, count = _median(lab, steps)
        light = _light(lab, median, ppi)
        lab[..., 0] = np.clip(lab[..., 0] * light, 0, 100)
    foreign = _foreign(lab, median, ppi) & (count >= _FEWEST)
    return Mended(_applied(rgb, small, lab, median, foreign), float(foreign.mean()))


def _steps(vectors: NDArray[np.float64], shape: tuple[int, ...]) -> NDArray[np.float64]:
    """Steps to copies, shortest first: some near and some far, lest one thing lies on most."""
    h, w = shape[:2]
    far = int(2 * np.hypot(h, w) / max(4.0, float(np.sqrt(abs(np.linalg.det(vectors)))))) + 1
    far = min(far, 40)
    i, j = np.mgrid[-far : far + 1, -far : far + 1]
    steps = np.stack([i.ravel(), j.ravel()], axis=1) @ vectors
    inside = (np.abs(steps) < 0.75 * np.array([w, h])).all(axis=1)
    steps = steps[inside]
    order = np.lexsort((steps[:, 1], steps[:, 0], np.hypot(*steps.T).round(3)))
    near = int((np.hypot(*steps.T) < _FAR * min(h, w)).sum())
    each = np.linspace(0, max(near, min(_MOST, len(steps))) - 1, _MOST).round().astype(int)
    chosen: NDArray[np.float64] = steps[order[np.unique(each)]] if len(steps) else steps
    return chosen


def _median(lab: Floats, steps: NDArray[np.float64]) -> tuple[Floats, NDArray[np.int_]]:
    """The median of all copies of every place, and how many there are."""
    h, w = lab.shape[:2]
    stack = np.full((len(steps), h, w, 3), np.inf, np.float32)
    for out, (x, y) in zip(stack, steps, strict=True):
        move = np.array([[1, 0, -x], [0, 1, -y]], np.float32)
        moved = cv2.warpAffine(lab, move, (w, h), flags=cv2.INTER_LINEAR)
        there = cv2.warpAffine(np.ones((h, w), np.float32), move, (w, h), flags=cv2.INTER_LINEAR)
        out[there > 0.999] = moved[there > 0.999]
    count = np.isfinite(stack[..., 0]).sum(axis=0)
    stack.sort(axis=0)  # what is not there comes last
    middle = np.maximum(count - 1, 0)[None, :, :, None]
    halves = [np.take_along_axis(stack, k // 2, axis=0)[0] for k in (middle, middle + 1)]
    return (halves[0] + halves[1]) / 2, count


def _light(lab: Floats, median: Floats, ppi: float) -> Floats:
    """By how much each place is darker than its copies, smoothed where it is the same print."""
    like = np.exp(-((np.linalg.norm(lab[..., 1:] - median[..., 1:], axis=2) / 8) ** 2))
    weight = (like * np.maximum(median[..., 0], 1)).astype(np.float32)
    sigma = _LIGHT_IN * ppi
    over = cv2.GaussianBlur(weight, (0, 0), sigma)
    ratio = np.clip(median[..., 0] / np.maximum(lab[..., 0], 2), 0.4, 2.5)
    mean = cv2.GaussianBlur((weight * ratio).astype(np.float32), (0, 0), sigma)
    light: Floats = np.where(over > 1e-3, mean / np.maximum(over, 1e-3), 1.0)
    return light


def _foreign(lab: Floats, median: Floats, ppi: float) -> NDArray[np.bool_]:
    """Places that are not like their copies, nor like anything close beside those."""
    beside = max(1, round(_BESIDE_IN * ppi))
    nearest = np.full(lab.shape[:2], np.inf, np.float32)
    for dx in (-beside, 0, beside):
        for dy in (-beside, 0, beside):
            moved = np.roll(median, (dy, dx), axis=(0, 1))
            nearest = np.minimum(nearest, np.linalg.norm(lab - moved, axis=2))
    odd = (cv2.GaussianBlur(nearest, (0, 0), beside) > _FOREIGN).astype(np.uint8)
    size = max(3, round(_SMALLEST_IN * ppi))
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    odd = cv2.morphologyEx(cv2.morphologyEx(odd, cv2.MORPH_CLOSE, disc), cv2.MORPH_OPEN, disc)
    foreign: NDArray[np.bool_] = cv2.dilate(odd, disc) > 0
    return foreign


def _applied(
    rgb: Pixels, small: Pixels, lab: Floats, median: Floats, foreign: NDArray[np.bool_]
) -> Pixels:
    """The full picture with the light of the small one, and its copies where it is hidden."""
    h, w = rgb.shape[:2]
    before = cv2.cvtColor(small.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)[..., 0]
    gain = cv2.GaussianBlur(lab[..., 0] / np.maximum(before, 2), (0, 0), 2)
    full = cv2.cvtColor(rgb.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    full[..., 0] = np.clip(full[..., 0] * cv2.resize(gain, (w, h)), 0, 100)
    hidden = cv2.resize(foreign.astype(np.float32), (w, h))[..., None]
    copies = cv2.resize(median, (w, h), interpolation=cv2.INTER_CUBIC)
    out = cv2.cvtColor(
        (full * (1 - hidden) + copies * hidden).astype(np.float32), cv2.COLOR_LAB2RGB
    )
    result: Pixels = np.rint(np.clip(out, 0, 1) * 255).astype(np.uint8)
    return result
