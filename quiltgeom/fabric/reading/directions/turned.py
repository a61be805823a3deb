"""Evidence of direction: motifs compared with each other at every relative angle."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats
from quiltgeom.tolerance import LEAST_DIVISOR

_ANGLES = 64
_RINGS = 10
_MOST = 130  # motifs compared
_RECURS = 0.72  # likeness of motifs that are the same


@dataclass(frozen=True)
class TurnEvidence:
    """Mean likeness of each motif to its best partner at every relative angle.

    Attributes:
        at: ``(64,)``, angles of 360/64 degrees; 1 = some other motif looks the same so turned.
        others: the same, but copies of the motif by the print's repeat do not count.
        own: each motif against itself (its own symmetry).
        best: mean likeness to the best other motif (no copy) at whatever angle.
        per_cell: about how many different ones there are.
        mirrored: ``(64,)``, each motif against its own mirror image, about axes of 180/64 degrees.
        agree: how far motifs agree in their waves of 1 .. 4 around (0: anyhow, 1: all lie alike);
            odd waves agree only where there is an up.
        votes: of the motifs that recur and have no symmetry of their own, which part has a partner
            about as good as the best that lies the same way, upside down, sideways, and aslant;
            and how many have a vote (last).
    """

    at: Floats
    others: Floats
    own: Floats
    best: float
    motifs: int
    per_cell: float
    mirrored: Floats
    agree: tuple[float, ...]
    votes: tuple[float, ...] = (0.0,) * 5


def _centres(energy: Floats, radius: float, margin: float) -> NDArray[np.int64]:
    from scipy.ndimage import gaussian_filter, maximum_filter

    soft = gaussian_filter(energy, 0.45 * radius)
    maxima = (soft == maximum_filter(soft, int(radius) | 1)) & (
        soft > 0.35 * np.quantile(soft, 0.99)
    )
    m = int(np.ceil(margin))
    maxima[:m], maxima[-m:], maxima[:, :m], maxima[:, -m:] = False, False, False, False
    y, x = np.nonzero(maxima)
    # spread over the picture: a fixed shuffle of places, not the strongest corner
    order = np.argsort((y * 7919 + x * 104729) % 1000003, kind="stable")[:_MOST]
    return np.column_stack([x[order], y[order]])


def turn_evidence(
    planes: Floats, radius: float, lattice: Floats | None = None
) -> TurnEvidence | None:
    """Compare all motifs with all others, turned to every angle.

    Args:
        planes: ``(c, h, w)`` detail planes.
        radius: of a motif with its surroundings, pixels.
        lattice: ``(2, 2)`` repeat vectors in pixels, if known.

    Returns:
        None with fewer than 4 motifs.
    """
    centres = _centres((planes**2).sum(axis=0), radius, radius + 1)
    return _compared(planes, centres.astype(float), np.full(len(centres), radius), lattice)


def figure_evidence(planes: Floats, lattice: Floats | None = None) -> TurnEvidence | None:
    """The same for whole figures on a ground, each about its own middle and at its own size.

    Args:
        planes: as above; the first is how far a pixel is from the ground.
        lattice: ``(2, 2)`` repeat vectors in pixels, if known.

    Returns:
        None with fewer than 4 whole figures.
    """
    centres, radii = _figures(planes[0])
    return _compared(planes, centres, radii, lattice)


def _figures(apart: Floats) -> tuple[Floats, Floats]:
    """Middles and radii of connected areas that stand out and are whole in the picture."""
    from scipy.ndimage import binary_closing, find_objects, label

    cut = 0.5 * (np.quantile(apart, 0.5) + np.quantile(apart, 0.95))
    disc = np.hypot(*np.mgrid[-3:4, -3:4]) <= 3.2
    mask = binary_closing(np.pad(apart > cut, 4), disc)[4:-4, 4:-4]
    h, w = apart.shape
    found = []
    for place in find_objects(label(mask)[0]):
        (y0, y1), (x0, x1) = ((s.start, s.stop) for s in place)
        radius = 0.5 * math.hypot(y1 - y0, x1 - x0)
        if not 4.0 <= radius <= 0.2 * min(h, w):
            continue
        x, y = (x0 + x1 - 1) / 2, (y0 + y1 - 1) / 2
        if radius < min(x, y, w - 1 - x, h - 1 - y):
            found.append((x, y, 0.9 * radius))
    rows = np.array(found).reshape(-1, 3)
    # specks between the figures are none
    rows = rows[rows[:, 2] >= 0.45 * np.quantile(rows[:, 2], 0.8)] if len(rows) else rows
    order = np.argsort((rows[:, 1] * 7919 + rows[:, 0] * 104729) % 1000003, kind="stable")
    rows = rows[order[:_MOST]]
    return rows[:, :2], rows[:, 2]


def _compared(
    planes: Floats, centres: Floats, radii: Floats, lattice: Floats | None
) -> TurnEvidence | None:
    from scipy.fft import irfft
    from scipy.ndimage import map_coordinates

    if len(centres) < 4:
        return None
    radius = float(np.median(radii))
    rings = radii[:, None, None] * np.sqrt((np.arange(_RINGS) + 0.5) / _RINGS)[None, :, None]
    a = 2 * np.pi * np.arange(_ANGLES) / _ANGLES  # rings of equal area
    x = centres[:, 0, None, None] + rings * np.cos(a)
    y = centres[:, 1, None, None] + rings * np.sin(a)
    polar = np.stack([map_coordinates(p, [y, x], order=1) for p in planes], axis=1)
    polar -= polar.mean(axis=(2, 3), keepdims=True)
    polar /= np.sqrt((polar**2).sum(axis=(1, 2, 3), keepdims=True)) + LEAST_DIVISOR
    waves = np.fft.rfft(polar, axis=3)
    mirrored = np.fft.irfft((waves * waves).sum(axis=(1, 2)), _ANGLES, axis=1).mean(axis=0)
    agree = _agreement(waves)
    f = waves.reshape(len(centres), -1, _ANGLES // 2 + 1)
    # single precision is plenty for likeness, and many times faster
    f = np.ascontiguousarray(np.moveaxis(f, 2, 0), dtype=np.complex64)
    other = np.ascontiguousarray(np.conj(np.swapaxes(f, 1, 2)))
    likeness = irfft(f @ other, _ANGLES, axis=0).astype(np.float64)
    own_each = np.einsum("kii->ki", likeness).copy()
    own = own_each.mean(axis=1)
    i = np.arange(len(centres))
    likeness[:, i, i] = -1
    at = likeness.max(axis=2).mean(axis=1)
    copies = _copies(centres, lattice, 0.35 * radius)
    different = len(centres) / float(copies.sum(axis=1).mean())
    if different < 1.5:  # all are copies of one motif
        best = float(at.max())
        return TurnEvidence(at, at, own, best, len(centres), different, mirrored, agree)
    likeness[:, copies] = -1
    others = likeness.max(axis=2)
    best = float(others.max(axis=0).mean())
    each = others.mean(axis=1)
    votes = _votes(others, own_each)
    return TurnEvidence(at, each, own, best, len(centres), different, mirrored, agree, votes)


def _votes(others: Floats, own: Floats) -> tuple[float, ...]:
    """Which way each motif's partners lie; motifs that look the same turned have no vote."""
    best = others.max(axis=0)
    turned = np.maximum(
        own[_ANGLES // 2 - 2 : _ANGLES // 2 + 3].max(axis=0),
        own[_ANGLES // 4 - 2 : _ANGLES // 4 + 3].max(axis=0),
    )
    able = (best > _RECURS) & (turned < best - 0.12)
    if not able.any():
        return (0.0,) * 5
    found = others[:, able] >= best[able] - 0.06
    quarter = _ANGLES // 4
    step = np.arange(_ANGLES)
    off = np.abs((step + quarter // 2) % quarter - quarter // 2)  # from the nearest right angle
    way = (step + quarter // 2) // quarter % 4
    parts = [
        found[(off <= 2) & (way == 0)],
        found[(off <= 2) & (way == 2)],
        found[(off <= 2) & (way % 2 == 1)],
        found[off >= 5],
    ]
    share = [float(p.any(axis=0).mean()) for p in parts]
    return (*share, min(1.0, math.log10(1 + int(able.sum())) / 2))


def _agreement(waves: NDArray[np.complex128]) -> tuple[float, ...]:
    """Length of the mean wave, against the mean length of the waves, over rings and planes."""
    out = []
    for m in (1, 2, 3, 4):
        w = waves[..., m].reshape(len(waves), -1)
        together = np.abs(w.sum(axis=0)) ** 2
        out.append(float(np.sqrt(together.sum() / ((np.abs(w).sum(axis=0)) ** 2).sum())))
    return tuple(out)


def _copies(centres: Floats, lattice: Floats | None, slack: float) -> NDArray[np.bool_]:
    """Which pairs are the same motif, one repeat (or more) apart."""
    if lattice is None:
        return np.eye(len(centres), dtype=bool)
    apart = centres[:, None] - centres[None]
    steps = np.rint(apart @ np.linalg.inv(lattice)) @ lattice
    return np.asarray(np.linalg.norm(apart - steps, axis=2) <= slack + 0.01 * np.abs(steps).sum(2))


def whole_print_turned(planes: Floats, quarter_turns: int) -> float:
    """Largest correlation of the picture with its turned self over all shifts (half overlap)."""
    from scipy.fft import irfft2, next_fast_len, rfft2

    n = min(planes.shape[1:])
    f = planes[:, :n, :n]
    g = np.rot90(f, quarter_turns, axes=(1, 2))
    size = next_fast_len(2 * n), next_fast_len(2 * n)
    ones = np.zeros(size)
    ones[:n, :n] = 1
    o = rfft2(ones)

    def cross(a: Floats, b: Floats) -> Floats:
        return np.asarray(irfft2(a * np.conj(b), size))

    count = np.maximum(cross(o, o), 1)
    product = sum(cross(rfft2(p, size), rfft2(q, size)) for p, q in zip(f, g, strict=True))
    e1 = cross(rfft2((f**2).sum(axis=0), size), o)
    e2 = cross(o, rfft2((g**2).sum(axis=0), size))
    r = product / np.sqrt(np.maximum(e1 * e2, LEAST_DIVISOR))
    return float(np.where(count >= 0.45 * n * n, r, -1).max())
