"""The plane on which a cloth lies, seen straight from above."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.four_sides import Mask, filled
from quiltgeom.fabric.photo.true_shape import TrueShape

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_AROUND = 0.9  # of the cloth's width: so far round it things are looked for
_MOST = 1800  # pixels of a side of what is seen from above


@dataclass(frozen=True, slots=True)
class Above:
    """A drawing of the cloth's plane.

    Attributes:
        seen: ``(h, w)`` or ``(h, w, 3)`` uint8.
        there: ``(h, w)``, 1 where the photo shows the plane.
        cloth: ``(h, w)``, 1 on the cloth.
        cloth_px: how wide the cloth is in it.
        to_photo: ``(3, 3)`` projective map from its pixels to those of the photo.
    """

    seen: Pixels
    there: Mask
    cloth: Mask
    cloth_px: float
    to_photo: Floats


def from_above(photo: Pixels, shape: TrueShape, cloth_px: float) -> Above:
    """Draw the plane of a cloth, and somewhat around it, where the photo shows it.

    Args:
        photo: ``(h, w)`` or ``(h, w, 3)`` uint8.
        shape: of the cloth in it.
        cloth_px: how wide the cloth is drawn; less where that would be a big picture.

    >>> flat = TrueShape(np.array([(10, 10), (30, 10), (30, 20), (10, 20)], float), 0.5, 0.0,
    ...                  np.eye(3), 20.0)
    >>> from_above(np.zeros((40, 50), np.uint8), flat, 40).seen.shape
    (76, 96)
    """
    h, w = photo.shape[:2]
    corners = mapped(shape.to_plane, shape.corners)
    frame = mapped(shape.to_plane, np.array([(0, 0), (w, 0), (w, h), (0, h)], float))
    around = _AROUND * shape.width
    low = np.maximum(corners.min(axis=0) - around, frame.min(axis=0))
    high = np.minimum(corners.max(axis=0) + around, frame.max(axis=0))
    k = min(cloth_px / shape.width, _MOST / float((high - low).max()))
    size = tuple(int(v) for v in np.ceil((high - low) * k))
    to_picture = np.array([[k, 0, -low[0] * k], [0, k, -low[1] * k], [0, 0, 1]]) @ shape.to_plane
    # smaller first where the plane is drawn smaller than the photo, so that no line is skipped
    scale = min(1.0, 1.5 * k * shape.width / float(np.ptp(shape.corners[:, 0])))
    small = cv2.resize(photo, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    turned = to_picture @ np.diag([1 / scale, 1 / scale, 1.0])
    seen = cv2.warpPerspective(small, turned, size, flags=cv2.INTER_LINEAR)
    there = cv2.warpPerspective(np.ones(small.shape[:2], np.uint8), turned, size)
    cloth = filled((corners - low) * k, there.shape)
    to_photo = np.linalg.inv(to_picture).astype(np.float64)
    return Above(seen, there, cloth, k * shape.width, to_photo)


def mapped(by: Floats, points: Floats) -> Floats:
    """``(n, 2)`` points under a ``(3, 3)`` projective map."""
    on = points @ by[:, :2].T + by[:, 2]
    result: Floats = on[:, :2] / on[:, 2:]
    return result
