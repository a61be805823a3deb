"""Finding the finest lattice of shifts at which a picture repeats itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.reading.correlate import SelfLikeness

__all__ = ["Found", "find_lattice", "find_stripe"]

Floats = NDArray[np.float64]

_KEEP = 0.82  # a lattice point must be this much of the best peak as far away or farther
_LEAST = 0.10  # correlation below this is noise, whatever its statistics
_CLEAR = 0.5  # correlation that needs no statistics: half of all variation recurs
_LEAST_Z = 5.0  # peaks stand this many robust deviations above the rest


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
    """

    vectors: Floats
    likeness: float
    points: int
    z: float
    near: bool = False
    along: Floats | None = None


NOTHING = Found(np.zeros((0, 2)), 0.0, 0, 0.0)


def _peaks(likeness: SelfLikeness, least_radius: float = 4.0) -> tuple[Floats, Floats]:
    """Local maxima (dx, dy) of the half plane with sub-pixel places, and their heights."""
    from scipy.ndimage import gaussian_filter, maximum_filter

    r = likeness.r
    soft = gaussian_filter(r, 0.7)
    top = (soft == maximum_filter(soft, 5)) & (r > -1)
    ys, xs = np.nonzero(top)
    dx = xs - likeness.cx
    ok = (np.hypot(dx, ys) >= least_radius) & ((ys > 0) | (dx > 0)) & (xs > 0)
    ok &= (xs < r.shape[1] - 1) & (ys < r.shape[0] - 1)
    points = np.column_stack([dx[ok], ys[ok]]).astype(float)
    return _settle(likeness, points, reach=1)


def _settle(likeness: SelfLikeness, points: Floats, reach: int) -> tuple[Floats, Floats]:
    """Move points to the top within ``reach`` pixels, then to the parabola's apex; heights too."""
    r, cx = likeness.r, likeness.cx
    flip = points[:, 1] < 0
    p = np.rint(np.where(flip[:, None], -points, points)).astype(int)
    steps = np.arange(-reach, reach + 1)
    gy, gx = np.meshgrid(steps, steps, indexing="ij")
    # rows above shift 0 are the same shifts turned round
    y = p[:, 1, None] + gy.ravel()
    x = p[:, 0, None] + gx.ravel()
    x, y = np.where(y < 0, -x, x), np.abs(y)
    inside = (y < r.shape[0]) & (np.abs(x) <= cx)
    values = np.where(inside, r[np.where(inside, y, 0), np.where(inside, x, 0) + cx], -1.0)
    best = np.argmax(values, axis=1)
    q = p + np.column_stack([gx.ravel()[best], gy.ravel()[best]])
    (sx, hx), (sy, hy) = _apex(likeness, q, (1, 0)), _apex(likeness, q, (0, 1))
    out = q + np.column_stack([sx, sy])
    height = np.minimum(likeness.at(q.astype(float)) + hx + hy, 1.0)
    return np.where(flip[:, None], -out, out), height


def _apex(
    likeness: SelfLikeness, q: NDArray[np.int64], step: tuple[int, int]
) -> tuple[Floats, Floats]:
    """Shift to a parabola's apex along one axis, and how much higher it is."""
    d = np.array(step)
    before, here, after = (likeness.at((q + k * d).astype(float)) for k in (-1, 0, 1))
    bend = before - 2 * here + after
    shift = np.where(bend < -1e-9, (before - after) / np.where(bend < -1e-9, 2 * bend, 1.0), 0.0)
    usable = (before > -0.99) & (after > -0.99)
    shift = np.where(usable, np.clip(shift, -0.6, 0.6), 0.0)
    return shift, np.maximum(0.25 * (after - before) * shift, 0.0)


def find_stripe(likeness: SelfLikeness, size: float) -> Found | None:
    """Stripes: the picture is like itself all along one direction.

    Returns:
        The period across (one vector, or none if the bars do not repeat), or None if no stripes.
    """
    angles = np.radians(np.arange(0, 180, 0.5))
    radii = np.arange(3.0, 0.55 * size)
    unit = np.column_stack([np.cos(angles), np.sin(angles)])
    rays = (unit[:, None, :] * radii[None, :, None]).reshape(-1, 2)
    along = likeness.at(rays).reshape(len(angles), -1)
    steady = np.quantile(along, 0.1, axis=1)
    best = int(np.argmax(along.mean(axis=1)))
    across = along[(best + 180) % 360]
    # not a stripe if it also hardly changes the other way, or varies along the bars
    if steady[best] < 0.25 or np.ptp(across) < 0.3:
        return None
    if np.quantile(along[best], 0.9) - steady[best] > 0.25 * np.quantile(along[best], 0.9):
        return None
    normal = np.array([-unit[best, 1], unit[best, 0]])
    period, height, count = _period(likeness, normal, 0.72 * size, float(along[best].mean()))
    vectors = np.zeros((0, 2)) if period is None else normal[None, :] * period
    return Found(vectors, height, count, 99.0, along=unit[best])


