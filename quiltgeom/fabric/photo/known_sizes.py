"""A thing of known size beside a cloth, and how wide the cloth is by it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.four_sides import Mask, filled
from quiltgeom.fabric.photo.true_shape import TrueShape

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_CLOTH = 480
"""Pixels of the width of the cloth, as it is looked at straight from above."""

_AROUND = 0.9  # of the cloth's width: so far round it things are looked for
_SMOOTH = 6.0  # CIELAB units between neighbours: cards and sheets have no print
_FULL = 0.9  # of the smallest rectangle round it
_ALIKE = 0.03  # of the ratio of the sides
_OUT = 0.2  # of a thing, at least, lies beside the cloth: rectangles inside are its print

CARD_IN = (85.60 / 25.4, 53.98 / 25.4)
"""Longer and shorter side of a bank card, inches: ISO/IEC 7810, ID-1."""

_SMALLEST, _LARGEST = 0.004, 0.25  # of a square as wide as the cloth


@dataclass(frozen=True, slots=True)
class Scale:
    """How wide a cloth is, by one thing in its photo.

    Attributes:
        by: the thing, for people.
        width_in: of the cloth, inches.
        within: part of the width by which it may be wrong.
    """

    by: str
    width_in: float
    within: float

    def times(self, part: float) -> "Scale":
        """For so much of the width."""
        return replace(self, width_in=self.width_in * part)


def scales(rgb: Pixels, shape: TrueShape) -> tuple[Scale, ...]:
    """What the things of known size in a photo say of a cloth's width, the surest first.

    Args:
        rgb: ``(h, w, 3)`` uint8, the whole photo.
        shape: of the cloth in it.
    """
    card = width_by_card(rgb, shape)
    found = [] if card is None else [Scale("card beside the cloth", card, 0.03)]
    return tuple(sorted(found, key=lambda s: s.within))


def width_by_card(rgb: Pixels, shape: TrueShape) -> float | None:
    """How wide a cloth is by a bank card that lies beside it, or over its rim, in plain view.

    A card is a smooth rectangle of its ratio of sides, the only one; one wholly on the cloth may be
    the cloth's print.

    Args:
        rgb: ``(h, w, 3)`` uint8, the whole photo.
        shape: of the cloth in it.

    Returns:
        Inches; None where no card is seen, or more than one.
    """
    found = list(_cards(*_from_above(rgb, shape)))
    return found[0] if len(found) == 1 else None


def _from_above(rgb: Pixels, shape: TrueShape) -> tuple[Pixels, Mask, Mask]:
    """The plane of the cloth seen straight from above, where the photo shows it, and the cloth."""
    k = _CLOTH / shape.width

    def flat(points: Floats) -> Floats:
        on = np.column_stack([points, np.ones(len(points))]) @ shape.to_plane.T
        result: Floats = on[:, :2] / on[:, 2:]
        return result

    h, w = rgb.shape[:2]
    corners = flat(shape.corners)
    frame = flat(np.array([(0, 0), (w, 0), (w, h), (0, h)], float))
    around = _AROUND * shape.width
    low = np.maximum(corners.min(axis=0) - around, frame.min(axis=0))
    high = np.minimum(corners.max(axis=0) + around, frame.max(axis=0))
    size = tuple(int(v) for v in np.ceil((high - low) * k))
    to_picture = np.array([[k, 0, -low[0] * k], [0, k, -low[1] * k], [0, 0, 1]]) @ shape.to_plane
    # smaller first where the plane is drawn smaller than the photo, so that no line is skipped
    scale = min(1.0, 1.5 * _CLOTH / float(np.ptp(shape.corners[:, 0])))
    small = cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    turned = to_picture @ np.diag([1 / scale, 1 / scale, 1.0])
    seen = cv2.warpPerspective(small, turned, size, flags=cv2.INTER_LINEAR)
    there = cv2.warpPerspective(np.ones(small.shape[:2], np.uint8), turned, size)
    return seen, there, filled((corners - low) * k, seen.shape)


def _cards(seen: Pixels, there: Mask, cloth: Mask) -> Iterator[float]:
    """The width of the cloth by each smooth rectangle with the sides of a card."""
    lab = cv2.cvtColor(seen.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    box = np.ones((3, 3), np.uint8)
    spread = (cv2.dilate(lab, box) - cv2.erode(lab, box)).max(axis=2)
    inner = cv2.erode(there, np.ones((5, 5), np.uint8))
    smooth = ((spread < _SMOOTH) & (inner > 0)).astype(np.uint8)
    smooth = cv2.morphologyEx(smooth, cv2.MORPH_OPEN, box)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(smooth, connectivity=4)
    areas = stats[1:, cv2.CC_STAT_AREA] / _CLOTH**2
    for k in np.nonzero((areas > _SMALLEST) & (areas < _LARGEST))[0] + 1:
        part = (labels == k).astype(np.uint8)
        outline, _ = cv2.findContours(part, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        points = max(outline, key=len)
        (_, (a, b), _) = cv2.minAreaRect(points)
        full = cv2.contourArea(points) > _FULL * a * b
        # what is smooth ends two pixels before the thing does
        long, short = max(a, b) + 4, min(a, b) + 4
        ratio = long / short / (CARD_IN[0] / CARD_IN[1])
        if full and abs(ratio - 1) < _ALIKE and (part & (1 - cloth)).sum() > _OUT * part.sum():
            yield _CLOTH / ((long / CARD_IN[0] + short / CARD_IN[1]) / 2)
