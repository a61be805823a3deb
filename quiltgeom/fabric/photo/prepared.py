"""A photo of cloth that is ready to be read."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import linear_light
from quiltgeom.fabric.photo.calibrate import homography, relit
from quiltgeom.fabric.photo.faults.view import View
from quiltgeom.fabric.photo.known_sizes import Scale
from quiltgeom.fabric.photo.markers.marker_sheet import MarkerSheet
from quiltgeom.fabric.photo.markers.sheet_tells import PAPER_WHITE, beside_sheets, paper_light

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


def lit_by_sheets(
    ready: Prepared, photo: NDArray[np.uint8], sheets: Sequence[MarkerSheet]
) -> Prepared:
    """The cloth in colour and brightness as marker sheets show them: a factor for each of red,
    green and blue; less bright where the cloth would shine more than it is lit.

    Args:
        ready: a picture of the cloth.
        photo: ``(h, w, 3)`` uint8, from which it was made.
        sheets: in the photo.
    """
    told = paper_light(photo, sheets)
    if told is None:
        said = "the marker sheet is too dark or too bright to balance colours by"
        return replace(ready, notes=(*ready.notes, said)) if sheets else ready
    light, by_paper = told
    gain = PAPER_WHITE / light
    brightest = np.percentile((linear_light(ready.rgb[::4, ::4]) * gain).max(axis=2), 99)
    gain /= max(1.0, float(brightest))
    by = "marker sheet" if by_paper else "greys of the marker sheet (its paper is burnt out)"
    parts = [f"{name} x {g:.2f}" for name, g in zip(("red", "green", "blue"), gain, strict=True)]
    said = f"colours and brightness were balanced by the {by}: {', '.join(parts)}"
    view = ready.view and replace(ready.view, white=True)
    return replace(ready, rgb=relit(ready.rgb, gain), notes=(*ready.notes, said), view=view)
