"""A cutting mat under a cloth, by the order of the lines of its grid."""

from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.above import Above
from quiltgeom.fabric.photo.ruler import squares
from quiltgeom.fabric.photo.tick_marks import beats

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_BAND = 60  # pixels: so much of each line is looked at together
_LINE = 21  # pixels: lines of a grid are thinner by far
_SHOWN = 0.8  # of a band's height beside the cloth, for a column to count
_GRID = 0.35  # of the squares with edges: they run with the grid
_FEWEST_BANDS = 4
_FEWEST_LINES = 8
_OFF = 0.15  # of a unit: lines stand so near to where they should
_ALIKE = 0.025  # of the spacing, across and down
_FAINT = 0.75  # of the lines beside them: lines that halve a unit are at most so strong
_HEAVY, _ABOVE = 1.12, 1.05
"""Of the usual line, and of any other: as strong are lines that count units."""
_MOST = 0.6  # of the lines in all bands agree
_NO_LINE = 0.15  # of the lines beside: only the beat of thin lines, two or three times as fast
_COUNTED = {3: 1.0, 4: 1.0, 6: 1.0, 12: 1.0, 5: 1 / 2.54, 10: 1 / 2.54}
"""What a unit is by how many a heavy line counts: a foot is told in thirds, quarters and halves,
centimetres in fives and tens; common practice, no source."""


class Grid(NamedTuple):
    """Parallel lines: pixels of a unit, and how many units from heavy line to heavy line."""

    unit: float
    counted: int


def width_by_mat(above: Above) -> float | None:
    """How wide a cloth is by the grid of a mat on which it lies.

    Args:
        above: lightness of the whole photo, the cloth some 900 pixels wide.

    Returns:
        Inches; None where no square grid is seen, or none whose heavier lines tell inches from
        centimetres.

    >>> mat = np.full((1300, 1300), 60, np.uint8)
    >>> for k in range(32):
    ...     wide = 6 if k % 6 == 0 else 3
    ...     mat[40 * k : 40 * k + wide] = mat[:, 40 * k : 40 * k + wide] = 180
    >>> cloth = np.zeros_like(mat)
    >>> cloth[400:900, 400:900] = 1
    >>> width_by_mat(Above(mat, np.ones_like(mat), cloth, 500.0, np.eye(3)))
    12.5
    """
    rim = np.ones((9, 9), np.uint8)
    beside = cv2.erode(above.there & (1 - cv2.dilate(above.cloth, rim)), rim)
    turn = _turn(above, beside)
    if turn is None:
        return None
    found = []
    for more in (0.0, 90.0):
        seen, mask = (_turned(each, turn + more) for each in (above.seen, beside))
        grid = _grid(seen, mask)
        if grid is None:
            return None
        found.append(grid)
    units, counted = zip(*found, strict=True)
    known = {_COUNTED[count] for count in counted}
    if len(known) != 1 or max(units) > (1 + _ALIKE) * min(units):
        return None
    return round(above.cloth_px / float(np.mean(units)) * known.pop(), 2)


def _turn(above: Above, beside: Pixels) -> float | None:
    """The way of the grid, degrees within a right angle, if most edges run by one."""
    turns = squares(above.seen, beside).turn % 90
    if len(turns) < 200:
        return None
    near = np.histogram(turns, 90, (0, 90))[0]
    most = float(cv2.blur(np.tile(near, 3).astype(np.float64)[None], (3, 1))[0, 90:180].argmax())
    off = (turns - most - 0.5 + 45) % 90 - 45
    with_it = np.abs(off) < 3
    return most + 0.5 + float(np.median(off[with_it])) if with_it.mean() > _GRID else None


def _turned(seen: Pixels, degrees: float) -> Pixels:
    h, w = seen.shape
    by = cv2.getRotationMatrix2D((w / 2, h / 2), degrees, 1.0)
    corners = np.array([(0, 0), (w, 0), (w, h), (0, h)], float) @ by[:, :2].T + by[:, 2]
    by[:, 2] -= corners.min(axis=0)
    size = tuple(int(v) for v in np.ceil(np.ptp(corners, axis=0)))
    turned: Pixels = cv2.warpAffine(seen, by, size, flags=cv2.INTER_LINEAR)
    return turned


