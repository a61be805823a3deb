"""A photo as it would be without the marker sheets that lie in it."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import LUMINANCE, linear_light
from quiltgeom.fabric.photo.calibrate import relit
from quiltgeom.fabric.photo.markers.marker_sheet import MarkerSheet
from quiltgeom.fabric.photo.markers.sheet_tells import paper_light

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_SIDE = 480  # pixels of the longer side at which what lies about a sheet is looked at
_SHADOW_IN = 0.15  # about a sheet, inches: its shadow, and paper cut askew
_GREY, _LIGHT = 0.14, 0.1
"""Paper, and what is printed on it in greys: linear red, green and blue over those of the paper
differ by so much of the largest; darker than so much of the paper nothing can be told."""

_RING, _RIM = 15, 0.04  # pixels about a sheet; of the longer side: the rim of the picture
_TABLE = 8.0  # CIELAB units: as like to something at the picture's rim table is
_SOME = 150  # places of the rim that are compared
_LEAST = 0.1  # of what lies about a sheet: so much table at least is seen


def painted_over(rgb: Pixels, sheets: Sequence[MarkerSheet]) -> tuple[Pixels, Pixels | None]:
    """The photo, the paper of its sheets filled in with the table about it, in white light as
    bright as nothing burns out.

    Cloth may lie on a sheet, or a sheet on cloth: with what is found nowhere at the picture's rim
    nothing is filled in.

    Returns:
        It, and a smaller mask: 1 where it was filled in.

    >>> photo = np.full((9, 9, 3), 50, np.uint8)
    >>> painted_over(photo, ())[0] is photo
    True
    """
    if not sheets:
        return rgb, None
    k = min(1.0, _SIDE / max(rgb.shape))
    small = cv2.resize(rgb, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
    told = paper_light(rgb, sheets)
    over = linear_light(small) / (1.0 if told is None else told[0])
    mask = _paper(rgb.shape, over, sheets)
    paint = cv2.inpaint(small, mask | _no_table(small, mask), 5, cv2.INPAINT_TELEA)
    size = rgb.shape[1::-1]
    under = cv2.resize(mask, size, interpolation=cv2.INTER_NEAREST)[..., None] > 0
    plain: Pixels = np.where(under, cv2.resize(paint, size, interpolation=cv2.INTER_LINEAR), rgb)
    if told is None:
        return plain, mask
    return relit(plain, 1 / told[0] / float(np.percentile(over.max(axis=2), 99))), mask


def _paper(shape: tuple[int, ...], over: Floats, sheets: Sequence[MarkerSheet]) -> Pixels:
    """What is surely paper, and what of the half pages joins it and is white or grey.

    Args:
        shape: of the photo.
        over: light in it, smaller, as part of the paper's.
    """
    size = over.shape[1::-1]
    soft = cv2.medianBlur(over.astype(np.float32), 3)
    grey = (np.ptp(soft, axis=2) < _GREY * soft.max(axis=2)) & (soft @ LUMINANCE > _LIGHT)
    sure, may = np.zeros((2, *over.shape[:2]), np.uint8)
    for sheet in sheets:
        paper = sheet.paper_mask(shape, _SHADOW_IN)
        sure |= np.asarray(cv2.resize(paper, size, interpolation=cv2.INTER_NEAREST), np.uint8)
        if len(sheet.places) > 1:
            half = cv2.resize(sheet.half_mask(shape), size, interpolation=cv2.INTER_NEAREST)
            may |= np.asarray(half, np.uint8) & grey
    may = np.asarray(cv2.morphologyEx(may, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8)), np.uint8)
    _, parts = cv2.connectedComponents(may | sure)
    joined = np.isin(parts, np.unique(parts[sure > 0]))
    return joined.astype(np.uint8)


def _no_table(small: Pixels, mask: Pixels) -> Pixels:
    """What is like nothing at the picture's rim; nothing where hardly any table would be left about
    a mask."""
    from scipy.spatial.distance import cdist

    lab = cv2.cvtColor(small.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    lab = cv2.blur(lab, (5, 5))
    near = cv2.dilate(mask, np.ones((_RING, _RING), np.uint8))
    rim = near == 0
    width = max(2, round(_RIM * max(mask.shape)))
    rim[width:-width, width:-width] = False
    some = lab[rim][:: max(1, rim.sum() // _SOME)]
    far = cdist(lab.reshape(-1, 3), some).min(axis=1, initial=np.inf).reshape(mask.shape) > _TABLE
    about = far[(near > 0) & (mask == 0)]
    some_table = len(about) > 0 and about.mean() < 1 - _LEAST
    return np.asarray(far & some_table, np.uint8)
