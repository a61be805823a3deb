"""Small swatches for the tests of the index: quick to write, quick to read, all different."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image


def cloth(seed: int, side: int = 96) -> Image.Image:
    """A spotted cloth whose colours and spots depend on the seed."""
    rng = np.random.default_rng(seed)
    pixels = np.tile(rng.integers(0, 256, 3, dtype=np.uint8), (side, side, 1))
    ink = rng.integers(0, 256, 3, dtype=np.uint8)
    y, x = np.mgrid[0:side, 0:side]
    for _ in range(12):
        cx, cy = rng.integers(0, side, 2)
        pixels[(x - cx) ** 2 + (y - cy) ** 2 < 16] = ink
    return Image.fromarray(pixels)


def write_cloths(folder: Path, count: int, first: int = 0, side: int = 96) -> list[Path]:
    """``cloth-00.png`` and so on, stating 25 pixels per inch."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for k in range(first, first + count):
        path = folder / f"cloth-{k:02d}.png"
        cloth(k, side).save(path, dpi=(25, 25))
        paths.append(path)
    return paths
