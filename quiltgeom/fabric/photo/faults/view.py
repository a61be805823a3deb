"""How a cloth on a table was seen: from where, in what light, beside what."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.four_sides import filled
from quiltgeom.fabric.photo.true_shape import TrueShape

Pixels = NDArray[np.uint8]

STEEP_DEG = 20.0
"""Tilt beyond which a photo is said to be taken from the side: cloth is seen coarsely there."""

_FLATTEST_DEG = 55.0  # beyond, what was found is hardly a cloth on a table
_SIDE = 300  # pixels of the longer side at which a photo is looked at
_LIGHT, _COLOURLESS, _EVEN = 70.0, 10.0, 6.0  # CIELAB, of white things
_LEAST = 0.004  # of the photo


@dataclass(frozen=True, slots=True)
class View:
    """How a cloth on a table was seen.

    Attributes:
        tilt_deg: of the camera, from straight above.
        cut: the sides where only the photo ends.
        brightest: the brightest hundredth of the photo is at least so light, 0..1 of white in sRGB.
        white: whether something white lies beside the cloth, or the colours were balanced.
    """

    tilt_deg: float
    cut: tuple[str, ...]
    brightest: float
    white: bool

    @property
    def steep(self) -> bool:
        """Whether it was surely taken from the side; sides that are cut off tell little of it."""
        return STEEP_DEG < self.tilt_deg < _FLATTEST_DEG and not self.cut


def view_of(rgb: Pixels, shape: TrueShape, cut: tuple[str, ...]) -> View:
    """How a cloth was seen.

    Args:
        rgb: ``(h, w, 3)`` uint8, the whole photo.
        shape: of the cloth in it.
        cut: the sides where only the photo ends.
    """
    k = min(1.0, _SIDE / max(rgb.shape))
    small = cv2.resize(rgb, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
    lab = cv2.cvtColor(small.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    box = np.ones((3, 3), np.uint8)
    spread = (cv2.dilate(lab, box) - cv2.erode(lab, box)).max(axis=2)
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    white = (lab[..., 0] > _LIGHT) & (chroma < _COLOURLESS) & (spread < _EVEN)
    on_cloth = cv2.dilate(filled(shape.corners * k, small.shape), np.ones((7, 7), np.uint8))
    brightest = float(np.percentile(small.max(axis=2), 99)) / 255
    seen_white = float((white & (on_cloth == 0)).mean()) > _LEAST
    return View(shape.tilt_deg, cut, brightest, seen_white)
