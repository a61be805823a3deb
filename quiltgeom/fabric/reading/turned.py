"""Evidence of direction: motifs compared with each other at every relative angle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["TurnEvidence", "turn_evidence", "whole_print_turned"]

Floats = NDArray[np.float64]

_ANGLES = 64
_RINGS = 10
_MOST = 130  # motifs compared


@dataclass(frozen=True)
class TurnEvidence:
    """Mean likeness of each motif to its best partner at every relative angle.

    Attributes:
        at: ``(64,)``, angles of 360/64 degrees; 1 = some other motif looks the same so turned.
        others: the same, but copies of the motif by the print's repeat do not count.
        own: each motif against itself (its own symmetry).
        best: mean likeness to the best other motif (no copy) at whatever angle.
        motifs: how many were compared.
        per_cell: about how many different ones there are.
    """

    at: Floats
    others: Floats
    own: Floats
    best: float
    motifs: int
    per_cell: float


def _centres(energy: Floats, radius: float, margin: float) -> NDArray[np.int64]:
    from scipy.ndimage import gaussian_filter, maximum_filter

    soft = gaussian_filter(energy, 0.45 * radius)
    top = (soft == maximum_filter(soft, int(radius) | 1)) & (soft > 0.35 * np.quantile(soft, 0.99))
    m = int(np.ceil(margin))
    top[:m], top[-m:], top[:, :m], top[:, -m:] = False, False, False, False
    y, x = np.nonzero(top)
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
    from scipy.fft import irfft
    from scipy.ndimage import map_coordinates

    centres = _centres((planes**2).sum(axis=0), radius, radius + 1)
    if len(centres) < 4:
        return None
    rings = radius * np.sqrt((np.arange(_RINGS) + 0.5) / _RINGS)  # rings of equal area
    a = 2 * np.pi * np.arange(_ANGLES) / _ANGLES
    x = centres[:, 0, None, None] + rings[None, :, None] * np.cos(a)
    y = centres[:, 1, None, None] + rings[None, :, None] * np.sin(a)
    polar = np.stack([map_coordinates(p, [y, x], order=1) for p in planes], axis=1)
    polar -= polar.mean(axis=(2, 3), keepdims=True)
    polar /= np.sqrt((polar**2).sum(axis=(1, 2, 3), keepdims=True)) + 1e-9
    f = np.fft.rfft(polar, axis=3).reshape(len(centres), -1, _ANGLES // 2 + 1)
    # single precision is plenty for likeness, and many times faster
    f = np.ascontiguousarray(np.moveaxis(f, 2, 0), dtype=np.complex64)
    other = np.ascontiguousarray(np.conj(np.swapaxes(f, 1, 2)))
    likeness = irfft(f @ other, _ANGLES, axis=0).astype(np.float64)
    own = np.einsum("kii->ki", likeness).mean(axis=1)
    i = np.arange(len(centres))
    likeness[:, i, i] = -1
    at = likeness.max(axis=2).mean(axis=1)
    copies = _copies(centres, lattice, 0.35 * radius)
    different = len(centres) / float(copies.sum(axis=1).mean())
    if different < 1.5:  # all are copies of one motif
        return TurnEvidence(at, at, own, float(at.max()), len(centres), different)
    likeness[:, copies] = -1
    others = likeness.max(axis=2)
    return TurnEvidence(
        at, others.mean(axis=1), own, float(others.max(axis=0).mean()), len(centres), different
    )


def _copies(
    centres: NDArray[np.int64], lattice: Floats | None, slack: float
) -> NDArray[np.bool_]:
    """Which pairs are the same motif, one repeat (or more) apart."""
    if lattice is None:
        return np.eye(len(centres), dtype=bool)
    apart = (centres[:, None] - centres[None]).astype(float)
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
    top = sum(cross(rfft2(p, size), rfft2(q, size)) for p, q in zip(f, g, strict=True))
    e1 = cross(rfft2((f**2).sum(axis=0), size), o)
    e2 = cross(o, rfft2((g**2).sum(axis=0), size))
    r = top / np.sqrt(np.maximum(e1 * e2, 1e-9))
    return float(np.where(count >= 0.45 * n * n, r, -1).max())
