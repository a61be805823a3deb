"""Finding a piece of cloth on a table: its four sides, and whether there is a table at all.

Four-sided figures are made of straight lines along which the picture changes, and of the outline
of what its colours part from the rim (GrabCut: Rother, Kolmogorov and Blake 2004). The best is the
one across whose sides what comes is new, whose rim is like its middle, and whose sides are seen.
It is believed only where what lies outside is found nowhere inside: a print that fills the picture
has stripes and frames of its own.
"""

from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.four_sides import FourSides, Mask, filled, four_sides
from quiltgeom.fabric.photo.side_lines import colours_around, figures

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_SIDE = 480
"""Pixels of the longer side at which cloth is looked for."""

_COLOUR_SIDE = 300  # the same, for parting it by its colours
_RIM = 0.05  # of the longer side
_PARTS = 12  # of each side of the rim
_ALIKE = 0.5  # Bhattacharyya coefficient of colours from which a part of the rim is like the middle

_WEIGHTS = np.array([2.0, 3.7, 3.0, 6.6, -1.6, -1.0])
"""Of what tells that a figure is the cloth: mean and least change along its sides, square root of
its part of the picture, how new what comes beyond its sides is (where least), how new its rim is
(where most), and how unlike its own places are (fitted on the photographs of docs/reading.md)."""

_NEW = 1.3  # times as unlike all that is inside as places inside are to each other
_NEW_LAB = 4.0  # and at least so much, CIELAB units
_STRAY = 0.02
"""Of the places inside, so many may be table for all that: at a turned corner, beside a side that
slipped."""

_NEWNESS, _SEEN = 0.55, 0.35  # least newness beyond its sides, least mean change along them
_TRIED = 8  # of the best figures
_ALL_NEW, _FAR, _TABLE = 0.85, 7.5, 0.1
"""Of all places outside, so many are like nothing inside; so far (CIELAB units) half of them are
from it; and so much of the picture they are: a print's widest stripe at its rim is less."""

_WIDE_NEW, _WIDE_TABLE, _FAR_CUT = 0.98, 0.25, 10.0
"""The same for pale cloth on a pale table, however near its colour."""

_LEAST = 0.04  # of the picture
_CELL = 16  # pixels of the places that are compared
_SOME = 200  # of the places inside, that are held against all of them


@dataclass(frozen=True, slots=True)
class FoundCloth:
    """Cloth on a table.

    Attributes:
        corners: ``(4, 2)`` pixels of the picture, clockwise from the one at the top left; where
            the cloth runs out of the picture, the corner of what is seen, or beyond it.
        cut: for the side from each corner to the next, whether the cloth runs out there.
        new: part of what comes beyond the sides that is like nothing inside, where it is least.
    """

    corners: Floats
    cut: tuple[bool, ...]
    new: float


def find_cloth(rgb: Pixels, *, aside: bool = False) -> FoundCloth | None:
    """The piece of cloth that lies in a photo; None where the cloth fills it.

    Args:
        rgb: ``(h, w, 3)`` uint8, upright.
        aside: whether it may lie so far to one side that the middle shows table as the rim does.

    >>> photo = np.full((300, 400, 3), (120, 90, 60), np.uint8)
    >>> photo[60:240, 100:300] = (40, 90, 160)
    >>> find_cloth(photo).corners.round(-1).astype(int).tolist()
    [[100, 60], [300, 60], [300, 240], [100, 240]]
    >>> find_cloth(photo[70:200, 110:280]) is None
    True
    """
    scale = min(1.0, _SIDE / max(rgb.shape))
    small = cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    lab = cv2.cvtColor(small, cv2.COLOR_RGB2LAB)
    places = _Places(lab)
    if not aside and not places.rim_is_new():
        return None
    found: list[tuple[float, float, Floats, NDArray[np.bool_]]] = []
    for corners, cut, change in figures(lab, _by_colour(lab)):
        seen = places.told_apart(corners, cut)
        least = _WIDE_NEW if cut.any() else _NEWNESS
        if seen is not None and seen[0] >= least and change.mean() >= _SEEN:
            part = float(np.sqrt(filled(corners, lab.shape).mean()))
            score = float(_WEIGHTS @ [change.mean(), change.min(), part, *seen])
            found.append((score, seen[0], corners, cut))
    for _, new, corners, cut in sorted(found, key=lambda f: -f[0])[:_TRIED]:
        if places.all_new(corners, bool(cut.any())):
            first = int(corners.sum(axis=1).argmin())
            turned, sides = np.roll(corners, -first, axis=0), np.roll(cut, -first).tolist()
            return FoundCloth((turned + 0.5) / scale, tuple(sides), new)
    return None


