"""A ruler or measuring tape beside a cloth, by its ticks."""

from collections.abc import Iterator
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.above import Above, mapped
from quiltgeom.fabric.photo.four_sides import Mask
from quiltgeom.fabric.photo.tick_marks import read_ticks

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_CELL = 6  # pixels of a side of the squares in which edges are told by their direction
_EDGES = 5.0  # grey levels a pixel: fainter edges are the table's grain, or noise
_ONE_WAY = 0.7  # coherence of the directions in a square (0: all alike, 1: one alone)
_TURN = 2  # degrees from one direction that is tried to the next
_FEWEST = 10  # squares more along one line than in its neighbourhood
_TRIED, _TRIED_INSIDE = 8, 3  # lines
_GAP = 8  # squares: a ruler has no longer gap between its ticks
_HALF = 100  # pixels to either side of the line: longer ticks are not followed
_RIM = 0.12
"""Of the cloth's width: rulers lie over its rim, and are taken for a part of it; what looks like a
ruler further in is print."""

_AGREE = 0.03  # of the width: the two edges of a ruler, or two rulers


class Squares(NamedTuple):
    """Squares of the plane in which all edges run one way."""

    at: Floats
    turn: Floats


def width_by_ruler(grey: Pixels, above: Above) -> float | None:
    """How wide a cloth is by a ruler that lies beside it, or over its rim.

    Args:
        grey: ``(h, w)`` uint8, lightness of the whole photo.
        above: the same seen from above, the cloth some 900 pixels wide.

    Returns:
        Inches; None where no ruler is read, where two disagree, or where the cloth is printed with
        what reads as one.

    >>> table = np.full((600, 1100), 200, np.uint8)
    >>> for k in range(81):
    ...     table[500 : {0: 540, 4: 528}.get(k % 8, 515), 40 + 12 * k : 43 + 12 * k] = 30
    >>> cloth = np.zeros_like(table)
    >>> cloth[40:440, 100:900] = 1
    >>> width_by_ruler(table, Above(table, np.ones_like(table), cloth, 800.0, np.eye(3)))
    8.33
    """
    reach = 2 * round(_RIM * above.cloth_px) + 1
    box = np.ones((reach, reach), np.uint8)
    inner = cv2.erode(above.cloth, box, borderType=cv2.BORDER_CONSTANT, borderValue=0)
    there = cv2.erode(above.there, np.ones((9, 9), np.uint8))
    widths = [above.cloth_px / inch for inch in _rulers(grey, above, there & (1 - inner), _TRIED)]
    if not widths or max(widths) > (1 + _AGREE) * min(widths):
        return None
    printed = next(_rulers(grey, above, there & inner, _TRIED_INSIDE), None)
    return round(float(np.median(widths)), 2) if printed is None else None


def _rulers(grey: Pixels, above: Above, where: Mask, tries: int) -> Iterator[float]:
    """Pixels per inch on the plane by each ruler's edge."""
    left = squares(above.seen, where)
    for _ in range(tries):
        line = _line(left)
        if line is None:
            return
        middle, along, off, ends = line
        strip, step = _strip(grey, above, middle, along, ends)
        ticks = read_ticks(strip, step) if strip.shape[1] > 256 else None
        if ticks is not None:
            yield ticks.inch
        left = Squares(left.at[off > 4], left.turn[off > 4])


