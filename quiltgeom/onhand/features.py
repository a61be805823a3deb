"""A reading as a short row of numbers, so that ten thousand of them are one array: the shelf."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, from_hex, linear_to_srgb, rgb_to_lab, srgb_to_linear
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


@dataclass(frozen=True)
class Shelf:
    """All readable swatches as arrays, in the order of their paths; copies of a file count once.

    Attributes:
        ids, names, files, digests: one for each swatch; files as paths from the folder.
        features: structured array, see :data:`FEATURES`.
        width_on_hand, length_on_hand: inches, NaN where not stated.
    """

    folder: Path
    ids: tuple[int, ...]
    names: tuple[str, ...]
    files: tuple[str, ...]
    digests: tuple[str, ...]
    features: Features
    width_on_hand: Floats
    length_on_hand: Floats

    def __len__(self) -> int:
        return len(self.ids)

    def path(self, i: int) -> Path:
        """The picture of a swatch, by its place on the shelf."""
        return Path(os.path.normpath(self.folder / self.files[i]))

    def without(self, digests: Iterable[str]) -> Shelf:
        """The shelf without files of these contents (such as the print itself)."""
        gone = set(digests)
        keep = [i for i, d in enumerate(self.digests) if d not in gone]
        if len(keep) == len(self):
            return self
        ids, names = tuple(self.ids[i] for i in keep), tuple(self.names[i] for i in keep)
        files, digests = tuple(self.files[i] for i in keep), tuple(self.digests[i] for i in keep)
        amounts = self.width_on_hand[keep], self.length_on_hand[keep]
        return Shelf(self.folder, ids, names, files, digests, self.features[keep], *amounts)


def make_shelf(
    folder: Path, rows: list[tuple[Any, ...]], reading: Callable[[int], dict[str, Any]]
) -> Shelf:
    """A shelf of the index's rows.

    Features that an earlier version stored, or that cannot be, are made again of the reading.

    Args:
        rows: path, id, name, digest, features, width and length on hand (inches or None).
        reading: the reading of a swatch, by its number.
    """

    def stored(key: int, blob: bytes | None) -> bytes:
        whole = blob is not None and len(blob) == FEATURES.itemsize
        return blob if whole and blob else features_of(reading(key)).tobytes()

    features = np.frombuffer(b"".join(stored(r[1], r[4]) for r in rows), dtype=FEATURES)
    odd = np.isinf(features["motif"])
    for name in FEATURES.names or ():
        if name != "motif":  # NaN where none was found
            sound = np.abs(features[name]) < 1e9
            odd |= ~sound.all(axis=tuple(range(1, sound.ndim)))
    if odd.any():
        features = features.copy()
    for i in np.flatnonzero(odd):
        features[i] = features_of(reading(rows[i][1]))
    amounts = np.array([r[5:7] for r in rows], dtype=np.float64).reshape(-1, 2)
    ids, names, files = (
        tuple(r[1] for r in rows),
        tuple(r[2] or os.path.splitext(os.path.basename(r[0]))[0] for r in rows),
        tuple(r[0] for r in rows),
    )
    digests = tuple(r[3] for r in rows)
    return Shelf(folder, ids, names, files, digests, features, amounts[:, 0], amounts[:, 1])