def _grid(seen: Pixels, mask: Pixels) -> Grid | None:
    """The upright lines of a picture, if they stand evenly and in one order in most bands of it."""
    lines = seen.astype(np.float32)
    lines -= cv2.blur(lines, (_LINE, 1))
    found = []
    for top in range(0, len(seen) - _BAND, _BAND):
        band = slice(top, top + _BAND)
        shown = mask[band].mean(axis=0) > _SHOWN
        if shown.sum() > 4 * _BAND:
            in_band = _in_band((lines[band] * mask[band]).mean(axis=0) * shown)
            found += [in_band._replace(top=top)] if in_band else []
    if len(found) < _FEWEST_BANDS:
        return None
    each_unit = np.repeat([each.unit for each in found], [len(each.at) for each in found])
    unit = float(np.median(each_unit))
    alike = [each for each in found if abs(each.unit / unit - 1) < _ALIKE]
    most = sum(len(each.at) for each in alike) >= _MOST * len(each_unit)
    if not most or len(alike) < _FEWEST_BANDS:
        return None
    _, tops, places, strengths = zip(*alike, strict=True)
    # what little the grid is turned yet
    turns = [np.angle(np.exp(2j * np.pi * at / unit).sum()) for at in places]
    slope = np.polyfit(tops, np.unwrap(turns), 1)[0] / (2 * np.pi) * unit
    at = np.concatenate([at - slope * top for at, top in zip(places, tops, strict=True)])
    strong = np.concatenate(strengths)
    order = np.argsort(at)
    ends = np.nonzero(np.diff(at[order]) > 0.4 * unit)[0] + 1
    each_line = [line for line in np.split(order, ends) if len(line) > 1][1:-1]
    if len(each_line) < _FEWEST_LINES:
        return None
    middle, usual = (np.array([np.median(v[line]) for line in each_line]) for v in (at, strong))
    apart = np.diff(middle) / unit
    if np.abs(apart - apart.round()).max() > _OFF:
        return None
    return _counted(np.r_[0, np.cumsum(apart.round())].astype(int), usual, unit)


class _Band(NamedTuple):
    """Pixels of a unit; where it begins; where each line is, and how strong among those near."""

    unit: float
    top: int
    at: Floats
    strong: Floats


def _in_band(profile: Floats) -> _Band | None:
    """The lines of whole units in one band."""
    from scipy.ndimage import median_filter

    profile = profile * np.sign((profile**3).sum())
    found = next(beats(profile[None], 1.0, _FEWEST_LINES), None)
    if found is None:
        return None
    begin, cycles, _ = found
    whole = np.arange(np.ceil(cycles[0] + 0.3), np.floor(cycles[-1] - 0.3) + 1)
    at = begin + np.interp(whole, cycles, np.arange(len(cycles)))
    unit = (len(cycles) - 1) / (cycles[-1] - cycles[0])
    wide = int(min(4, unit / 3))
    near = at.round().astype(int) + np.arange(-wide, wide + 1)[:, None]
    strong = profile[np.clip(near, 0, len(profile) - 1)].sum(axis=0)
    for each, weakest in ((5, _NO_LINE), (3, _NO_LINE), (2, _NO_LINE), (2, _NO_LINE), (2, _FAINT)):
        *fewer, most = sorted(range(each), key=lambda k: float(np.median(strong[k::each])))
        others = np.concatenate([strong[k::each] for k in fewer])
        if len(strong) > 3 * each and np.quantile(others, 0.8) < weakest * np.median(
            strong[most::each]
        ):
            at, strong, unit = at[most::each], strong[most::each], each * unit
    usual = np.maximum(median_filter(strong, 5), 1e-6)  # light falls off
    return _Band(float(unit), 0, at, strong / usual)


def _counted(index: NDArray[np.int_], strong: Floats, unit: float) -> Grid | None:
    """How many units a heavier line counts, where each line has its strength."""
    for count in _COUNTED:
        for begin in range(count):
            heavy = index % count == begin
            if heavy.sum() < 2 or heavy.all():
                continue
            others = strong[~heavy]
            every = others.min() > 0.4
            apart = strong[heavy].min() > _ABOVE * others.max()
            if every and apart and np.median(strong[heavy]) > _HEAVY * np.median(others):
                return Grid(unit, count)
    return None
