"""A border along one edge of a print: a band whose rows recur nowhere in the rest."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, from_hex, rgb_to_lab
from quiltgeom.fabric.photo.calibrate import even_light
from quiltgeom.fabric.reading.palette import PaletteColour
from quiltgeom.fabric.reading.pixels import shrink
from quiltgeom.fabric.reading.repeats.autocorrelation import autocorrelation, detail_planes
from quiltgeom.fabric.reading.repeats.find_repeat import find_repeat
from quiltgeom.fabric.reading.value import read_loudness
from quiltgeom.tolerance import LEAST_POWER

EDGES = ("top", "right", "bottom", "left")
"""Of the picture; the first comes on top by no quarter turn, the next by one anticlockwise, ..."""

_SIDE, _FINE = 256, 512  # pixels: for rows, for copies
_LEAST_IN, _DEEPEST = 0.8, 0.45  # inches; part of the side
_RECURS_BY = 0.05  # share of a row in other inks: as much is chance
_NEW = 0.1  # inches of a row's novelty, summed over the band
_ALONG, _STANDS = 0.6, 0.3  # likeness of the band with itself moved along; above the dip before
_ELSEWHERE = 0.4  # of the likeness of the rest's copies: as like the rest, a band is part of it
_OTHER_INKS = 0.5  # share of a band's ink that a quiet rest has nowhere
_QUIET = 0.25  # loudness


@dataclass(frozen=True, slots=True)
class Band:
    """A border.

    Attributes:
        edge: one of :data:`EDGES`.
        depth_in: from the edge to where the all-over begins, inches.
        confidence: 0..1.
    """

    edge: str
    depth_in: float
    confidence: float


def find_band(
    rgb: NDArray[np.uint8], width_in: float, palette: tuple[PaletteColour, ...]
) -> Band | None:
    """The border of a print, if it has one.

    It must repeat along its edge, its rows must hold inks in shares that no row of the rest has,
    and the rest must be an all-over: one whose own repeat, continued, does not show the band; or a
    quiet texture in inks that the band has not. All else (a scene's sky, a large print) is none.

    Args:
        rgb: ``(h, w, 3)`` uint8, the cloth filling the picture.
        palette: its colours.

    >>> y, x = np.mgrid[0:240, 0:240]
    >>> dots = np.where((x % 16 - 8) ** 2 + (y % 16 - 8) ** 2 < 16, 40, 220)
    >>> wide = np.where((x % 48 - 24) ** 2 + (y - 30) ** 2 < 400, 230, 90)
    >>> grey = np.where(y < 60, wide, dots).astype(np.uint8)
    >>> inks = tuple(PaletteColour(c, 0.25, "gray") for c in ("#282828", "#5a5a5a", "#dcdcdc"))
    >>> found = find_band(np.stack([grey] * 3, axis=-1), 12.0, inks)
    >>> found.edge, round(found.depth_in)
    ('top', 3)
    """
    small = even_light(shrink(rgb, _SIDE))
    per_inch = small.shape[1] / width_in
    sought = [_newest(np.rot90(small, k), per_inch, palette) for k in range(4)]
    k = int(np.argmax([new for new, _ in sought]))
    new, deep = sought[k]
    if new < _NEW:
        return None
    sure = _is_border(np.rot90(shrink(rgb, _FINE), k), width_in, k % 2 == 1, deep / per_inch)
    return Band(EDGES[k], deep / per_inch, sure) if sure else None


def _newest(
    rgb: NDArray[np.uint8], per_inch: float, palette: tuple[PaletteColour, ...]
) -> tuple[float, int]:
    """How much is new in the band at the top that has most, and how deep it is in pixels."""
    rows = _inks_of_rows(rgb, per_inch, palette)
    apart = np.abs(rows[:, None] - rows[None]).sum(axis=-1) / 2
    n = np.arange(len(rows))
    # column d: the nearest row from d on
    nearest = np.minimum.accumulate(apart[:, ::-1], axis=1)[:, ::-1]
    apart = np.where(np.abs(n[:, None] - n) < 0.35 * per_inch, 1.0, apart)
    others = np.minimum.accumulate(apart[:, ::-1], axis=1)[:, ::-1]
    best = (0.0, 0)
    for d in range(round(_LEAST_IN * per_inch), round(_DEEPEST * len(rows))):
        usual = float(np.quantile(others[d:, d], 0.9)) + _RECURS_BY
        best = max(best, (float((nearest[:d, d] - usual).sum()) / per_inch, d))
    new, d = best
    if not d:
        return best
    novel = nearest[:d, d]
    return new, int(np.nonzero(novel >= 0.4 * np.quantile(novel, 0.75))[0][-1]) + 1


def _inks_of_rows(
    rgb: NDArray[np.uint8], per_inch: float, palette: tuple[PaletteColour, ...]
) -> Floats:
    """The palette's shares in each row, ``(h, colours)``."""
    from scipy.ndimage import gaussian_filter1d

    colours = rgb_to_lab(np.array([from_hex(c.hex) for c in palette], dtype=np.uint8)[None])[0]
    lab = rgb_to_lab(rgb)
    far = np.stack([((lab - c) ** 2).sum(axis=-1) for c in colours])
    nearest = far.argmin(axis=0)
    shares = np.stack([(nearest == i).mean(axis=1) for i in range(len(colours))], axis=1)
    return np.asarray(gaussian_filter1d(shares, 0.08 * per_inch, axis=0))


def _is_border(rgb: NDArray[np.uint8], width_in: float, turned: bool, depth_in: float) -> float:
    """How sure it is that the band at the top is a border; 0 where it is none."""
    per_inch = rgb.shape[0 if turned else 1] / width_in
    d = round(depth_in * per_inch)
    if min(d, rgb.shape[0] - d) < 0.4 * per_inch or min(d, *rgb.shape[:2]) < 16:
        return 0.0
    along = _likeness_along(detail_planes(rgb[:d]), per_inch)
    if along < _ALONG:
        return 0.0
    inner = rgb[d + round(0.15 * per_inch) :]
    repeat = find_repeat(detail_planes(inner))
    if len(repeat.vectors) == 2 and repeat.along is None:
        band, rest = _continued(detail_planes(rgb), d, repeat.vectors)
        return round(min(0.95, along, 1 - max(band, 0.0)), 2) if band < _ELSEWHERE * rest else 0.0
    quiet = read_loudness(inner, inner.shape[1] / per_inch) < _QUIET
    return 0.7 if quiet and _other_inks(rgb, d) >= _OTHER_INKS else 0.0


def _likeness_along(planes: Floats, per_inch: float) -> float:
    """Of a band with itself moved along its edge by its repeat; 0 if it has none."""
    found = autocorrelation(planes)
    r = found.r[:3, found.cx :].max(axis=0)
    first, last = round(0.4 * per_inch), round(0.62 * planes.shape[2])
    tops = [k for k in range(first, last) if r[k] >= max(r[k - 1], r[k + 1])]
    stand = [float(r[k]) for k in tops if r[k] - r[:k].min() >= _STANDS]
    return max(stand, default=0.0)


def _continued(planes: Floats, d: int, vectors: Floats) -> tuple[float, float]:
    """Likeness of the band, and of the rest, with what the rest's repeat shows there."""
    _, h, w = planes.shape
    total, count = np.zeros_like(planes), np.zeros((h, w))
    for i, j in np.ndindex(11, 11):
        dx, dy = np.rint((i - 5) * vectors[0] + (j - 5) * vectors[1]).astype(int)
        if (i, j) == (5, 5) or abs(dx) >= w or abs(dy) >= h:
            continue
        y0, y1, x0, x1 = max(0, d - dy), min(h, h - dy), max(0, -dx), min(w, w - dx)
        total[:, y0:y1, x0:x1] += planes[:, y0 + dy : y1 + dy, x0 + dx : x1 + dx]
        count[y0:y1, x0:x1] += 1
    copies = total / np.maximum(count, 1)
    return _alike(planes, copies, count, slice(0, d)), _alike(planes, copies, count, slice(d, h))


def _alike(a: Floats, b: Floats, count: Floats, rows: slice) -> float:
    """Correlation where copies are known; 1 (for the careful) where hardly any are."""
    known = count[rows] > 0
    if known.mean() < 0.2:
        return 1.0
    p, q = (v[:, rows][:, known] for v in (a, b))
    p, q = (v - v.mean(axis=1, keepdims=True) for v in (p, q))
    return float((p * q).sum() / np.sqrt(max(float((p**2).sum() * (q**2).sum()), LEAST_POWER)))


def _other_inks(rgb: NDArray[np.uint8], d: int) -> float:
    """Share of a band's pixels in a colour that hardly any pixel of the rest has."""
    lab = rgb_to_lab(even_light(rgb))
    bins = np.rint(lab / (12.0, 10.0, 10.0)).astype(int) + 30
    codes = bins @ (4096, 64, 1)
    kinds, counts = np.unique(codes[d:], return_counts=True)
    usual = kinds[counts > 0.002 * codes[d:].size]
    return float(1 - np.isin(codes[:d], usual).mean())
