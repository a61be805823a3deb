"""From a reading to a fabric that can be laid, cut and drawn."""

import math
from pathlib import Path
from typing import Any, cast

from quiltgeom.fabric.photo.own_copies import mended
from quiltgeom.fabric.photo.prepare import AS_TAKEN, Calibration, cloth_picture, prepare_file
from quiltgeom.fabric.reading.directions.direction import SURE_DIRECTION
from quiltgeom.fabric.reading.read_file import is_mended
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.fabric.reading.repeats.repeat import SURE_REPEAT
from quiltgeom.fabric.reading.value import SOLID
from quiltgeom.files import picture_file
from quiltgeom.model.fabric import REPEATS, Direction, Fabric, Repeat

_TURN = 0.7
"""Degrees: a repeat whose axes are turned more than this in the picture is not tiled upright: at
twelve inches the error would be an eighth of an inch."""


def known_repeat(reading: Reading) -> Repeat | None:
    """The repeat as a fabric states it, where the reading is sure of one.

    >>> from quiltgeom.fabric.reading.reading import read_array
    >>> import numpy as np
    >>> known_repeat(read_array(np.full((64, 64, 3), 90, dtype=np.uint8), 6.0)) is None
    True
    """
    found = reading.repeat
    if found.size_in is None or found.confidence < SURE_REPEAT or abs(found.turn_deg) > _TURN:
        return None
    return Repeat(*found.size_in, cast(Any, found.kind)) if found.kind in REPEATS else None


def careful_direction(reading: Reading) -> tuple[Direction, str]:
    """The direction to cut by, and what is unsure about it ("" if nothing is).

    Without confidence a print is kept upright: that is never wrong, only less thrifty. Cloth that
    reads as solid may lie any way.
    """
    found = reading.direction
    if reading.loudness <= SOLID:  # nobody sees which way it lies
        return "non-directional", ""
    if found.confidence >= SURE_DIRECTION:
        return cast(Direction, found.kind), ""
    if found.kind == "one-way":
        return "one-way", "the print probably has an up; we keep it upright to be safe"
    words = f"the print may be {found.kind}, but that is unsure; we keep it upright to be safe"
    return "one-way", words


def fabric_from_reading(
    name: str, photo: Path, reading: Reading, known: Calibration = AS_TAKEN
) -> Fabric:
    """A fabric with the size, direction, up, repeat and a motif to centre, as read.

    A direction that the reading is not sure of counts as undeclared. Of cloth that was found on a
    table the picture is the cloth alone, mended by its own copies where its repeat is known.

    Args:
        known: what the photo was read with.
    """
    repeat = known_repeat(reading)
    if repeat and (repeat.width > reading.width_in or repeat.height > reading.height_in):
        repeat = None
    up = reading.direction.up_deg or 0.0
    direction, doubt = careful_direction(reading)
    return Fabric(
        name,
        image=swatch_picture(photo, reading, known),
        width=reading.width_in,
        direction=direction,
        declared=not doubt,
        up_deg=round(up / 90.0) * 90.0 % 360.0 if abs(up) < _TURN else up % 360.0,
        repeat=repeat,
        motif=middle_motif(reading),
    )


def middle_motif(reading: Reading) -> tuple[float, float] | None:
    """Centre of the large whole motif nearest to the middle of the swatch."""
    boxes = reading.motif.boxes
    if not boxes or reading.motif.typical is None:
        return None
    large = [b for b in boxes if max(b[2], b[3]) >= 0.6 * reading.motif.typical] or list(boxes)
    middle = (reading.width_in / 2, reading.height_in / 2)
    centres = [(x + w / 2, y + h / 2) for x, y, w, h in large]
    return min(centres, key=lambda c: math.dist(c, middle))


def swatch_picture(photo: Path, reading: Reading, known: Calibration = AS_TAKEN) -> Path:
    """The picture of a cloth as it is drawn: the photo itself where nothing was done to it."""
    if not reading.corners_px:
        return photo if known == AS_TAKEN else cloth_picture(photo, known)
    if not is_mended(reading):
        return cloth_picture(photo, known)
    pixels = prepare_file(photo, known).rgb
    better = mended(pixels, reading.width_in, reading.repeat.vectors_in)
    return picture_file(better.rgb, photo.stem) if better else cloth_picture(photo, known)
