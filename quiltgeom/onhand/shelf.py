"""What is on hand as arrays, ready to be searched."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from quiltgeom.onhand.features import Features

__all__ = ["Shelf"]


@dataclass(frozen=True)
class Shelf:
    """All readable swatches as arrays, in the order of their paths; copies of a file count once.

    Attributes:
        folder: of the index.
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
    width_on_hand: NDArray[np.float64]
    length_on_hand: NDArray[np.float64]

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
        return Shelf(
            self.folder, tuple(self.ids[i] for i in keep), tuple(self.names[i] for i in keep),
            tuple(self.files[i] for i in keep), tuple(self.digests[i] for i in keep),
            self.features[keep], self.width_on_hand[keep], self.length_on_hand[keep],
        )  # fmt: skip
