"""A photo of cloth that is ready to be read."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.calibrate import homography
from quiltgeom.fabric.photo.faults.view import View
from quiltgeom.fabric.photo.known_sizes import Scale
from quiltgeom.fabric.photo.marker_sheet import MarkerSheet
from quiltgeom.fabric.photo.sheet_tells import beside_sheets

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Prepared:
    """Pixels ready to be read, and what was done.

    Attributes:
        rgb: ``(h, w, 3)`` uint8.
        width_in: real width, if the calibration gives it.
        notes: what was done, for people.
        corners: of the cloth, where it was found on a table: pixels of the photo as it was read,
            clockwise from the top left.
        kept: part of the cloth's width that is in the picture: a hair of table and frayed threads
            at its rim is not.
        scales: its width by things of known size in the photo, the surest first.
        view: how it was seen, where it was found on a table.
    """

    rgb: NDArray[np.uint8]
    width_in: float | None
    notes: tuple[str, ...]
    corners: tuple[Point, ...] = ()
    kept: float = 1.0
    scales: tuple[Scale, ...] = ()
    view: View | None = None


def clear_of_sheets(
    ready: Prepared,
    sheets: Sequence[MarkerSheet],
    shape: tuple[int, int],
    corners: Sequence[Point],
    rim: int = 0,
) -> Prepared:
    """What lies beside marker sheets on the cloth, as far as enough of it is left.

    Args:
        ready: a picture of the cloth.
        sheets: in the photo.
        shape: of the photo.
        corners: of that picture in it, and of a rim round it that was left out.
    """
    h, w = ready.rgb.shape[:2]
    right, low = w + rim, h + rim
    inner = [(-rim, -rim), (right, -rim), (right, low), (-rim, low)]
    clear = beside_sheets(shape, sheets, homography(corners, inner), (w, h)) if sheets else ...
    if clear is None:
        said = "the marker sheet lies on the cloth and was read with it: lay it beside the cloth"
        return replace(ready, notes=(*ready.notes, said))
    rgb = np.ascontiguousarray(ready.rgb[clear])
    if rgb.shape == ready.rgb.shape:
        return ready
    part = rgb.shape[1] / w
    return replace(
        ready,
        rgb=rgb,
        width_in=ready.width_in and ready.width_in * part,
        notes=(*ready.notes, "of the cloth only what lies beside the marker sheet was read"),
        kept=ready.kept * part,
        scales=tuple(s.times(part) for s in ready.scales),
    )