def _by_colour(lab: Pixels) -> list[tuple[Floats, tuple[bool, ...]]]:
    """Figures round what colours part from the rim of the picture, which is looked at smaller."""
    k = _COLOUR_SIDE / max(lab.shape)
    lab = cv2.resize(lab, None, fx=k, fy=k, interpolation=cv2.INTER_AREA) if k < 1 else lab
    k = min(k, 1.0)
    like = _rim_like_middle(lab)
    out: list[tuple[Floats, tuple[bool, ...]]] = []
    for skip in (np.zeros_like(like), like):
        mask = _parted(lab, _seeds(lab.shape, skip))
        sides = four_sides(mask) if mask.mean() > _LEAST else None
        if sides is not None:
            again = _again(lab, sides)
            out += [
                ((s.corners + 0.5) / k - 0.5, s.cut)
                for s in (sides, again)
                if s and sum(s.cut) <= 2
            ]
    return out


def _rim_parts(shape: tuple[int, ...]) -> list[tuple[slice, slice]]:
    h, w = shape[:2]
    rim = round(_RIM * max(h, w))
    near, far = slice(0, rim), slice(-rim, None)
    out = []
    for k in range(_PARTS):
        rows, columns = (slice(k * n // _PARTS, (k + 1) * n // _PARTS) for n in (h, w))
        out += [(rows, near), (rows, far), (near, columns), (far, columns)]
    return out


def _rim_like_middle(lab: Pixels) -> NDArray[np.bool_]:
    """For each part of the rim, whether its colours are those of the middle."""
    h, w = lab.shape[:2]
    middle = _colours(lab[h * 3 // 10 : h * 7 // 10, w * 3 // 10 : w * 7 // 10])
    coefficients = [np.sqrt(_colours(lab[p]) * middle).sum() for p in _rim_parts(lab.shape)]
    return np.array(coefficients) >= _ALIKE


def _colours(lab: Pixels) -> Floats:
    """A smooth histogram of colours, its sum 1."""
    from scipy.ndimage import gaussian_filter

    bins = [np.arange(0, 257 + step, step) for step in (8, 6, 6)]
    counted, _ = np.histogramdd(lab.reshape(-1, 3), bins)
    smooth: Floats = gaussian_filter(counted, 1.0, truncate=2.0)
    return smooth / max(float(smooth.sum()), 1e-9)


def _seeds(shape: tuple[int, ...], skip: NDArray[np.bool_]) -> Mask:
    """What cloth and table are to begin with: the rim is table where it is not skipped."""
    marks = np.full(shape[:2], cv2.GC_PR_FGD, np.uint8)
    for part, skipped in zip(_rim_parts(shape), skip, strict=True):
        if not skipped:
            marks[part] = cv2.GC_PR_BGD
    outermost = np.ones(shape[:2], bool)
    outermost[2:-2, 2:-2] = False
    marks[outermost & (marks == cv2.GC_PR_BGD)] = cv2.GC_BGD
    return marks


def _parted(lab: Pixels, marks: Mask) -> Mask:
    """The one large area of cloth, its holes filled and thin things cut off."""
    if not (marks == cv2.GC_BGD).any():
        return np.zeros_like(marks)
    cv2.setRNGSeed(1)  # the clusters that it begins with are drawn by lot
    models = np.zeros((2, 1, 65))
    cv2.grabCut(lab, marks, None, models[0], models[1], 3, cv2.GC_INIT_WITH_MASK)
    side = max(marks.shape)
    pad = side // 20
    mask = ((marks == cv2.GC_FGD) | (marks == cv2.GC_PR_FGD)).astype(np.uint8)
    mask = cv2.copyMakeBorder(mask, pad, pad, pad, pad, cv2.BORDER_REPLICATE)
    mask = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, _disc(round(0.008 * side)))
    found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    cv2.drawContours(mask, found, -1, (1,), cv2.FILLED)
    mask = cv2.morphologyEx(mask, cv2.MORPH_OPEN, _disc(round(0.02 * side)))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask[pad:-pad, pad:-pad])
    if len(stats) < 2:
        return np.zeros_like(marks)
    largest: Mask = (labels == 1 + stats[1:, cv2.CC_STAT_AREA].argmax()).astype(np.uint8)
    return largest


def _disc(radius: int) -> Mask:
    disc: Mask = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * radius + 1, 2 * radius + 1))
    return disc


def _again(lab: Pixels, sides: FourSides) -> FourSides | None:
    """Parted once more, all well inside the sides taken for cloth, all well outside for table."""
    side = max(lab.shape)
    pad = side // 8
    figure = filled(sides.corners + pad, tuple(n + 2 * pad for n in lab.shape[:2]))
    inner = cv2.erode(figure, _disc(round(0.02 * side)))[pad:-pad, pad:-pad]
    outer = cv2.dilate(figure, _disc(round(0.03 * side)))[pad:-pad, pad:-pad]
    marks = np.where(figure[pad:-pad, pad:-pad] > 0, cv2.GC_PR_FGD, cv2.GC_PR_BGD)
    marks[inner > 0], marks[outer == 0] = cv2.GC_FGD, cv2.GC_BGD
    return four_sides(_parted(lab, marks.astype(np.uint8)))


