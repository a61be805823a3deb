"""Getting a photo ready to be read: what the user knows of it, and what is done with that."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.fabric.photo.calibrate import (
    Box,
    balance_white,
    check_corners,
    even_light,
    rectify,
    width_from_points,
)
from quiltgeom.fabric.photo.card import find_card
from quiltgeom.fabric.photo.cloth_outline import find_cloth
from quiltgeom.fabric.photo.faults.view import view_of
from quiltgeom.fabric.photo.known_sizes import scales
from quiltgeom.fabric.photo.markers.marker_sheet import MarkerSheet, find_sheets
from quiltgeom.fabric.photo.markers.painted_over import painted_over
from quiltgeom.fabric.photo.markers.sheet_tells import photo_width, width_by_markers
from quiltgeom.fabric.photo.prepared import Point, Prepared, clear_of_sheets, lit_by_sheets
from quiltgeom.fabric.photo.rims import finer
from quiltgeom.fabric.photo.true_shape import true_shape
from quiltgeom.fabric.reading.pixels import check_rgb
from quiltgeom.fabric.source import PictureBytes, Source
from quiltgeom.files import picture_file

_RIM = 0.005
"""Of the width of cloth found on a table, left out all round."""

MOST_SIDE = 3600
"""Pixels: more than this adds nothing to a reading."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """What is known of a photo. Places are in pixels of the upright photo, from its top left.

    Attributes:
        corners: of a real rectangle, usually the swatch itself: top left, top right, bottom right,
            bottom left. What lies outside it is left out. None: cloth on a table is looked for.
        rectangle_in: its real width and height; None: its shape follows from the perspective.
        apart_in: how far apart they really are; needed with ``points``.
        white: ``(x0, y0, x1, y1)`` of a white or grey card lying beside or on the cloth.
        find_white: look for that card; it must lie in plain view at the photo's edge.
        whole: the cloth fills the photo, or nearly: do not look for it on a table.
        reflectance: how light the card is, 0..1 (grey card 0.18, white paper about 0.85); None
            takes the cast out and keeps the brightness.
        even: take slow changes of light across the photo out.
    """

    corners: tuple[Point, ...] | None = None
    rectangle_in: tuple[float, float] | None = None
    points: tuple[Point, Point] | None = None
    apart_in: float | None = None
    white: Box | None = None
    reflectance: float | None = None
    even: bool = False
    find_white: bool = False
    whole: bool = False

    def __post_init__(self) -> None:
        for have, need in (
            ("rectangle_in", "corners"),
            ("points", "apart_in"),
            ("apart_in", "points"),
        ):
            if getattr(self, have) is not None and getattr(self, need) is None:
                raise QuiltValueError(
                    f"calibration: found {have} without {need}; accepted: both or neither"
                )
        card = self.white is not None or self.find_white
        if self.reflectance is not None and not (card and 0.01 <= self.reflectance <= 1):
            raise QuiltValueError(
                f"calibration: reflectance: found {self.reflectance!r}; accepted: 0.01 to 1, with "
                "a white or grey area"
            )

    def scaled(self, k: float) -> Calibration:
        """The same for a photo ``k`` times as large.

        >>> Calibration(points=((0, 0), (100, 0)), apart_in=2.0).scaled(0.5).points
        ((0.0, 0.0), (50.0, 0.0))
        """

        def each(points: Sequence[Point]) -> tuple[Point, ...]:
            return tuple((x * k, y * k) for x, y in points)

        corners = each(self.corners) if self.corners else None
        points = each(self.points) if self.points else None
        x0, y0, x1, y1 = (round(v * k) for v in self.white or (0, 0, 0, 0))
        white = (x0, y0, x1, y1) if self.white else None
        pair = (points[0], points[1]) if points else None
        return replace(self, corners=corners, points=pair, white=white)


def _from_above(tilt_deg: float) -> str:
    return "straight from above" if tilt_deg < 3 else f"{tilt_deg:.0f} degrees from straight above"


SIDES = ("top", "right", "bottom", "left")

AS_TAKEN = Calibration()
"""Nothing is known; the photo is read as it is."""


def prepare(rgb: NDArray[np.uint8], known: Calibration, lens_mm: float | None = None) -> Prepared:
    """Balance, even out and straighten a photo by what is known of it, or by a marker sheet in it;
    where nothing is said of the cloth's place, it is looked for.

    Args:
        rgb: ``(h, w, 3)`` uint8, upright.
        known: see :class:`Calibration`; its places in pixels of ``rgb``.
        lens_mm: of the camera, as on the 35 mm frame.

    Raises:
        QuiltValueError: places outside the photo, a burnt-out card, corners in another order.

    >>> photo = np.full((100, 120, 3), (200, 180, 160), dtype=np.uint8)
    >>> ready = prepare(photo, Calibration(white=(0, 0, 20, 20), points=((0, 0), (60, 0)),
    ...                                    apart_in=3.0))
    >>> ready.width_in, bool(np.ptp(ready.rgb[50, 50]) <= 1)
    (6.0, True)
    """
    rgb = check_rgb(rgb)
    notes: list[str] = []
    h, w = rgb.shape[:2]
    for x, y in (*(known.corners or ()), *(known.points or ())):
        if not (-1 <= x <= w + 1 and -1 <= y <= h + 1):
            raise QuiltValueError(
                f"calibration: found a place at {x:g}, {y:g}; accepted: inside {w} x {h} pixels"
            )
    sheets = find_sheets(rgb)
    white = known.white if known.white is not None else _found(rgb, known, notes)
    if white is None:
        return lit_by_sheets(_straight(rgb, known, lens_mm, sheets, notes), rgb, sheets)
    rgb = balance_white(rgb, white, reflectance=known.reflectance)
    notes.append("colours were balanced by the white or grey area")
    ready = _straight(rgb, known, lens_mm, sheets, notes)
    return replace(ready, view=ready.view and replace(ready.view, white=True))


def _straight(
    rgb: NDArray[np.uint8],
    known: Calibration,
    lens_mm: float | None,
    sheets: Sequence[MarkerSheet],
    notes: list[str],
) -> Prepared:
    """The cloth evenly lit, straightened, beside what is none."""
    (h, w), width = rgb.shape[:2], None
    if known.even:
        rgb = even_light(rgb)
        notes.append("uneven light was taken out")
    if known.points is not None and known.apart_in is not None:
        width = width_from_points((w, h), *known.points, known.apart_in)
        notes.append(f"by the two points the photo is {width:.2f} in wide")
    if known.corners is not None and known.rectangle_in is not None:
        rgb = rectify(rgb, known.corners, known.rectangle_in)
        width = known.rectangle_in[0]
        notes.append("perspective was taken out by the four corners")
        return clear_of_sheets(Prepared(rgb, width, tuple(notes)), sheets, (h, w), known.corners)
    if known.corners is not None:
        shape = true_shape(check_corners(known.corners), (False,) * 4, (w, h), lens_mm)
        rgb = rectify(rgb, known.corners, (1.0, shape.aspect))
        notes.append(f"straightened by the four corners (seen {_from_above(shape.tilt_deg)})")
        ready = Prepared(rgb, None, tuple(notes), known.corners)
        ready = replace(ready, scales=width_by_markers(sheets, shape))
        return clear_of_sheets(ready, sheets, (h, w), known.corners)
    if not (known.whole or known.points):
        alone = _alone(rgb, lens_mm, tuple(notes), sheets)
        if alone is not None:
            return alone
    by_sheet = () if width is not None else [photo_width(s, (w, h)) for s in sheets[:1]]
    ready = Prepared(rgb, width, tuple(notes), scales=tuple(by_sheet))
    return clear_of_sheets(ready, sheets, (h, w), ((0, 0), (w, 0), (w, h), (0, h)))


def _alone(
    rgb: NDArray[np.uint8],
    lens_mm: float | None,
    notes: tuple[str, ...],
    sheets: Sequence[MarkerSheet],
) -> Prepared | None:
    """The cloth without its table, straightened; None where cloth fills the photo."""
    plain, away = painted_over(rgb, sheets)
    found = find_cloth(plain, away)
    if found is None:
        return None
    h, w = rgb.shape[:2]
    shape = true_shape(finer(plain, found.corners, found.cut), found.cut, (w, h), lens_mm)
    corners = tuple((float(x), float(y)) for x, y in shape.corners)
    alone = rectify(rgb, corners, (1.0, shape.aspect))
    rim = math.ceil(_RIM * alone.shape[1])
    kept = 1 - 2 * rim / alone.shape[1]
    alone = np.ascontiguousarray(alone[rim:-rim, rim:-rim])
    cut = tuple(side for side, out in zip(SIDES, found.cut, strict=True) if out)
    view = view_of(rgb, shape, cut)
    seen = "" if view.steep else f" (seen {_from_above(shape.tilt_deg)})"
    said = f"the cloth was found on its table and straightened{seen}"
    widths = width_by_markers(sheets, shape)
    if sheets and not widths:
        said += "; the marker sheet and its outline do not agree: measure the cloth"
    widths = tuple(s.times(kept) for s in widths or scales(plain, shape))
    ready = Prepared(alone, None, (*notes, said), corners, kept, widths, view)
    return clear_of_sheets(ready, sheets, (h, w), corners, rim)


def _found(rgb: NDArray[np.uint8], known: Calibration, notes: list[str]) -> Box | None:
    """The card sought in the photo, and a remark where it is."""
    if not known.find_white:
        return None
    box = find_card(rgb)
    if box is None:
        raise QuiltValueError(
            "white card: found none in plain view; accepted: one smooth white or grey rectangle at "
            "the photo's edge, or its place in pixels"
        )
    notes.append("the card was found at {},{} {},{} of the photo as read".format(*box))
    return box


def prepare_file(path: Source, known: Calibration = AS_TAKEN) -> Prepared:
    """Load a photo, at most 3600 pixels a side, and prepare it.

    Args:
        known: places in pixels of the whole, upright photo.

    Raises:
        QuiltFileError: missing or damaged file, not a picture.
        QuiltValueError: see :func:`prepare`.
    """
    return _prepared(path, known, _stamp(path))


def cloth_picture(path: str | Path, known: Calibration = AS_TAKEN) -> Path:
    """The picture of a cloth alone, as it was read: the file itself where nothing was done to it,
    else one that lasts as long as this process.

    Raises:
        as of :func:`prepare_file`.
    """
    ready = prepare_file(path, known)
    return picture_file(ready.rgb, Path(path).stem) if ready.notes else Path(path)


def _stamp(path: Source) -> tuple[int, int]:
    """What tells that a file is another by now."""
    if isinstance(path, PictureBytes):
        return len(path.data), 0
    try:
        found = Path(path).stat()
    except OSError:
        return 0, 0
    return found.st_size, found.st_mtime_ns


@lru_cache(maxsize=4)
def _prepared(path: Source, known: Calibration, stamp: tuple[int, int]) -> Prepared:
    info = image_info(path)
    picture = load_image(path, min_size=(MOST_SIDE, MOST_SIDE))
    if max(picture.size) > MOST_SIDE:
        picture.thumbnail((MOST_SIDE, MOST_SIDE), reducing_gap=2.0)
    scale = picture.width / info.width
    return prepare(np.asarray(picture), known.scaled(scale), info.lens_mm)