def _period(
    likeness: SelfLikeness, normal: Floats, reach: float, level: float
) -> tuple[float | None, float, int]:
    """The smallest distance across the bars all of whose multiples are tops."""
    t = np.arange(0.0, reach, 0.25)
    r = likeness.at(normal[None, :] * t[:, None])
    tops = [i for i in range(8, len(t) - 1) if r[i - 1] < r[i] >= r[i + 1] and r[i] > 0]
    limit = max(0.2, 0.8 * level, 0.85 * max((r[i] for i in tops), default=1.0))
    for first in tops:
        if r[first] < limit:
            continue
        period, places = t[first], []
        for k in range(1, int((reach - 1) / t[first]) + 1):
            near = [i for i in tops if abs(t[i] - k * period) < max(1.0, 0.08 * t[first])]
            if not near or r[near].max() < limit:
                break
            places.append((k, t[max(near, key=lambda i: r[i])]))
            period = sum(a * b for a, b in places) / sum(a * a for a, _ in places)
        else:
            if places:
                return float(period), float(r[first]), len(places)
    return None, 0.0, 0


def find_lattice(likeness: SelfLikeness) -> Found:
    """The finest lattice all of whose points are tops of the correlation, by least squares."""
    points, heights = _peaks(likeness)
    if len(points) == 0:
        return NOTHING
    middle, spread = _background(likeness)
    strong = heights >= max(_LEAST, min(middle + _LEAST_Z * spread, _CLEAR))
    points, heights = points[strong], heights[strong]
    if len(points) == 0:
        return NOTHING
    distance = np.hypot(points[:, 0], points[:, 1])
    envelope = _Envelope(distance, heights)
    good = heights >= 0.75 * envelope(distance)
    candidates = points[good][np.argsort(distance[good], kind="stable")][:48]
    best = _finest(likeness, candidates, envelope)
    if best is None:
        return _one_axis(likeness, points, heights, middle, spread)
    best = _refine(likeness, best)
    best, near = _not_nearly(likeness, best)
    values, n = _values(likeness, best)
    z = (float(values.mean()) - middle) / spread
    if z < _LEAST_Z and values.mean() < _CLEAR:
        return NOTHING
    return Found(reduce_basis(best), float(values.mean()), n, z, near)


def _background(likeness: SelfLikeness) -> tuple[float, float]:
    values = likeness.r[likeness.r > -1]
    middle = float(np.median(values))
    spread = 1.4826 * float(np.median(np.abs(values - middle)))
    return middle, max(spread, 1e-3)


class _Envelope:
    """Height of the best peak at least as far away (pictures drift: far copies fit less well)."""

    def __init__(self, distance: Floats, heights: Floats) -> None:
        order = np.argsort(distance, kind="stable")
        self._d = distance[order]
        self._h = np.maximum.accumulate(heights[order][::-1])[::-1]

    def __call__(self, distance: Floats) -> Floats:
        i = np.searchsorted(self._d, distance - 1e-9)
        return np.where(i < len(self._h), self._h[np.minimum(i, len(self._h) - 1)], 0.0)


def _lattice_points(likeness: SelfLikeness, basis: Floats, most: int = 160) -> Floats:
    """Integer coordinates of the lattice points inside, one of each opposite pair."""
    span = 1.2 * float(np.hypot(*likeness.r.shape))
    short = max(1.0, float(np.hypot(basis[:, 0], basis[:, 1]).min()))
    n = int(min(14, span / short + 1))
    i, j = np.meshgrid(np.arange(-n, n + 1), np.arange(-n, n + 1))
    coords = np.column_stack([i.ravel(), j.ravel()]).astype(float)
    p = coords @ basis
    half = (p[:, 1] > 1e-9) | ((np.abs(p[:, 1]) <= 1e-9) & (p[:, 0] > 0))
    keep = half & likeness.inside(p)
    coords, p = coords[keep], p[keep]
    return coords[np.argsort(np.hypot(p[:, 0], p[:, 1]), kind="stable")][:most]


def _values(likeness: SelfLikeness, basis: Floats) -> tuple[Floats, int]:
    coords = _lattice_points(likeness, basis)
    p = coords @ basis
    return _settle(likeness, p, reach=2)[1], len(coords)


