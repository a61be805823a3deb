"""Finding the finest lattice of shifts at which a picture repeats itself."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from quiltgeom.colour import Floats
from quiltgeom.fabric.reading.repeats.autocorrelation import (
    Autocorrelation,
    background,
    nearest_peaks,
    peaks,
)
from quiltgeom.fabric.reading.repeats.sublattice import half_plane, lattice_points, not_nearly
from quiltgeom.tolerance import LEAST_POWER, SAME_POINT

LARGEST = 0.75
"""Part of the swatch's width and height beyond which a repeat cannot be confirmed."""
_LARGEST_CELL = 0.5  # of the swatch's area: two whole cells at least must be seen
_KEEP = 0.82  # a lattice point must be this much of the best peak as far away or farther
_LEAST = 0.10  # correlation below this is noise, whatever its statistics
_CLEAR = 0.5  # correlation that needs no statistics: half of all variation recurs
_LEAST_Z = 5.0  # peaks stand this many robust deviations above the rest
_FEW = 7  # shifts: below this many copies, chance and near-copies must be ruled out by likeness
_FEW_LIKENESS = 0.5
_MOST_TRIED = 260  # lattices
_UNLIKE = 0.03  # what two copies of the same motif may differ by, whatever else


@dataclass(frozen=True)
class Found:
    """A lattice in pixels.

    Attributes:
        vectors: ``(k, 2)`` of (dx, dy): 2 for a lattice, 1 for stripes (or one axis), 0 for none.
        likeness: mean correlation at its points.
        points: how many points inside the picture support it.
        z: how far the points stand above the background, in robust deviations.
        near: whether a finer near-repeat was refused.
        along: for stripes, the unit vector along them.
        agreed: whether it was found in more than one way, where there are several.
    """

    vectors: Floats
    likeness: float
    points: int
    z: float
    near: bool = False
    along: Floats | None = None
    agreed: bool = True


NOTHING = Found(np.zeros((0, 2)), 0.0, 0, 0.0)


def find_lattice(
    maps: Sequence[Autocorrelation], blurred: Callable[[], Autocorrelation] | None = None
) -> Found:
    """The finest lattice all of whose points are peaks of the correlation, by least squares.

    Args:
        maps: likeness at a fine and, after it, at coarser scales of detail: thin lines that a
            crease has moved meet again only in the coarser one. Lattices are sought in each and
            measured and judged in the first.
        blurred: gives the likeness without fine detail, for near-repeats in doubt.
    """
    bases = [b for m in maps if (b := _sought(m)) is not None]
    if not bases:
        return _one_axis(maps[0])
    found = [_judged(maps, b, bases, blurred) for b in bases]
    top = max(f.likeness for f in found)
    good = [f for f in found if len(f.vectors) == 2 and f.likeness >= 0.85 * top]
    if good:
        return min(good, key=lambda f: abs(float(np.linalg.det(f.vectors))))
    return next((f for f in found if len(f.vectors)), NOTHING)


def _sought(likeness: Autocorrelation) -> Floats | None:
    points, heights = peaks(likeness)
    middle, spread = background(likeness)
    strong = heights >= max(_LEAST, min(middle + _LEAST_Z * spread, _CLEAR))
    points, heights = points[strong], heights[strong]
    if len(points) == 0:
        return None
    distance = np.hypot(points[:, 0], points[:, 1])
    envelope = _Envelope(distance, heights)
    good = heights >= 0.75 * envelope(distance)
    candidates = points[good][np.argsort(distance[good], kind="stable")][:48]
    return _finest(likeness, candidates, envelope)


def _judged(
    maps: Sequence[Autocorrelation],
    basis: Floats,
    others: Sequence[Floats],
    blurred: Callable[[], Autocorrelation] | None,
) -> Found:
    """A lattice measured, near-repeats told apart, and refused if chance could have made it."""
    fine = maps[0]
    basis = _refine(fine, basis)
    basis, near = not_nearly(maps, basis, others, blurred)
    basis = reduce_basis(_refine(fine, basis) if near else basis)
    coords = lattice_points(fine, basis)
    if len(coords) == 0:
        return NOTHING
    values = nearest_peaks(fine, coords @ basis, radius=2)[1]
    middle, spread = background(fine)
    mean, z = float(values.mean()), (float(values.mean()) - middle) / spread
    too_few = len(coords) < _FEW and mean < _FEW_LIKENESS
    if (z < _LEAST_Z and mean < _CLEAR) or too_few or not _fits(fine, basis):
        return NOTHING
    kept = _without_near_copies(fine, basis)
    return Found(kept, mean, len(coords) if len(kept) == 2 else 1, z, near)


def _without_near_copies(likeness: Autocorrelation, basis: Floats) -> Floats:
    """Leave out a vector along which the print is much less like itself than along the other.

    A true repeat fits as well both ways; a motif that only looks alike does not. Where three steps
    are in sight :func:`not_nearly` has decided already.
    """
    unlike = 1 - nearest_peaks(likeness, basis, radius=2)[1]
    length = np.hypot(basis[:, 0], basis[:, 1])
    keep = [True, True]
    for i in (0, 1):
        j = 1 - i
        allowed = 4 * unlike[j] * max(1.0, length[i] / length[j]) + _UNLIKE
        seen = bool(likeness.inside(3 * basis[i : i + 1])[0])
        keep[i] = seen or bool(unlike[i] <= allowed)
    return basis[keep]


