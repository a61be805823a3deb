"""A printed sheet of markers in a photo: how it lies in it.

A page holds two sheets, to be cut apart; the number of a marker tells paper, half and place.
"""

from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import LUMINANCE, linear_light

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

HALF_IN = {"letter": (8.5, 5.5), "a4": (210 / 25.4, 148.5 / 25.4)}
"""Width and height of half a page, inches, of the papers that a sheet may be printed on (ISO 216;
ANSI/ASME Y14.1), in the order in which their markers are numbered."""

PAPERS = tuple(HALF_IN)

SHEET_IN = (7.4, 4.7)
"""Width and height of what is drawn on a sheet, inches; it lies in the middle of half a page."""

MARKER_IN = 1.4
"""Side of a marker, inches."""

MARKERS_AT = ((0.0, 0.0), (6.0, 0.0), (6.0, 3.3), (0.0, 3.3))
"""Top left corners of a sheet's four markers, clockwise."""

STEPS = (1.0, 0.6, 0.36, 0.2, 0.1, 0.04)
"""Light that the steps reflect, as part of what the paper reflects."""

STEPS_AT = tuple((k * 1.26, 1.8, 1.1, 0.95) for k in range(len(STEPS)))
"""Left, top, width, height of each step."""

_SIDE = 1800  # pixels: markers are looked for at this size
_OFF = 0.02  # of a marker: they lie together as they were drawn


@cache
def marker_cells(number: int) -> tuple[tuple[int, int], ...]:
    """Columns and rows of a marker's black cells, of seven by seven.

    >>> (0, 0) in marker_cells(3), len(marker_cells(3)) > 24
    (True, True)
    """
    drawn = cv2.aruco.generateImageMarker(_dictionary(), number, 7)
    return tuple((int(x), int(y)) for y, x in np.argwhere(drawn == 0))


def _dictionary() -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50)


def marker_number(paper: str, half: int, place: int) -> int:
    """What a marker says: one of four places on the upper (0) or lower (1) half of a page.

    >>> marker_number("letter", 0, 0), marker_number("a4", 1, 3)
    (0, 15)
    """
    return (PAPERS.index(paper) * 2 + half) * 4 + place


@dataclass(frozen=True, slots=True)
class MarkerSheet:
    """A sheet as it lies in a photo.

    Attributes:
        paper: one of :data:`PAPERS`.
        places: which of its markers are seen.
        points: ``(n, 4, 2)`` pixels of their corners, clockwise from the top left one as printed.
        to_photo: ``(3, 3)`` from inches on the sheet to pixels.
    """

    paper: str
    places: tuple[int, ...]
    points: Floats = field(repr=False)
    to_photo: Floats = field(repr=False)

    def in_photo(self, inches: Floats) -> Floats:
        """Pixels of places on the sheet, ``(n, 2)``."""
        return projected(self.to_photo, inches)

    def outline(self) -> Floats:
        """Pixels of the corners of its half of a page, clockwise from the top left one."""
        return self.in_photo(_paper(self.paper))

    def paper_mask(self, shape: tuple[int, ...], about: float = 0.0) -> Pixels:
        """``(h, w)`` uint8, 1 on the paper that is surely seen: from its corners to the markers in
        them, and between those.

        Args:
            shape: of the photo.
            about: inches more on all sides.
        """
        outer = _paper(self.paper)[list(self.places)]
        markers = on_sheet(self.places).mean(axis=1)
        away = np.sign(outer - markers)
        outer, inner = outer + about * away, markers - (MARKER_IN / 2 + about) * away
        boxes = np.stack(
            [
                outer,
                inner,
                np.column_stack([outer[:, 0], inner[:, 1]]),
                np.column_stack([inner[:, 0], outer[:, 1]]),
            ]
        )
        return _filled(self.in_photo(boxes.reshape(-1, 2)), shape)

    def half_mask(self, shape: tuple[int, ...]) -> Pixels:
        """``(h, w)`` uint8, 1 where its half of a page is, or what lies on it."""
        return _filled(self.outline(), shape)


def _filled(points: Floats, shape: tuple[int, ...]) -> Pixels:
    hull = cv2.convexHull(points.astype(np.float32))
    mask = np.zeros(shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.round(hull).astype(np.int32)], (1,))
    return mask


def _paper(name: str) -> Floats:
    """Inches: the corners of half a page about what is drawn on it, clockwise."""
    w, h = HALF_IN[name]
    corners = np.array([(0, 0), (w, 0), (w, h), (0, h)])
    return corners - (np.array([w, h]) - SHEET_IN) / 2


def projected(matrix: Floats, points: Floats) -> Floats:
    """Points through a projective map, ``(n, 2)``."""
    on = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    result: Floats = on[:, :2] / on[:, 2:]
    return result


def on_sheet(places: tuple[int, ...]) -> Floats:
    """``(n, 4, 2)`` inches: the corners of markers, clockwise."""
    square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * MARKER_IN
    return np.array([square + MARKERS_AT[k] for k in places])


def find_sheets(rgb: Pixels) -> tuple[MarkerSheet, ...]:
    """The marker sheets in a photo, those of which most is seen first.

    Args:
        rgb: ``(h, w, 3)`` uint8.

    >>> find_sheets(np.full((300, 400, 3), 255, np.uint8))
    ()
    """
    h, w = rgb.shape[:2]
    k = min(1.0, _SIDE / max(h, w))
    small = cv2.resize(rgb, None, fx=k, fy=k, interpolation=cv2.INTER_AREA) if k < 1 else rgb
    how = cv2.aruco.DetectorParameters()
    how.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    how.errorCorrectionRate = 0.0  # prints have squares in them, too
    # in light, not in its code: a blurred edge is where half of the light is
    light = linear_light(small) @ LUMINANCE
    grey = np.clip(255 * light / max(float(np.percentile(light, 99)), 0.01), 0, 255)
    corners, numbers, _ = cv2.aruco.ArucoDetector(_dictionary(), how).detectMarkers(
        grey.astype(np.uint8)
    )
    if numbers is None:
        return ()
    seen: dict[int, list[tuple[int, Floats]]] = {}
    for number, points in zip(numbers.ravel().tolist(), corners, strict=True):
        seen.setdefault(number // 4, []).append((number % 4, (points[0] + 0.5) / k))
    found = [_sheet(half, marks) for half, marks in sorted(seen.items()) if half < 2 * len(PAPERS)]
    return tuple(sorted(filter(None, found), key=lambda s: -len(s.places)))


def _sheet(half: int, marks: list[tuple[int, Floats]]) -> MarkerSheet | None:
    """A sheet by those of its markers that are seen; None where they do not lie as drawn."""
    places = tuple(place for place, _ in marks)
    if len(set(places)) < len(places):
        return None
    points = np.array([p for _, p in marks])
    inches = on_sheet(places)
    matrix, _ = cv2.findHomography(inches.reshape(-1, 2), points.reshape(-1, 2))
    if matrix is None:
        return None
    off = projected(matrix, inches.reshape(-1, 2)) - points.reshape(-1, 2)
    side = np.linalg.norm(points - np.roll(points, 1, axis=1), axis=2).mean()
    if np.sqrt((off**2).sum(axis=1).mean()) > _OFF * side:
        return None
    return MarkerSheet(PAPERS[half // 2], places, points, matrix)
