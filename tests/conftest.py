"""Shared drawing aids for the tests."""

from __future__ import annotations

import io
import os
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from quiltgeom.library.blocks import load_blocks
from quiltgeom.model.block import Block

CORE = {
    "bears-paw",
    "bow-tie",
    "bright-hopes",
    "churn-dash",
    "courthouse-steps",
    "drunkards-path",
    "economy",
    "eight-pointed-star",
    "evening-star",
    "flying-geese",
    "four-patch",
    "friendship-star",
    "half-square-triangle",
    "hourglass",
    "jacobs-ladder",
    "kaleidoscope",
    "log-cabin",
    "maple-leaf",
    "nine-patch",
    "ohio-star",
    "orange-peel",
    "rail-fence",
    "snails-trail",
    "spools",
    "square-in-a-square",
    "tumbling-blocks",
}


def swept_blocks() -> list[Block]:
    """Blocks for the slow sweeps: the core and every sixth of the others with up to 60 patches;
    all of them when ``QUILTGEOM_EVERY_BLOCK`` is set (about ten minutes)."""
    everything = list(load_blocks())
    if os.environ.get("QUILTGEOM_EVERY_BLOCK"):
        return everything
    return [
        b
        for k, b in enumerate(everything)
        if b.key in CORE or (k % 6 == 0 and len(b.patches) <= 60)
    ]


ARROW = [(0, -2), (1.2, -0.2), (0.4, -0.2), (0.4, 2), (-0.4, 2), (-0.4, -0.2), (-1.2, -0.2)]
ARROW_AREA = 1.2 * 1.8 + 0.8 * 2.2  # head (triangle) + shaft (rectangle), units squared


def arrow_image(side_px: int, per_side: int, unit_px: float, turn: int = 0) -> Image.Image:
    """Black arrows on white, all pointing to the top, then turned by quarter turns clockwise."""
    over, step = 16, side_px // per_side
    large = Image.new("L", (step * over, step * over), 255)
    middle = step * over / 2 - 0.5  # pixel centres
    ImageDraw.Draw(large).polygon(
        [(middle + x * unit_px * over, middle + y * unit_px * over) for x, y in ARROW], fill=0
    )
    one = large.resize((step, step), Image.Resampling.BOX)
    image = Image.new("L", (side_px, side_px), 255)
    for i in range(per_side):
        for j in range(per_side):
            image.paste(one, (i * step, j * step))
    return image.rotate(-90 * turn).convert("RGB")


@pytest.fixture(scope="session")
def arrow_files(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """12-inch swatches of small arrows at 100 pixels per inch whose up is at 0, 90, 180, 270."""
    folder = tmp_path_factory.mktemp("arrows")
    paths = []
    for turn in range(4):
        path = folder / f"arrows-{turn * 90}.png"
        arrow_image(1200, 15, 15.0, turn).save(path)
        paths.append(path)
    return paths


def png_array(data: bytes) -> np.ndarray:
    """PNG bytes to an (h, w, 3) float array."""
    with Image.open(io.BytesIO(data)) as image:
        return np.asarray(image.convert("RGB"), dtype=float)
