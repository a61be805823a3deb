"""A quick look at a swatch: colours, value, loudness and motif size, without repeat and direction.

It is what choosing among many swatches needs; the few that are chosen are then read in full.
"""

import numpy as np
from numpy.typing import NDArray

from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.image import NO_WIDTH, image_info, load_image
from quiltgeom.fabric.reading.calibrate import even_light
from quiltgeom.fabric.reading.directions.direction import DirectionReading
from quiltgeom.fabric.reading.loudness import read_loudness
from quiltgeom.fabric.reading.motif import read_motifs
from quiltgeom.fabric.reading.palette import read_palette
from quiltgeom.fabric.reading.pixels import check_rgb, check_size, shrink, shrink_picture
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.fabric.reading.repeats.repeat import RepeatReading
from quiltgeom.fabric.reading.value import read_chroma, read_value
from quiltgeom.fabric.source import Source

SIDE = 360
"""Pixels: enough for colours and motifs from a quarter of an inch on a 12-inch swatch."""

NOT_LOOKED = "not looked for in a quick reading"


def glance_array(rgb: NDArray[np.uint8], width_in: float) -> Reading:
    """As :func:`~quiltgeom.fabric.reading.reading.read_array`, without repeat and direction.

    Args:
        rgb: ``(h, w, 3)`` uint8.

    >>> seen = glance_array(np.full((64, 64, 3), (190, 0, 50), dtype=np.uint8), 5.0)
    >>> seen.palette[0].name, seen.direction.confidence
    ('vivid red', 0.0)
    """
    rgb = check_rgb(rgb)
    return _glance(shrink(rgb, SIDE), width_in, width_in * rgb.shape[0] / rgb.shape[1])


def _glance(small: NDArray[np.uint8], width_in: float, height_in: float) -> Reading:
    if not 0 < width_in <= 1000:
        raise QuiltValueError(f"swatch width: found {width_in!r}; accepted: inches above 0")
    palette = read_palette(even_light(small))
    repeat = RepeatReading("none", confidence=0.0, reason=NOT_LOOKED)
    direction = DirectionReading("one-way", confidence=0.0, reason=f"unsure: {NOT_LOOKED}")
    seen = read_motifs(small, width_in, palette), read_loudness(small, width_in), palette
    value, notes = read_value(small), ("a quick reading: repeat and direction were not looked for",)
    chroma = read_chroma(palette)
    return Reading(width_in, height_in, repeat, direction, *seen, value, chroma, notes)


def glance_swatch(path: Source, width_in: float | None = None) -> Reading:
    """A quick look at a picture file.

    Args:
        width_in: real width; None takes the density that the file states.

    Raises:
        QuiltFileError: missing or damaged file, not a picture.
        QuiltValueError: no width given and none stated; picture too small.
    """
    info = image_info(path)
    if width_in is None:
        if info.ppi is None:
            raise QuiltValueError(f"picture {path}: {NO_WIDTH}; accepted: a width, such as 12 in")
        width_in = info.width / info.ppi
    picture = load_image(path, min_size=(SIDE, SIDE))
    w, h = picture.size
    check_size(w, h)
    return _glance(np.asarray(shrink_picture(picture, SIDE)), width_in, width_in * h / w)
