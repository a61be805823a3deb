"""Near-repeats: whether a coarser lattice fits clearly better than the finest one."""

from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats
from quiltgeom.fabric.reading.repeats.autocorrelation import Autocorrelation, nearest_peaks
from quiltgeom.tolerance import LEAST_DIVISOR, SAME_POINT

_MOST_INDEX = 6  # copies of a near-repeat in one true repeat
_SURE = 5.0  # t value of the difference
_FEWEST = 3  # shifts of the coarser lattice: two may fit better by chance
_LEAST_GAIN = 0.012  # of correlation
_PART = 0.4  # of what copies leave unlike: a smaller difference is creases and light
_DOUBTFUL = 0.8  # of the same: a smaller one must show in a blurred picture, too
_PART_BLURRED = 0.25


def half_plane(p: Floats) -> NDArray[np.bool_]:
    """Which of two opposite shifts ``(n, 2)`` stands for both: the one down, or level and right."""
    return (p[:, 1] > SAME_POINT) | ((np.abs(p[:, 1]) <= SAME_POINT) & (p[:, 0] > 0))


def lattice_points(likeness: Autocorrelation, basis: Floats, most: int = 160) -> Floats:
    """Integer coordinates of the lattice points inside, one of each opposite pair."""
    span = 1.2 * float(np.hypot(*likeness.r.shape))
    short = max(1.0, float(np.hypot(basis[:, 0], basis[:, 1]).min()))
    n = int(min(14, span / short + 1))
    i, j = np.meshgrid(np.arange(-n, n + 1), np.arange(-n, n + 1))
    coords = np.column_stack([i.ravel(), j.ravel()]).astype(float)
    p = coords @ basis
    keep = half_plane(p) & likeness.inside(p)
    coords, p = coords[keep], p[keep]
    return coords[np.argsort(np.hypot(p[:, 0], p[:, 1]), kind="stable")][:most]


def _sublattices() -> Iterator[Floats]:
    """Every sublattice of index 2 .. 6 once, by its Hermite normal form."""
    for index in range(2, _MOST_INDEX + 1):
        for a in range(1, index + 1):
            if index % a == 0:
                for b in range(index // a):
                    yield np.array([[a, b], [0, index // a]], dtype=float)


def not_nearly(
    maps: Sequence[Autocorrelation],
    basis: Floats,
    others: Sequence[Floats] = (),
    blurred: Callable[[], Autocorrelation] | None = None,
) -> tuple[Floats, bool]:
    """Refuse a near-repeat: motifs that look alike but whose true copies fit clearly better.

    Args:
        maps: likeness at a fine and at a coarser scale of detail; one that tells is enough.
        basis: ``(2, 2)`` the lattice in question, pixels.
        others: further lattices that may be the true one.
        blurred: gives the likeness without fine detail, asked for where the difference is small:
            what is left of it there was drawn; what is gone was where pixels fell on edges.

    Returns:
        The basis kept, and whether it is a coarser one.
    """
    refused = False
    for _ in range(4):
        coarser = _clearly_coarser(maps, basis, others, blurred)
        if coarser is None:
            break
        basis, refused = coarser, True
    return basis, refused


def _clearly_coarser(
    maps: Sequence[Autocorrelation],
    basis: Floats,
    others: Sequence[Floats],
    blurred: Callable[[], Autocorrelation] | None,
) -> Floats | None:
    """The coarser lattice of least index that is clearly better (the next round finds more)."""
    wholes = [np.rint(o @ np.linalg.inv(basis)) for o in others]
    tried = [*_sublattices(), *(m for m in wholes if abs(np.linalg.det(m)) > 1.5)]
    better: list[tuple[float, float, float, Floats]] = []
    for likeness in maps:
        compare = _Comparison(likeness, basis)
        for m in tried:
            t, part = compare(m)
            if t > _SURE and part > _PART:
                better.append((abs(float(np.linalg.det(m))), -t, part, m))
    soft: _Comparison | None = None
    for _, _, part, m in sorted(better, key=lambda b: b[:2]):
        if part < _DOUBTFUL and blurred is not None:
            soft = soft or _Comparison(blurred(), basis)
            if soft(m)[1] < _PART_BLURRED:
                continue
        return np.asarray(m @ basis)
    return None


class _Comparison:
    """Lattices of one basis, compared in one map."""

    def __init__(self, likeness: Autocorrelation, basis: Floats) -> None:
        coords = lattice_points(likeness, basis)
        points, values = nearest_peaks(likeness, coords @ basis, radius=2)
        # opposite shifts are the same comparison
        self._coords, self._points = np.vstack([coords, -coords]), np.vstack([points, -points])
        self._values = np.concatenate([values, values])

    def __call__(self, m: Floats) -> tuple[float, float]:
        """How clearly the sublattice ``m`` fits better (t value), and by what part of what is
        unlike in its own copies; zeros where too little is seen."""
        within = self._coords @ np.linalg.inv(m)
        same = np.abs(within - np.rint(within)).max(axis=1) < SAME_POINT
        if same.all() or not same.any() or np.linalg.matrix_rank(self._coords[same]) < 2:
            return 0.0, 0.0
        return _advantage(self._coords.astype(int), self._points, self._values, same)


_STEPS = np.array([(1, 0), (0, 1), (1, 1), (1, -1)])


def _advantage(
    coords: NDArray[np.int64], points: Floats, values: Floats, same: NDArray[np.bool_]
) -> tuple[float, float]:
    """How much better the coarser lattice's points fit than their neighbours: see
    :class:`_Comparison`.

    Likeness falls with distance, ever more slowly, as creases and perspective add up. So a point
    of the coarser lattice is held against the mean of its two neighbours on one line, one nearer
    and one farther, which can only be higher by that; against the nearer where the other is out of
    sight.
    """
    n = int(np.abs(coords).max()) + 2
    where = np.full((2 * n + 1, 2 * n + 1), -1)
    where[coords[:, 0] + n, coords[:, 1] + n] = np.arange(len(coords))
    gains: list[Floats] = []
    places: set[int] = set()
    for step in np.vstack([_STEPS, -_STEPS]):
        near, far = (where[tuple((coords + k * step + n).T)] for k in (-1, 1))
        way = points[near] - points
        outward = -(points * way).sum(axis=1) >= 0.99 * (way**2).sum(axis=1)
        use = same & (near >= 0) & ~same[near] & outward
        neighbours = np.where(
            (far >= 0) & ~same[far], (values[near] + values[far]) / 2, values[near]
        )
        gains.append((values - neighbours)[use])
        places |= set((np.flatnonzero(use) % (len(coords) // 2)).tolist())
    gain = np.concatenate(gains)
    if len(places) < _FEWEST:
        return 0.0, 0.0
    mean = float(gain.mean())
    if mean < _LEAST_GAIN:
        return 0.0, 0.0
    # each comparison is there twice (opposite shifts)
    error = max(float(gain.std()), 0.01) / np.sqrt(len(gain) / 2)
    return float(mean / error), mean / max(1 - float(values[same].mean()), LEAST_DIVISOR)