def _fits(likeness: Autocorrelation, basis: Floats) -> bool:
    w, h = likeness.size
    each = (np.abs(basis) <= LARGEST * np.array([w, h]) + 1).all()
    return bool(each and abs(float(np.linalg.det(basis))) <= _LARGEST_CELL * w * h * 1.13)


class _Envelope:
    """Height of the best peak at least as far away (pictures drift: far copies fit less well)."""

    def __init__(self, distance: Floats, heights: Floats) -> None:
        order = np.argsort(distance, kind="stable")
        self._d = distance[order]
        self._h = np.maximum.accumulate(heights[order][::-1])[::-1]

    def __call__(self, distance: Floats) -> Floats:
        i = np.searchsorted(self._d, distance - SAME_POINT)
        return np.where(i < len(self._h), self._h[np.minimum(i, len(self._h) - 1)], 0.0)


def _finest(likeness: Autocorrelation, candidates: Floats, envelope: _Envelope) -> Floats | None:
    a, b = np.triu_indices(len(candidates), 1)
    area = np.abs(candidates[a, 0] * candidates[b, 1] - candidates[a, 1] * candidates[b, 0])
    length = np.hypot(candidates[:, 0], candidates[:, 1])
    sine = area / (length[a] * length[b])
    tried, count = np.full((_MOST_TRIED, 2, 2), np.inf), 0
    best: tuple[float, Floats] | None = None
    enough = np.inf  # a chance peak beside the true one can span a slightly smaller cell
    for k in np.argsort(area, kind="stable"):
        if area[k] > enough:
            break
        if sine[k] < 0.25 or area[k] < 12:
            continue
        basis = reduce_basis(candidates[[a[k], b[k]]])
        if (np.abs(tried[:count] - basis) < 1.5).all(axis=(1, 2)).any():
            continue
        if count == _MOST_TRIED:
            break
        tried[count] = basis
        count += 1
        height = _all_high(likeness, basis, envelope)
        if height > 0:
            enough = min(enough, 1.15 * float(area[k]))
            if best is None or height > best[0]:
                best = (height, basis)
    return None if best is None else best[1]


def _all_high(likeness: Autocorrelation, basis: Floats, envelope: _Envelope) -> float:
    """Mean height of a lattice's points, 0 unless all are peaks."""
    near = lattice_points(likeness, basis, most=24)
    if len(near) < 2 or len({tuple(np.abs(c)) for c in near.tolist()}) < 2:
        return 0.0
    p = near @ basis
    expected = envelope(np.hypot(p[:, 0], p[:, 1]))
    drift = 2 if len(near) < 12 else 1
    got = nearest_peaks(likeness, p, radius=1 + drift)[1]
    ratio = got / np.maximum(expected, 0.05)
    high = np.quantile(ratio, 0.1) >= 0.7 and ratio.mean() >= _KEEP
    return float(got.mean()) if high else 0.0


def _refine(likeness: Autocorrelation, basis: Floats) -> Floats:
    """Least squares over ever farther points, so that each is sought where it must be."""
    for most in (6, 14, 30, 60, 120):
        coords = lattice_points(likeness, basis, most)
        p = coords @ basis
        seen, height = nearest_peaks(likeness, p, radius=2)
        fit = (np.hypot(*(seen - p).T) <= 2.9) & (height > 0)
        if fit.sum() < 3 or np.linalg.matrix_rank(coords[fit]) < 2:
            continue
        weight = np.sqrt(np.maximum(height[fit], 0.0))[:, None]
        basis = np.linalg.lstsq(coords[fit] * weight, seen[fit] * weight, rcond=None)[0]
    return basis


def _one_axis(likeness: Autocorrelation) -> Found:
    """A repeat confirmed along one direction only (the other is longer than the picture shows)."""
    points, heights = peaks(likeness)
    middle, spread = background(likeness)
    w, h = likeness.size
    near = (np.abs(points) <= LARGEST * np.array([w, h])).all(axis=1)
    far = np.hypot(points[:, 0], points[:, 1]) >= 0.02 * max(w, h)
    points, heights = points[near & far], heights[near & far]
    if len(points) == 0:
        return NOTHING
    best = int(np.argmax(heights))
    z = (float(heights[best]) - middle) / spread
    if heights[best] < 0.65 or z < 8:
        return NOTHING
    return Found(points[best : best + 1], float(heights[best]), 1, z)


def reduce_basis(basis: Floats) -> Floats:
    """The two shortest vectors of the same lattice (Gauss), pointing right and down.

    >>> reduce_basis(np.array([[10.0, 0.0], [30.0, 8.0]])).tolist()
    [[0.0, 8.0], [10.0, 0.0]]
    """
    a, b = np.array(basis, dtype=float)
    for _ in range(60):
        if a @ a > b @ b:
            a, b = b, a
        k = round(float(a @ b / max(a @ a, LEAST_POWER)))
        if k == 0:
            break
        b = b - k * a
    basis = np.stack([a, b])
    return np.where(half_plane(basis)[:, None], basis, -basis)
