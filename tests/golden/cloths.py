"""Swatches made by simple code: every one says by itself which place of it is seen, and how.

All are 12 x 12 inches at 20 pixels per inch, without text and without anti-aliasing, so that no
release of any library draws them differently.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.golden.compare import Pixels

INCHES = 12.0
PPI = 20
N = round(INCHES * PPI)

DIGITS = (
    "111101101101111",
    "010110010010111",
    "111001111100111",
    "111001111001111",
    "101101111001001",
    "111100111001111",
    "111100111101111",
    "111001001001001",
    "111101111101111",
    "111101111001111",
)
"""Three columns, five rows, from the top."""


def _plain(colour: tuple[int, int, int]) -> Pixels:
    return np.tile(np.array(colour, dtype=np.uint8), (N, N, 1))


def _grid() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Inches across and down, at the middle of every pixel."""
    at = (np.arange(N) + 0.5) / PPI
    down, across = np.meshgrid(at, at, indexing="ij")
    return across, down


def numbers() -> Pixels:
    """Checks of 2 inches, each with its row and column (1 to 6) as two digits: no two places of
    the cloth alike, and none that looks the same when it is turned or mirrored."""
    out = np.empty((N, N, 3), dtype=np.uint8)
    step, dot = 2 * PPI, PPI // 5
    for row in range(6):
        for column in range(6):
            light = 150 + 16 * row if (row + column) % 2 else 225 - 10 * column
            cell = out[row * step : (row + 1) * step, column * step : (column + 1) * step]
            cell[:] = (light, 215 - 14 * column, 160 + 10 * row)
            for place, digit in enumerate((row + 1, column + 1)):
                mask = np.array([int(c) for c in DIGITS[digit]]).reshape(5, 3).repeat(dot, 0)
                y, x = step // 2 - 5 * dot // 2, step // 2 - 7 * dot // 2 + 4 * dot * place
                cell[y : y + 5 * dot, x : x + 3 * dot][mask.repeat(dot, 1) == 1] = (40, 30, 70)
    return out


def arrows() -> Pixels:
    """Dark arrows on sand, one in every 2 inches, pointing to the top of the swatch."""
    across, down = _grid()
    x, y = np.abs(across % 2 - 1), down % 2
    head = (y >= 0.3) & (y <= 1.0) & (x <= 0.75 * (y - 0.3))
    shaft = (y > 1.0) & (y <= 1.7) & (x <= 0.2)
    out = _plain((236, 214, 170))
    out[head] = (150, 40, 30)
    out[shaft] = (30, 60, 110)
    return out


def stripes() -> Pixels:
    """Stripes along the cloth: half an inch dark, an inch light, a quarter red, a quarter light."""
    across, _ = _grid()
    at = across % 2
    out = _plain((240, 236, 226))
    out[at < 0.5] = (40, 62, 92)
    out[(at >= 1.5) & (at < 1.75)] = (190, 60, 50)
    return out


def motif() -> Pixels:
    """One target at 4, 5 inches with a mark above it, on a ground that darkens downward."""
    across, down = _grid()
    far = np.hypot(across - 4, down - 5)
    out = _plain((214, 226, 222))
    out[..., 2] = (235 - 6 * down).astype(np.uint8)
    out[far < 2.0] = (200, 120, 40)
    out[far < 1.3] = (250, 240, 215)
    out[far < 0.6] = (140, 30, 60)
    out[(np.abs(across - 4) < 0.25) & (down > 2.2) & (down < 3.2)] = (20, 70, 60)
    return out


def flags(dx: float, dy: float) -> Pixels:
    """A flag with its mast, in a repeat of 3 x 4 inches whose next column is lowered by ``dy``
    or whose next row is shifted by ``dx``."""
    across, down = _grid()
    u = (across - dx * np.floor(down / 4)) % 3
    v = (down - dy * np.floor(across / 3)) % 4
    out = _plain((244, 240, 228))
    out[(u > 0.5) & (u < 0.75) & (v > 0.5) & (v < 3.3)] = (60, 50, 50)
    out[(u >= 0.75) & (u < 2.4) & (v > 0.5) & (v < 0.5 + 1.4 * (2.4 - u) / 1.65)] = (30, 110, 120)
    return out


def linen() -> Pixels:
    """Nearly plain: fine light checks, for backgrounds."""
    across, down = _grid()
    out = _plain((238, 230, 212))
    out[(across % 0.5 < 0.25) ^ (down % 0.5 < 0.25)] = (228, 218, 198)
    return out


def tide() -> Pixels:
    """Nearly plain and dark, with thin lines across, for accents."""
    _, down = _grid()
    out = _plain((44, 84, 104))
    out[down % 0.75 < 0.15] = (86, 128, 142)
    return out


def write_cloths(folder: Path) -> dict[str, Path]:
    """All swatches as PNG files, by name."""
    made = {
        "numbers": numbers(),
        "arrows": arrows(),
        "arrows-right": np.rot90(arrows(), -1),
        "stripes": stripes(),
        "motif": motif(),
        "half-drop": flags(0.0, 2.0),
        "brick": flags(1.5, 0.0),
        "linen": linen(),
        "tide": tide(),
    }
    paths = {}
    for name, pixels in made.items():
        paths[name] = folder / f"{name}.png"
        Image.fromarray(np.ascontiguousarray(pixels)).save(paths[name])
    return paths