def squares(seen: Pixels, where: Mask) -> Squares:
    """Where edges run one way only, and the way across them, in degrees.

    By the structure tensor (Bigun and Granlund 1987).
    """
    across, down = (
        cv2.Sobel(seen, cv2.CV_32F, *way, scale=0.125) * where for way in ((1, 0), (0, 1))
    )
    h, w = (size // _CELL for size in seen.shape)

    def pooled(each: Floats) -> Floats:
        small: Floats = cv2.resize(
            each[: h * _CELL, : w * _CELL], (w, h), interpolation=cv2.INTER_AREA
        )
        return small

    xx, yy, xy = pooled(across * across), pooled(down * down), pooled(across * down)
    whole = pooled(where.astype(np.float32))
    one_way = np.hypot(xx - yy, 2 * xy) > _ONE_WAY * (xx + yy)
    y, x = np.nonzero((whole > 0.8) & one_way & (xx + yy > _EDGES**2))
    turn: Floats = np.degrees(np.arctan2(2 * xy[y, x], (xx - yy)[y, x])) / 2 % 180
    return Squares(np.column_stack([x, y]).astype(np.float64) + 0.5, turn)


def _line(squares: Squares) -> tuple[Floats, Floats, Floats, tuple[float, float]] | None:
    """The line along which most squares lie whose edges run right across it.

    Returns:
        A point of it, its direction, how far each square is from it, and from where to where along
        it they lie; all in squares.
    """
    best = _voted(squares)
    if best is None:
        return None
    turn, offset = best
    along = np.array([np.cos(turn), np.sin(turn)])
    middle = np.array([-along[1], along[0]]) * offset
    across = np.abs((squares.turn - np.degrees(turn) + 90) % 180 - 90) < 10
    for near in (4.0, 2.5, 2.0):
        off = np.abs((squares.at - middle) @ [-along[1], along[0]])
        on = squares.at[across & (off < near)]
        if len(on) < _FEWEST:
            return None
        middle = on.mean(axis=0)
        along = np.linalg.svd(on - middle, full_matrices=False)[2][0]
    off = np.abs((squares.at - middle) @ [-along[1], along[0]])
    at = np.sort((squares.at[across & (off < 2)] - middle) @ along)
    pieces = np.split(at, np.nonzero(np.diff(at) > _GAP)[0] + 1)
    longest = max(pieces, key=len)
    if len(longest) < _FEWEST:
        return None
    return middle, along, off, (float(longest[0]), float(longest[-1]))


def _voted(squares: Squares) -> tuple[float, float] | None:
    """Direction, radians, and offset of the line with the most votes (Hough 1962), less those for
    its neighbours: grain and stripes vote for all of them alike."""
    ways = 180 // _TURN
    reach = int(np.hypot(*squares.at.max(axis=0, initial=0))) + 2
    votes = np.zeros((ways, 2 * reach), np.float32)
    for more in range(-2, 3):
        way = np.rint(squares.turn / _TURN).astype(int) + more
        turn = np.radians(way * _TURN)
        offset = squares.at[:, 1] * np.cos(turn) - squares.at[:, 0] * np.sin(turn)
        offset[way % (2 * ways) >= ways] *= -1
        bins = (way % ways) * 2 * reach + np.rint(offset).astype(int) + reach
        votes += np.bincount(bins, minlength=votes.size).reshape(votes.shape)
    more_than_near = 3 * cv2.blur(votes, (3, 1)) - 2 * cv2.blur(votes, (21, 1))
    best, bin_ = divmod(int(more_than_near.argmax()), 2 * reach)
    if more_than_near[best, bin_] < _FEWEST:
        return None
    return float(np.radians(best * _TURN)), float(bin_ - reach)


def _strip(
    grey: Pixels, above: Above, middle: Floats, along: Floats, ends: tuple[float, float]
) -> tuple[Pixels, float]:
    """The photo along a line, as fine as it is, and pixels of the plane from column to column."""
    here = mapped(above.to_photo, np.array([middle, middle + along]) * _CELL)
    step = max(0.35, 0.5 * _CELL / float(np.hypot(*(here[1] - here[0]))))
    a, b = ends[0] * _CELL - 20, ends[1] * _CELL + 20
    to_side = np.array([-along[1], along[0]])
    begin = middle * _CELL + a * along - _HALF * to_side
    to_plane = np.vstack([np.column_stack([along * step, to_side, begin]), [0, 0, 1]])
    size = int((b - a) / step), 2 * _HALF + 1
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    return cv2.warpPerspective(grey, above.to_photo @ to_plane, size, flags=flags), step
