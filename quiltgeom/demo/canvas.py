"""A canvas that repeats: what is drawn over one edge comes in at the opposite one."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from quiltgeom.render.cairo_draw import cairo

__all__ = ["Canvas", "Numbers", "printed", "rgb"]

Draw = Callable[[Any], None]


def rgb(colour: str) -> tuple[float, float, float]:
    """``#rrggbb`` as three numbers from 0 to 1."""
    r, g, b = bytes.fromhex(colour[1:])
    return r / 255, g / 255, b / 255


class Numbers:
    """Numbers that look random and are the same on every machine (PCG64 raw output)."""

    def __init__(self, seed: int) -> None:
        self._bits = np.random.PCG64(seed)

    def array(self, *shape: int) -> NDArray[np.float64]:
        """Uniform numbers in [0, 1)."""
        raw = self._bits.random_raw(math.prod(shape))
        return ((raw >> np.uint64(11)).astype(np.float64) / 2.0**53).reshape(shape)

    def between(self, low: float, high: float) -> float:
        """One number in [low, high)."""
        return low + (high - low) * float(self.array(1)[0])


class Canvas:
    """A tile of ``width`` x ``height`` inches that repeats without a seam.

    ``context`` draws in inches; use :meth:`stamp` for everything that may cross an edge.
    """

    def __init__(self, width: float, height: float, ppi: int, ground: str) -> None:
        lib = cairo()
        self.width, self.height = width, height
        self.px = (round(width * ppi), round(height * ppi))
        self.surface = lib.ImageSurface(lib.FORMAT_RGB24, *self.px)
        self.context = lib.Context(self.surface)
        self.context.scale(self.px[0] / width, self.px[1] / height)
        self.context.set_source_rgb(*rgb(ground))
        self.context.paint()
        self.context.set_line_cap(lib.LINE_CAP_ROUND)
        self.context.set_line_join(lib.LINE_JOIN_ROUND)

    def stamp(
        self, x: float, y: float, draw: Draw, *, turn: float = 0.0, scale: float = 1.0,
        flip: bool = False, reach: float = 3.0,
    ) -> None:  # fmt: skip
        """Draw something about (x, y), turned clockwise in degrees, wrapped round the edges."""
        for dx in (-self.width, 0.0, self.width):
            for dy in (-self.height, 0.0, self.height):
                cx, cy = x + dx, y + dy
                if not (-reach < cx < self.width + reach and -reach < cy < self.height + reach):
                    continue
                self.context.save()
                self.context.translate(cx, cy)
                self.context.rotate(math.radians(turn))
                self.context.scale(-scale if flip else scale, scale)
                draw(self.context)
                self.context.restore()

    def pixels(self) -> NDArray[np.float64]:
        """``(h, w, 3)`` red, green, blue from 0 to 1."""
        self.surface.flush()
        data = np.frombuffer(self.surface.get_data(), dtype=np.uint8)
        stride = self.surface.get_stride()
        rows = data.reshape(self.px[1], stride)[:, : self.px[0] * 4].reshape(self.px[1], -1, 4)
        return rows[:, :, 2::-1].astype(np.float64) / 255


def printed(
    tile: NDArray[np.float64], size: tuple[int, int], ppi: int, seed: int, rough: float = 1.0
) -> Image.Image:
    """Lay a printed tile over woven cotton of ``size`` pixels.

    Threads of plain weave differ a little from one another, more along their length than across;
    ink sits unevenly on them.
    """
    width, height = size
    reps = (-(-height // tile.shape[0]), -(-width // tile.shape[1]), 1)
    cloth = np.tile(tile, reps)[:height, :width]
    relief = _weave(width, height, ppi, seed) * rough
    shade = 1.0 + relief[..., None]
    return Image.fromarray(np.rint(np.clip(cloth * shade, 0, 1) * 255).astype(np.uint8))


def _weave(width: int, height: int, ppi: int, seed: int) -> NDArray[np.float64]:
    """Relative brightness of the cloth, mean 0, about 2.5 % up and down."""
    numbers = Numbers(seed)
    pitch = ppi / 66.0  # 66 threads to the inch, usual for quilting cotton (common practice)
    x, y = np.arange(width) / pitch, np.arange(height) / pitch
    warp = numbers.array(int(x[-1]) + 2)[x.astype(int)] - 0.5
    weft = numbers.array(int(y[-1]) + 2)[y.astype(int)] - 0.5
    over = np.where((x.astype(int)[None, :] + y.astype(int)[:, None]) % 2 == 0, 1.0, -1.0)
    grain = _smooth(numbers.array(height, width) - 0.5)
    return np.asarray(
        0.035 * (warp[None, :] * (1 + over) / 2 + weft[:, None] * (1 - over) / 2)
        + 0.012 * over + 0.05 * grain
    )  # fmt: skip


def _smooth(noise: NDArray[np.float64]) -> NDArray[np.float64]:
    """Average each value with its neighbours, all round."""
    for axis in (0, 1):
        noise = (np.roll(noise, 1, axis) + 2 * noise + np.roll(noise, -1, axis)) / 4
    return noise


def blob(context: Any, points: Sequence[tuple[float, float]]) -> None:
    """A closed smooth curve through points (Catmull-Rom as cubics)."""
    n = len(points)
    context.move_to(*points[0])
    for i in range(n):
        p0, p1, p2, p3 = (points[(i + k - 1) % n] for k in range(4))
        context.curve_to(
            p1[0] + (p2[0] - p0[0]) / 6, p1[1] + (p2[1] - p0[1]) / 6,
            p2[0] - (p3[0] - p1[0]) / 6, p2[1] - (p3[1] - p1[1]) / 6, *p2,
        )  # fmt: skip
    context.close_path()
