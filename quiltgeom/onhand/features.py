"""A reading as a short row of numbers, so that ten thousand of them are one array."""

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import from_hex, linear_to_srgb, rgb_to_lab, srgb_to_linear
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.reading.palette import COLOURS
from quiltgeom.fabric.reading.reading import Reading

SOLID = 0.12
"""Loudness up to which a cloth reads as solid: our woven and mottled demo cloths lie below."""

FEATURES = np.dtype(
    [
        ("lab", "<f4", (COLOURS, 3)),  # CIELAB, largest share first
        ("share", "<f4", (COLOURS,)),  # 0 for places that are not used
        ("rgb", "u1", (COLOURS, 3)),
        ("seen", "<f4", (3,)),  # CIELAB of the mean light: its colour from across the room
        ("loudness", "<f4"),
        ("motif", "<f4"),  # typical, inches; NaN where none was found
        ("value", "<f4"),  # Munsell: mean, 5 % and 95 % of the area
        ("value_low", "<f4"),
        ("value_high", "<f4"),
        ("chroma", "<f4"),  # CIELAB, area mean
        ("purity", "<f4"),
        ("width", "<f4"),  # of the picture, inches, as it was read
    ]
)
"""One swatch. Little-endian whatever the machine: it is what the index stores."""

Features = NDArray[np.void]
"""A structured array of :data:`FEATURES`."""


def features_of(reading: Reading | Mapping[str, Any]) -> Features:
    """The features of a reading, or of its JSON form; a structured array of shape ``()``.

    Raises:
        QuiltValueError: this is no reading.

    >>> from quiltgeom.fabric.reading.reading import read_array
    >>> red = read_array(np.full((64, 64, 3), (190, 0, 50), dtype=np.uint8), 5.0)
    >>> row = features_of(red)
    >>> float(row["loudness"]), float(row["share"][0]), bool(np.isnan(row["motif"]))
    (0.0, 1.0, True)
    >>> np.allclose(row["seen"], row["lab"][0], atol=1e-3)
    True
    """
    data = reading.to_json() if isinstance(reading, Reading) else reading
    row = np.zeros((), dtype=FEATURES)
    try:
        palette = sorted(data["palette"], key=lambda c: -c["share"])[:COLOURS]
        rgb = np.stack([from_hex(c["hex"]) for c in palette])
        share = np.array([c["share"] for c in palette], dtype=np.float64)
        k = len(palette)
        row["rgb"][:k], row["lab"][:k], row["share"][:k] = rgb, rgb_to_lab(rgb), share
        mean = (srgb_to_linear(rgb / 255.0) * share[:, None]).sum(axis=0) / share.sum()
        row["seen"] = rgb_to_lab(linear_to_srgb(mean))
        row["loudness"] = data["loudness"]
        typical = data["motif_in"]["typical"]
        row["motif"] = np.nan if typical is None else typical
        row["value"] = data["value"]["munsell"]
        row["value_low"], row["value_high"] = data["value"]["low"], data["value"]["high"]
        row["width"] = data["width_in"]
        row["chroma"], row["purity"] = data["chroma"]["mean"], data["chroma"]["purity"]
    except (KeyError, TypeError, ValueError) as e:
        raise QuiltValueError(f"reading: found {e!r} in it; accepted: a reading's JSON") from e
    return row
