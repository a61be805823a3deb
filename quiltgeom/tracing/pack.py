"""Fitting shapes onto as few pages as a careful hand would: each as high up as it goes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltgeom.tolerance import SAME_SHARE

STEP = 0.1
"""Inches: shapes are placed on this grid."""
GAP = 0.06
"""Inches kept clear round every shape."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a shape goes: page number, top left corner of its box, quarter turns clockwise."""

    page: int
    x: float
    y: float
    quarter: int


def pack(
    shapes: Sequence[Polygon],
    width: float,
    height: float,
    kept: Sequence[tuple[float, float, float, float]] = (),
    upright: Sequence[bool] = (),
) -> list[Spot | None]:
    """Place shapes on pages of ``width`` x ``height`` inches.

    Args:
        shapes: polygons (inches).
        kept: boxes (x, y, width, height) of every page that stay free.
        upright: whether a shape may not be turned (none of them, if not given).

    Returns:
        One spot for each shape, in order; None where it fits on no page.

    >>> from shapely.geometry import box
    >>> [s.page for s in pack([box(0, 0, 4, 4), box(0, 0, 4, 4), box(0, 0, 4.2, 3)], 8.5, 5)]
    [0, 0, 1]
    >>> pack([box(0, 0, 9, 9)], 8, 8)
    [None]
    """
    columns, rows = int(width / STEP + SAME_SHARE), int(height / STEP + SAME_SHARE)
    empty = np.zeros((rows, columns), dtype=bool)
    for x, y, w, h in kept:
        down = slice(int(y / STEP), math.ceil((y + h) / STEP))
        empty[down, int(x / STEP) : math.ceil((x + w) / STEP)] = True
    pages: list[NDArray[np.bool_]] = []
    spots: list[Spot | None] = [None] * len(shapes)
    for i in sorted(range(len(shapes)), key=lambda i: (-shapes[i].area, i)):
        turns = 1 if upright and upright[i] else 4
        masks = [_mask(_turned(shapes[i], q)) for q in range(turns)]
        for number in range(len(pages) + 1):
            page = pages[number] if number < len(pages) else empty
            found = _best(page, masks)
            if found is None:
                continue
            row, column, quarter = found
            if number == len(pages):
                pages.append(empty.copy())
            mask = masks[quarter]
            pages[number][row : row + mask.shape[0], column : column + mask.shape[1]] |= mask
            spots[i] = Spot(number, column * STEP + GAP, row * STEP + GAP, quarter)
            break
    return spots


def _turned(shape: Polygon, quarter: int) -> Polygon:
    """Turned clockwise, its box moved to the origin."""
    x, y = shapely.get_coordinates(shape).T
    for _ in range(quarter):
        x, y = -y, x
    return Polygon(np.column_stack((x - x.min(), y - y.min())))


def _mask(shape: Polygon) -> NDArray[np.bool_]:
    """Cells touched by the shape and the gap round it."""
    _, _, w, h = shape.bounds
    counts = [math.ceil((side + 2 * GAP) / STEP - SAME_SHARE) for side in (w, h)]
    middles = [(np.arange(count) + 0.5) * STEP - GAP for count in counts]
    x, y = np.meshgrid(*middles)
    wide = shape.buffer(GAP + STEP * 0.71)  # a cell's corner is 0.71 steps from its middle
    return np.asarray(shapely.contains_xy(wide, x, y))


def _best(
    page: NDArray[np.bool_], masks: Sequence[NDArray[np.bool_]]
) -> tuple[int, int, int] | None:
    """(row, column, quarter) whose shape ends highest on the page."""
    best: tuple[int, int, int, int] | None = None
    for quarter, mask in enumerate(masks):
        if mask.shape[0] > page.shape[0] or mask.shape[1] > page.shape[1]:
            continue
        rows, columns = np.nonzero(_clashes(page, mask) == 0)
        if len(rows):
            at = (int(rows[0]) + mask.shape[0], int(columns[0]), quarter, int(rows[0]))
            best = min(best, at) if best else at
    return (best[3], best[1], best[2]) if best else None


def _clashes(page: NDArray[np.bool_], mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    """For every place of the mask on the page: how many of its cells are taken."""
    shape = (page.shape[0] + mask.shape[0], page.shape[1] + mask.shape[1])
    spectrum = np.fft.rfft2(page, shape) * np.fft.rfft2(mask[::-1, ::-1], shape)
    full = np.rint(np.fft.irfft2(spectrum, shape)).astype(np.int64)
    return full[mask.shape[0] - 1 : page.shape[0], mask.shape[1] - 1 : page.shape[1]]
