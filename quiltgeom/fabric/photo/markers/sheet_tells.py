"""What a marker sheet tells of the cloth in its photo: width, light, and where only cloth is."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import LUMINANCE, linear_light
from quiltgeom.fabric.photo.known_sizes import Scale
from quiltgeom.fabric.photo.markers.marker_sheet import (
    MARKER_IN,
    STEPS,
    STEPS_AT,
    MarkerSheet,
    on_sheet,
    projected,
)
from quiltgeom.fabric.photo.true_shape import TrueShape

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

PAPER_WHITE = 0.85
"""Part of the light that plain white paper reflects; common practice, no source."""

_RING = (0.05, 0.13)  # of a marker's side, outside it: nothing is printed there
_BURNT, _DARK = 250, 12  # of 255: neither end tells how light it is
_CALM = 0.15  # spread of a step, by its light
_AGREE = 0.06  # of the width: the sheet as it lies, and the plane of the cloth
_ALONE = 0.03  # of the width by which one marker alone may be wrong
_MOSTLY = 0.2  # of a picture: so much is left beside a sheet that lies on it
_ON = 0.003  # of a picture: a sheet lies on it

MARKER_SHEET = "marker sheet"
"""What a width by one is said to come from."""


def width_by_markers(sheets: Sequence[MarkerSheet], shape: TrueShape) -> tuple[Scale, ...]:
    """How wide a cloth in the plane of a sheet is: by the first sheet that tells it.

    It is measured on the sheet's own plane where two markers span it, and on the cloth's own.

    Args:
        shape: of the cloth.

    Returns:
        Nothing where the two do not agree: the cloth's outline is wrong, or the sheet lies
        elsewhere.
    """
    for sheet in sheets:
        inches, points = on_sheet(sheet.places), sheet.points
        if len(sheet.places) > 1:  # blur draws corners inwards, middles nowhere
            inches, points = inches.mean(axis=1, keepdims=True), points.mean(axis=1, keepdims=True)
        plane = projected(shape.to_plane, points.reshape(-1, 2))
        by_plane = shape.width * _spread(inches.reshape(-1, 2)) / _spread(plane)
        back = np.linalg.inv(sheet.to_photo).astype(float)
        top_left, top_right, right, left = projected(back, shape.corners)
        across = np.linalg.norm(top_right - top_left) + np.linalg.norm(right - left)
        apart = abs(float(across) / 2 / by_plane - 1)
        if apart <= _AGREE:
            alone = len(sheet.places) == 1
            width, within = (by_plane, _ALONE) if alone else (float(across) / 2, max(0.01, apart))
            return (Scale(MARKER_SHEET, width, within),)
    return ()


def _spread(points: Floats) -> float:
    return float(np.sqrt(((points - points.mean(axis=0)) ** 2).sum()))


def photo_width(sheet: MarkerSheet, size: tuple[int, int]) -> Scale:
    """How wide a photo is that shows nothing but cloth and a sheet, seen from above: by the inches
    to its middle's pixels.

    Args:
        size: of the photo, pixels.
    """
    if len(sheet.places) == 1:
        sides = sheet.points - np.roll(sheet.points, 1, axis=1)
        width = size[0] * MARKER_IN / float(np.linalg.norm(sides, axis=2).mean())
        return Scale(MARKER_SHEET, width, _ALONE)
    middle = np.array(size) / 2
    steps = middle + np.array([(0, 0), (1, 0), (0, 1)])
    o, right, down = projected(np.linalg.inv(sheet.to_photo).astype(float), steps)
    area = abs(float(np.linalg.det([right - o, down - o])))
    return Scale(MARKER_SHEET, size[0] * float(np.sqrt(area)), 2 * 0.01)


def paper_light(rgb: Pixels, sheets: Sequence[MarkerSheet]) -> tuple[Floats, bool] | None:
    """The light that white paper gives in a photo.

    Args:
        rgb: ``(h, w, 3)`` uint8.

    Returns:
        Linear red, green, blue, and whether the paper itself told it: where it is burnt out the
        lightest grey step does, as far as a printer's greys are true. None where neither does.
    """
    about = [_about(points) for sheet in sheets for points in sheet.points]
    papers = [c for points in about if (c := _colour(rgb, points)) is not None]
    if papers:
        return np.median(papers, axis=0), True
    for light, (x, y, w, h) in zip(STEPS[1:], STEPS_AT[1:], strict=True):
        grid = np.mgrid[0.2:0.8:9j, 0.2:0.8:9j].reshape(2, -1).T * (w, h) + (x, y)
        seen = [c for s in sheets if (c := _colour(rgb, s.in_photo(grid))) is not None]
        if seen:
            return np.median(seen, axis=0) / light, False
    return None


def _about(points: Floats) -> Floats:
    """Pixels on the white about a marker."""
    square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], np.float32)
    matrix = cv2.getPerspectiveTransform(square, points.astype(np.float32))
    along = np.linspace(0, 1, 15)
    near = np.linspace(*_RING, 4)
    a, d = (v.ravel() for v in np.meshgrid(along, near))
    ring = [(a, -d), (1 + d, a), (a, 1 + d), (-d, a)]
    return projected(matrix, np.concatenate([np.column_stack(side) for side in ring]))


def _colour(rgb: Pixels, points: Floats) -> Floats | None:
    """Linear light at most of some pixels; None where it cannot be told."""
    x, y = np.floor(points).astype(int).T
    inside = (x >= 0) & (y >= 0) & (x < rgb.shape[1]) & (y < rgb.shape[0])
    if inside.mean() < 0.5:
        return None
    seen = rgb[y[inside], x[inside]]
    middle = np.median(seen, axis=0)
    light = linear_light(seen)
    spread = np.percentile(light @ LUMINANCE, (25, 75))
    calm = np.ptp(spread) < _CALM * spread.mean()
    told = calm and middle.max() < _BURNT and middle.min() > _DARK
    return np.median(light, axis=0) if told else None


def beside_sheets(
    shape: tuple[int, ...], sheets: Sequence[MarkerSheet], to_picture: Floats, size: tuple[int, int]
) -> tuple[slice, slice] | None:
    """Rows and columns of the largest part of a picture on which no sheet lies.

    Args:
        shape: of the photo.
        to_picture: ``(3, 3)`` from the photo's pixels to the picture's.
        size: width and height of the picture.

    Returns:
        All of it where no sheet lies on it; None where too little would be left.
    """
    rows, columns = slice(0, size[1]), slice(0, size[0])
    for sheet in sheets:
        paper = cv2.warpPerspective(sheet.paper_mask(shape), to_picture, size)
        if paper[rows, columns].sum() > _ON * size[0] * size[1]:
            corners = projected(to_picture, sheet.outline())
            (x0, y0), (x1, y1) = np.floor(corners.min(axis=0)), np.ceil(corners.max(axis=0))
            parts = [
                (rows, slice(columns.start, min(columns.stop, int(x0)))),
                (rows, slice(max(columns.start, int(x1)), columns.stop)),
                (slice(rows.start, min(rows.stop, int(y0))), columns),
                (slice(max(rows.start, int(y1)), rows.stop), columns),
            ]
            rows, columns = max(parts, key=_area)
    return (rows, columns) if _area((rows, columns)) >= _MOSTLY * size[0] * size[1] else None


def _area(part: tuple[slice, slice]) -> int:
    height, width = (max(0, side.stop - side.start) for side in part)
    return int(height * width)