def _finest(likeness: SelfLikeness, candidates: Floats, envelope: _Envelope) -> Floats | None:
    a, b = np.triu_indices(len(candidates), 1)
    area = np.abs(
        candidates[a, 0] * candidates[b, 1] - candidates[a, 1] * candidates[b, 0]
    )
    length = np.hypot(candidates[:, 0], candidates[:, 1])
    sine = area / (length[a] * length[b])
    tried: list[Floats] = []
    best: tuple[float, Floats] | None = None
    enough = np.inf  # a chance top beside the true one can span a slightly smaller cell
    for k in np.argsort(area, kind="stable"):
        if area[k] > enough:
            break
        if sine[k] < 0.25 or area[k] < 12:
            continue
        basis = reduce_basis(candidates[[a[k], b[k]]])
        if any(np.abs(basis - t).max() < 1.5 for t in tried):
            continue
        tried.append(basis)
        if len(tried) > 260:
            break
        height = _all_high(likeness, basis, envelope)
        if height > 0:
            enough = min(enough, 1.15 * float(area[k]))
            if best is None or height > best[0]:
                best = (height, basis)
    return None if best is None else best[1]


def _all_high(likeness: SelfLikeness, basis: Floats, envelope: _Envelope) -> float:
    """Mean height of a lattice's points, 0 unless all are tops."""
    near = _lattice_points(likeness, basis, most=24)
    if len(near) < 2 or len({tuple(np.abs(c)) for c in near.tolist()}) < 2:
        return 0.0
    p = near @ basis
    expected = envelope(np.hypot(p[:, 0], p[:, 1]))
    drift = 2 if len(near) < 12 else 1
    got = _settle(likeness, p, reach=1 + drift)[1]
    ratio = got / np.maximum(expected, 0.05)
    high = np.quantile(ratio, 0.1) >= 0.7 and ratio.mean() >= _KEEP
    return float(got.mean()) if high else 0.0


def _refine(likeness: SelfLikeness, basis: Floats) -> Floats:
    """Least squares over ever farther points, so that each is sought where it must be."""
    for most in (6, 14, 30, 60, 120):
        coords = _lattice_points(likeness, basis, most)
        p = coords @ basis
        seen, height = _settle(likeness, p, reach=2)
        fit = (np.hypot(*(seen - p).T) <= 2.9) & (height > 0)
        if fit.sum() < 3 or np.linalg.matrix_rank(coords[fit]) < 2:
            continue
        weight = np.sqrt(np.maximum(height[fit], 0.0))[:, None]
        basis = np.linalg.lstsq(coords[fit] * weight, seen[fit] * weight, rcond=None)[0]
    return basis


_COARSER = (
    ((2, 0), (0, 1)), ((1, 0), (0, 2)), ((1, 1), (0, 2)),
    ((3, 0), (0, 1)), ((1, 0), (0, 3)), ((1, 1), (0, 3)), ((1, 2), (0, 3)),
)  # fmt: skip


def _not_nearly(likeness: SelfLikeness, basis: Floats) -> tuple[Floats, bool]:
    """Refuse a near-repeat: motifs that look alike but whose copies fit clearly better."""
    refused = False
    for _ in range(3):
        coords = _lattice_points(likeness, basis, most=80)
        p, values = _settle(likeness, coords @ basis, reach=2)
        distance = np.hypot(p[:, 0], p[:, 1])
        best: tuple[float, Floats] | None = None
        for coarser in _COARSER:
            m = np.array(coarser, dtype=float)
            within = coords @ np.linalg.inv(m)
            same = np.abs(within - np.rint(within)).max(axis=1) < 1e-6
            t = _advantage(values, distance, same)
            if t > 0 and (best is None or t > best[0]):
                best = (t, m @ basis)
        if best is None:
            break
        basis, refused = best[1], True
    return basis, refused


def _advantage(values: Floats, distance: Floats, same: NDArray[np.bool_]) -> float:
    """How much better the coarser lattice's points fit (t value), 0 if not clearly."""
    if same.sum() < 2 or (~same).sum() < 2:
        return 0.0
    design = np.column_stack([np.ones(len(values)), distance, same])
    solution = np.linalg.lstsq(design, values, rcond=None)[0]
    rest = values - design @ solution
    freedom = max(1, len(values) - 3)
    inverse = np.linalg.pinv(design.T @ design)
    error = float(np.sqrt(max(rest @ rest / freedom, 1e-9) * inverse[2, 2]))
    gain = float(solution[2])
    # what remains unlike, against what the copies themselves leave unlike
    unlike = gain > 0.012 and gain > 0.25 * (1 - float(values[same].mean()))
    return gain / error if unlike and gain / error > 5.0 else 0.0


def _one_axis(
    likeness: SelfLikeness, points: Floats, heights: Floats, middle: float, spread: float
) -> Found:
    """A repeat confirmed along one direction only (the other is longer than the picture shows)."""
    best = int(np.argmax(heights))
    z = (float(heights[best]) - middle) / spread
    if heights[best] < 0.5 or z < 8:
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
        k = round(float(a @ b / max(a @ a, 1e-12)))
        if k == 0:
            break
        b = b - k * a
    out = [v if (v[1] > 1e-9 or (abs(v[1]) <= 1e-9 and v[0] > 0)) else -v for v in (a, b)]
    return np.stack(out)
