"""Names for colours from a published standard: ISCC-NBS (NBS Circular 553 and SP 440)."""

from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike, NDArray

from quiltgeom.colour import delta_e_2000, from_hex, rgb_to_lab


@cache
def _table() -> tuple[tuple[str, ...], NDArray[np.uint8]]:
    text = resources.files(__package__).joinpath("iscc_nbs.tsv").read_text("utf-8")
    rows = [r.split("\t") for r in text.splitlines() if r and not r.startswith("#")][1:]
    colours = np.stack([from_hex(hex_code) for _, hex_code in rows])
    colours.setflags(write=False)
    return tuple(name for name, _ in rows), colours


def standard_names() -> tuple[str, ...]:
    """The 267 category names of the standard, in its own order.

    >>> len(standard_names()), standard_names()[10]
    (267, 'vivid red')
    """
    return _table()[0]


def colour_name(rgb: ArrayLike) -> str:
    """The ISCC-NBS name whose centroid is nearest (CIEDE2000) to one sRGB colour.

    Args:
        rgb: three components, uint8 in 0..255 or float in 0..1.

    >>> colour_name(np.array([190, 0, 50], dtype=np.uint8))
    'vivid red'
    >>> colour_name(np.array([250, 250, 248], dtype=np.uint8))
    'white'
    """
    names, colours = _table()
    distance = delta_e_2000(rgb_to_lab(rgb), rgb_to_lab(colours))
    return names[int(np.argmin(distance))]
