"""Turns a flat print into cotton: thread relief, ink that sits on threads, uneven yarn."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from quiltgeom.demo.noise import Field, fine_noise

WARP_PER_INCH = 68.0  # quilting cotton is near 60 to 70 threads per inch each way
WEFT_PER_INCH = 62.0
_WANDER = 0.22  # how far a thread strays from its place, in threads
_CREEP = 0.0042  # inches that ink creeps

Pixels = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Weave:
    """Fields of one piece of cloth, each of shape (px, px).

    Attributes:
        relief: light and shade of the threads, about -0.1 .. 0.1.
        over: +1 where the warp (lengthwise) thread lies on top, -1 where the weft does.
        streak: uneven yarn, lengthwise and crosswise together, about -1 .. 1.
        shift_x, shift_y: how many pixels the ink strays because it sits on threads.
    """

    relief: Field
    over: Field
    streak: Field
    shift_x: NDArray[np.int32]
    shift_y: NDArray[np.int32]


@lru_cache(maxsize=2)
def weave(px: int, ppi: int) -> Weave:
    """The plain weave of ``px`` x ``px`` pixels at ``ppi`` pixels per inch (one for all cloths)."""
    inches = px / ppi
    coarse = max(2, round(inches * 2.5))
    warps, wefts = round(inches * WARP_PER_INCH), round(inches * WEFT_PER_INCH)
    lengthwise = fine_noise(11, (coarse, warps), (px, px))
    crosswise = fine_noise(12, (wefts, coarse), (px, px))
    at = (np.arange(px, dtype=np.float32) + 0.5) / ppi
    u = np.pi * (at[None, :] * WARP_PER_INCH + _WANDER * lengthwise)
    v = np.pi * (at[:, None] * WEFT_PER_INCH + _WANDER * crosswise)
    sin_u, sin_v = np.sin(u), np.sin(v)
    over = sin_u * sin_v
    # ridges are near the finest that the pixels can show: fade them as a camera would
    ridge = (sin_u * sin_u * sin_v * sin_v - 0.25) * np.float32(np.sinc(WARP_PER_INCH / ppi))
    streak = 0.5 * (lengthwise + crosswise)
    relief = 0.030 * over + 0.07 * ridge + 0.026 * streak
    stray = ppi * 0.0045
    return Weave(
        relief=relief.astype(np.float32),
        over=over.astype(np.float32),
        streak=streak.astype(np.float32),
        shift_x=np.rint(crosswise * stray).astype(np.int32),
        shift_y=np.rint(lengthwise * stray).astype(np.int32),
    )


def print_on(tile: Pixels, px: int, ppi: int) -> Pixels:
    """Print a repeating tile (rows, columns, 4) on cloth of ``px`` x ``px`` pixels.

    Returns:
        RGB pixels, shape (px, px, 3).
    """
    cloth = weave(px, ppi)
    rows, columns = tile.shape[:2]
    place = np.arange(px, dtype=np.int32)
    y = (place[:, None] + cloth.shift_y) % rows
    x = (place[None, :] + cloth.shift_x) % columns
    ink = np.ascontiguousarray(tile).view(np.uint32).reshape(-1)[y * columns + x]
    flat = ink.view(np.uint8).reshape(px, px, 4)
    return _shade(_soften(flat, ppi), cloth, strength=1.0)


def mottle(light: str, dark: str, px: int, ppi: int, seed: int) -> Pixels:
    """Cloth dyed unevenly by hand: clouds between two colours, over all sizes.

    Returns:
        RGB pixels, shape (px, px, 3).
    """
    inches = px / ppi
    cloud = np.zeros((px, px), np.float32)
    for k, (per_inch, part) in enumerate(((0.5, 0.38), (1.1, 0.30), (2.6, 0.2), (7.0, 0.12))):
        cells = max(2, round(inches * per_inch))
        cloud += np.float32(part) * fine_noise(seed * 10 + k, (cells, cells), (px, px))
    share = np.clip(0.5 + 1.1 * cloud, 0, 1)
    return _shade(_blend(light, dark, share), weave(px, ppi), strength=1.0)


def _blend(first: str, second: str, share: Field) -> Field:
    a, b = (np.array(list(bytes.fromhex(c[1:])), np.float32) for c in (first, second))
    out = np.empty((*share.shape, 3), np.float32)
    for channel in range(3):
        out[:, :, channel] = b[channel] + share * (a[channel] - b[channel])
    return out


def _soften(flat: Pixels, ppi: int) -> Pixels:
    """Ink creeps a little along the yarn."""
    from PIL import Image, ImageFilter

    blur = ImageFilter.GaussianBlur(_CREEP * ppi)
    return np.asarray(Image.fromarray(flat, "RGBX").convert("RGB").filter(blur))


def dye(warp: str, weft: str, px: int, ppi: int, slub: float) -> Pixels:
    """Yarn-dyed cloth: lengthwise threads of one colour, crosswise of another, uneven by ``slub``.

    Returns:
        RGB pixels, shape (px, px, 3).
    """
    cloth = weave(px, ppi)
    share = np.clip(0.5 + 0.62 * cloth.over + slub * cloth.streak, 0, 1)
    return _shade(_blend(warp, weft, share), cloth, strength=1.3)


def _shade(flat: NDArray[np.uint8] | Field, cloth: Weave, strength: float) -> Pixels:
    factor = 1 + strength * cloth.relief
    lift = 5.0 + 2.5 * cloth.streak  # fibre ends catch light: black ink is never quite black
    out = np.empty(flat.shape, np.uint8)
    for channel in range(3):
        value = flat[:, :, channel] * factor
        value += lift * (1 - value * np.float32(1 / 245))
        np.clip(value, 0, 255, out=value)
        out[:, :, channel] = value + np.float32(0.5)
    return out
