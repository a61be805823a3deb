"""Finding a piece of cloth on a table: its four sides, and whether there is a table at all.

Four-sided figures are made of straight lines along which the picture changes, and of the outline
of what its colours part from the rim (GrabCut: Rother, Kolmogorov and Blake 2004). The best is the
one across whose sides what comes is new, whose rim is like its middle, and whose sides are seen.
It is believed only where what lies outside is found nowhere inside: a print that fills the picture
has stripes and frames of its own.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.four_sides import FourSides, Mask, filled, four_sides
from quiltgeom.fabric.photo.sides.places import WIDE_NEW, Places
from quiltgeom.fabric.photo.sides.side_lines import figures

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

_NEWNESS, _SEEN = 0.55, 0.35  # least newness beyond its sides, least mean change along them
_TRIED = 8  # of the best figures
_LEAST = 0.04  # of the picture


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


def find_cloth(rgb: Pixels, away: Mask | None = None) -> FoundCloth | None:
    """The piece of cloth that lies in a photo; None where the cloth fills it.

    Args:
        rgb: ``(h, w, 3)`` uint8, upright.
        away: ``(h, w)`` uint8, 1 where something known lies beside the cloth or on it, painted
            over in ``rgb``: what is seen there tells nothing.

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
    hidden = np.zeros(lab.shape[:2], np.uint8)
    if away is not None:
        hidden = np.asarray(cv2.resize(away, lab.shape[1::-1], interpolation=cv2.INTER_NEAREST))
    places = Places(lab, hidden)
    if away is None and not places.rim_is_new():  # beside it, cloth seldom lies in the middle
        return None
    found: list[tuple[float, float, Floats, NDArray[np.bool_]]] = []
    for corners, cut, change in figures(lab, _by_colour(lab), hidden):
        seen = places.told_apart(corners, cut)
        least = WIDE_NEW if cut.any() else _NEWNESS
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
