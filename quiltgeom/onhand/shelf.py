"""What is on hand as arrays, ready to be searched."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from quiltgeom.colour import Floats
from quiltgeom.onhand.features import FEATURES, Features, features_of


@dataclass(frozen=True)
class Shelf:
    """All readable swatches as arrays, in the order of their paths; copies of a file count once.

    Attributes:
        ids, names, files, digests: one for each swatch; files as paths from the folder.
        features: structured array, see :data:`~quiltgeom.onhand.features.FEATURES`.
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
