"""Shared drawing aids for the tests."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

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