class _Places:
    """Overlapping places of a picture, and how unlike each is to each."""

    def __init__(self, lab: Pixels) -> None:
        half = _CELL // 2
        h, w = lab.shape[:2]
        at = np.mgrid[half : h - half + 1 : half, half : w - half + 1 : half].reshape(2, -1)
        rows, columns = np.minimum(at, np.array([[h - 1], [w - 1]]))
        self._at = np.column_stack([columns, rows]).astype(float)
        self._size = np.array([w, h])
        self._seen = colours_around(lab, _CELL)[rows, columns].astype(float)

    def rim_is_new(self) -> bool:
        """Whether some of the rim is unlike all of the middle: a quick look for most swatches."""
        off = np.abs(self._at / self._size - 0.5).max(axis=1)
        middle, rim = self._seen[off < 0.13], self._seen[off > 0.46]
        if not len(rim) or not len(middle):
            return False
        far = _distances(rim, middle).min(axis=1)
        return bool((far > _NEW_LAB).mean() > 0.08)

    @cached_property
    def _unlike(self) -> NDArray[np.float32]:
        return _distances(self._seen, self._seen).astype(np.float32)

    def told_apart(
        self, corners: Floats, cut: NDArray[np.bool_]
    ) -> tuple[float, float, float] | None:
        """How new what comes beyond each side is (the least), how new the strip inside each is to
        what lies farther in (the most), and the logarithm of how unlike its own places are.

        None where too little is inside.
        """
        half = _CELL / 2
        depth = self._depth(corners)
        least, nearest = depth.min(axis=1), depth.argmin(axis=1)
        inside = np.flatnonzero(least > 1.2 * half)
        if len(inside) < 25:
            return None
        own, limit = self._own(inside)
        stray = max(0, round(_STRAY * len(inside)) - 1)
        beyond, rim = [], [0.0]
        for k in np.flatnonzero(~cut):
            next_to = np.flatnonzero((least < -1.2 * half) & (least > -6 * half) & (nearest == k))
            if len(next_to) >= 3:
                far = np.partition(self._unlike[np.ix_(next_to, inside)], stray, axis=1)[:, stray]
                beyond.append(float((far > limit).mean()))
            strip = inside[(nearest[inside] == k) & (least[inside] < 4 * half)]
            deep = inside[depth[inside, k] > 5 * half]
            if len(strip) >= 3 and len(deep) >= 10:
                far = self._unlike[np.ix_(strip, deep)].min(axis=1)
                rim.append(float((far > limit).mean()))
        return (min(beyond), max(rim), float(np.log1p(own))) if beyond else None

    def all_new(self, corners: Floats, cut: bool) -> bool:
        """Whether nearly all that is outside is found nowhere inside: surely so where the picture
        cuts it off, since a scene has its sky on one side."""
        least = self._depth(corners).min(axis=1)
        inside, outside = (np.flatnonzero(k * least > 0.6 * _CELL) for k in (1, -1))
        if len(outside) < _TABLE * len(least):
            return False
        stray = max(0, round(_STRAY * len(inside)) - 1)
        far = np.partition(self._unlike[np.ix_(outside, inside)], stray, axis=1)[:, stray]
        new = float((far > self._own(inside)[1]).mean())
        middling = float(np.median(far))
        if cut:
            return new >= _WIDE_NEW and middling >= _FAR_CUT
        wide = len(outside) >= _WIDE_TABLE * len(least) and new >= _WIDE_NEW
        return wide or (new >= _ALL_NEW and middling >= _FAR)

    def _depth(self, corners: Floats) -> Floats:
        """How far inside of each side of a figure the places are."""
        edge = np.roll(corners, -1, axis=0) - corners
        inward = np.column_stack([-edge[:, 1], edge[:, 0]]) / np.hypot(*edge.T)[:, None]
        depth: Floats = ((self._at[:, None] - corners[None]) * inward[None]).sum(axis=2)
        return depth

    def _own(self, inside: NDArray[np.intp]) -> tuple[float, float]:
        """How unlike places inside are to the likest, and from where a place is new to them."""
        some = inside[:: max(1, len(inside) // _SOME)]
        near = np.abs(self._at[some, None] - self._at[None, inside]).max(axis=2) <= _CELL
        among = np.where(near, np.inf, self._unlike[np.ix_(some, inside)])
        own = float(np.percentile(among.min(axis=1), 90))
        return own, max(_NEW_LAB, _NEW * (own + 1))


def _distances(one: Floats, other: Floats) -> Floats:
    from scipy.spatial.distance import cdist

    apart: Floats = cdist(one, other)
    return apart
