"""Finding a piece of cloth on a table: its pixels, its four sides, whether there is a table at all.

Cloth and table are parted by their colours (GrabCut: Rother, Kolmogorov and Blake 2004), once with
the whole rim of the picture taken for table, once only where the rim is unlike the middle; what
agrees best with four straight sides is taken. It is believed only where what lies outside is
found nowhere inside: a print that fills the picture has stripes and frames of its own.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.four_sides import FourSides, Mask, filled, four_sides

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_SIDE = 360
"""Pixels of the longer side at which cloth is looked for."""

_RIM = 0.05  # of the longer side
_PARTS = 12  # of each side of the rim
_ALIKE = 0.5  # Bhattacharyya coefficient of colours from which a part of the rim is like the middle
_FIT, _SEEN, _CUT = 0.9, 0.55, 2
"""Least agreement of pixels and sides, least part of the outline on them, most sides cut off."""

_NEW = 1.3  # times as unlike all that is inside as places inside are to each other
_NEW_LAB = 4.0  # and at least so much, CIELAB units
_STRAY = 0.02
"""Of the places inside, so many may be table for all that: at a turned corner, beside a side that
slipped."""

_LEAST = 0.04  # of the picture
_CELL = 14  # pixels of the places that are compared


@dataclass(frozen=True, slots=True)
class FoundCloth:
    """Cloth on a table.

    Attributes:
        corners: ``(4, 2)`` pixels of the picture, clockwise from the one at the top left; where
            the cloth runs out of the picture, the corner of what is seen, or beyond it.
        cut: for the side from each corner to the next, whether the cloth runs out there.
        mask: ``(h, w)`` uint8 of a smaller picture, 1 on cloth.
        new: how much less alike the table is to the cloth than the cloth to itself.
    """

    corners: Floats
    cut: tuple[bool, bool, bool, bool]
    mask: Mask
    new: float


def find_cloth(rgb: Pixels) -> FoundCloth | None:
    """The piece of cloth that lies in a photo; None where the cloth fills it.

    Args:
        rgb: ``(h, w, 3)`` uint8, upright.

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
    like = _rim_like_middle(lab)
    if not _rim_is_new(lab):
        return None
    tried = [_parted(lab, _seeds(lab.shape, skip)) for skip in (np.zeros_like(like), like)]
    found = [(m, s) for m in tried if m.mean() > _LEAST and (s := four_sides(m)) is not None]
    if not found:
        return None
    mask, sides = max(found, key=lambda f: f[1].score)
    mask, sides = _again(lab, mask, sides)
    if sides.fit < _FIT or sides.seen < _SEEN or sum(sides.cut) > _CUT:
        return None
    new = _unlike(lab, filled(sides.corners, lab.shape))
    if new < _NEW:
        return None
    return FoundCloth((sides.corners + 0.5) / scale, sides.cut, mask, new)


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


def _again(lab: Pixels, mask: Mask, sides: FourSides) -> tuple[Mask, FourSides]:
    """Parted once more, all well inside the sides taken for cloth, all well outside for table."""
    side = max(mask.shape)
    pad = side // 8
    figure = filled(sides.corners + pad, tuple(n + 2 * pad for n in mask.shape))
    inner = cv2.erode(figure, _disc(round(0.02 * side)))[pad:-pad, pad:-pad]
    outer = cv2.dilate(figure, _disc(round(0.03 * side)))[pad:-pad, pad:-pad]
    marks = np.where(figure[pad:-pad, pad:-pad] > 0, cv2.GC_PR_FGD, cv2.GC_PR_BGD)
    marks[inner > 0], marks[outer == 0] = cv2.GC_FGD, cv2.GC_BGD
    better = _parted(lab, marks.astype(np.uint8))
    new = four_sides(better)
    return (better, new) if new and new.score >= sides.score - 0.05 else (mask, sides)


def _places(lab: Pixels) -> tuple[Floats, NDArray[np.intp]]:
    """Mean and spread of the colours of overlapping places, and where their middles are."""
    plain = lab.astype(np.float32) * np.array([100 / 255, 1, 1], np.float32)
    mean = cv2.blur(plain, (_CELL, _CELL))
    spread = np.sqrt(np.maximum(cv2.blur(plain * plain, (_CELL, _CELL)) - mean * mean, 0))
    half = _CELL // 2
    at = np.mgrid[half : lab.shape[0] - half + 1 : half, half : lab.shape[1] - half + 1 : half]
    at = np.minimum(at.reshape(2, -1), np.array(lab.shape[:2])[:, None] - 1)
    return np.concatenate([mean, spread], axis=2)[at[0], at[1]].astype(float), at


def _unlike(lab: Pixels, figure: Mask) -> float:
    """How far places outside are from the likest inside, by how far those are from each other.

    0 where nearly all or nothing is inside, or the difference is too small to be seen.
    """
    seen, at = _places(lab)
    share = cv2.blur(figure.astype(np.float32), (_CELL, _CELL))[at[0], at[1]]
    inside, outside = seen[share > 0.99], seen[share < 0.01]
    if len(inside) < 20 or len(outside) < 6:
        return 0.0
    among = _distances(inside, inside)
    where = at[:, share > 0.99]
    among[np.abs(where[:, :, None] - where[:, None, :]).max(axis=0) <= _CELL] = np.inf
    likest = max(0, round(_STRAY * len(inside)) - 1)
    far = float(np.median(np.partition(_distances(outside, inside), likest, axis=1)[:, likest]))
    own = float(np.percentile(among.min(axis=1), 90))
    return far / (own + 1.0) if far >= _NEW_LAB else 0.0


def _rim_is_new(lab: Pixels) -> bool:
    """Whether some of the rim is unlike all of the middle: a quick look for most swatches."""
    seen, at = _places(lab)
    size = np.array(lab.shape[:2])[:, None]
    off = np.abs(at / size - 0.5).max(axis=0)
    middle, rim = seen[off < 0.2], seen[off > 0.46]
    if not len(rim) or not len(middle):
        return False
    far = _distances(rim, middle).min(axis=1)
    return bool((far > _NEW_LAB).mean() > 0.08)


def _distances(one: Floats, other: Floats) -> Floats:
    from scipy.spatial.distance import cdist

    apart: Floats = cdist(one, other)
    return apart
