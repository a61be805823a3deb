"""Places of a picture, held against each other: what is like nothing elsewhere."""

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.four_sides import Mask
from quiltgeom.fabric.photo.sides.side_lines import colours_around

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_NEW = 1.3  # times as unlike all that is inside as places inside are to each other
_NEW_LAB = 4.0  # and at least so much, CIELAB units
_STRAY = 0.02
"""Of the places inside, so many may be table for all that: at a turned corner, beside a side that
slipped."""

_ALL_NEW, _FAR, _TABLE = 0.85, 7.5, 0.1
"""Of all places outside, so many are like nothing inside; so far (CIELAB units) half of them are
from it; and so much of the picture they are: a print's widest stripe at its rim is less."""

WIDE_NEW, _WIDE_TABLE, _FAR_CUT = 0.98, 0.25, 10.0
"""The same for pale cloth on a pale table, however near its colour."""

_CELL = 16  # pixels of the places that are compared
_SOME = 200  # of the places inside, that are held against all of them


class Places:
    """Overlapping places of a picture, and how unlike each is to each.

    Args:
        lab: ``(h, w, 3)`` uint8 as OpenCV codes CIELAB.
        hidden: ``(h, w)``, 1 where nothing is to be seen.
    """

    def __init__(self, lab: Pixels, hidden: Mask) -> None:
        half = _CELL // 2
        h, w = lab.shape[:2]
        at = np.mgrid[half : h - half + 1 : half, half : w - half + 1 : half].reshape(2, -1)
        rows, columns = np.minimum(at, np.array([[h - 1], [w - 1]]))
        seen = hidden[rows, columns] == 0
        rows, columns = rows[seen], columns[seen]
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
            return new >= WIDE_NEW and middling >= _FAR_CUT
        wide = len(outside) >= _WIDE_TABLE * len(least) and new >= WIDE_NEW
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
