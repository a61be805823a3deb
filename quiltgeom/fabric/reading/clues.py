"""Clues to a print's direction: numbers that a calibrated model weighs."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.reading.folded import fold, turned_likeness
from quiltgeom.fabric.reading.repeat import RepeatReading
from quiltgeom.fabric.reading.turned import TurnEvidence, turn_evidence, whole_print_turned

__all__ = ["direction_clues"]

Floats = NDArray[np.float64]

_ASLANT = (30, 45, 60, 120, 135, 150, 210, 225, 240, 300, 315, 330)


def direction_clues(
    planes: Floats, per_inch: float, repeat: RepeatReading, motif_in: float | None,
    clear: float, loudness: float,
) -> dict[str, float]:  # fmt: skip
    """Every clue, each within about -1 .. 1.

    Args:
        planes: ``(3, h, w)`` detail planes.
        per_inch: their pixels per inch.
        repeat, motif_in, clear, loudness: as read (``clear``: how clearly motifs part from the
            ground).
    """
    clues = _whole(planes, per_inch, repeat) | _slopes(planes, repeat.turn_deg)
    clues |= _among_motifs(_best_evidence(planes, per_inch, motif_in, repeat))
    clues["repeats"] = float(len(repeat.vectors_in) == 2)
    clues["clear"], clues["loudness"] = clear, loudness
    clues["no motif"] = float(motif_in is None)
    clues["free"] = clues["many"] * (1 - clues["level"]) * (1 - clues["half fits"])
    clues["two"] = max(clues["half fits"], clues["gain 180"])
    clues["four"] = min(max(clues["quarter fits"], clues["gain 90"] * clues["many"]), clues["two"])
    clues["mirror only"] = clues["left_right fits"] * (1 - clues["half fits"])
    clues["own up"] = clues["mirror only"] * (1 - clues["many"])
    clues["isotropic"] = (1 - clues["slopes 2"]) * (1 - clues["slopes 4"])
    clues["isotropic texture"] = clues["isotropic"] * (1 - clues["half fits"]) * (
        1 - clues["recurs"])  # fmt: skip
    return clues


def _fits(likeness: float) -> float:
    return _logistic((likeness - 0.88) / 0.025)


def _whole(planes: Floats, per_inch: float, repeat: RepeatReading) -> dict[str, float]:
    """The print over its turned self: one averaged repeat, or else the whole picture."""
    pair = fold(planes, per_inch, repeat)
    if pair is not None:
        out = turned_likeness(pair, repeat)
    else:
        half, quarter = (max(0.0, whole_print_turned(planes, k)) for k in (2, 1))
        out = {"half": half, "quarter": quarter, "left_right": 0.0, "up_down": 0.0, "ceiling": 1.0}
    fits = {f"{k} fits": _fits(v) for k, v in out.items() if k != "ceiling"}
    return out | fits | {"folded": float(pair is not None)}


def _slopes(planes: Floats, turn_deg: float) -> dict[str, float]:
    """Whether edges prefer directions, and whether they rise otherwise than they fall."""
    from scipy.ndimage import gaussian_filter

    out = {"slopes 2": 0.0, "slopes 4": 0.0, "level 2": 0.0, "level 4": 0.0, "skew": 0.0}
    for sigma in (1.0, 3.0):
        soft = np.stack([gaussian_filter(p, sigma) for p in planes])
        gy, gx = np.gradient(soft, axis=(1, 2))
        size = np.hypot(gx, gy) ** 2
        z = (gx + 1j * gy) * np.exp(-1j * math.radians(turn_deg))
        unit = z / np.maximum(np.abs(z), 1e-9)
        two, four = ((size * unit**k).sum() / size.sum() for k in (2, 4))
        out["slopes 2"] += abs(two) / 2
        out["slopes 4"] += abs(four) / 2
        out["level 2"] += two.real / 2
        out["level 4"] += four.real / 2
        light = z[0]
        third = [float((v**3).mean() / ((v**2).mean() + 1e-9) ** 1.5) for v in
                 (light.imag, light.real)]  # fmt: skip
        out["skew"] += math.tanh(abs(third[0])) / 2
    return out


def _shape_planes(planes: Floats) -> Floats:
    """The planes and, foremost, how far each pixel is from the ground: shape without colourway."""
    ground = np.median(planes, axis=(1, 2), keepdims=True)
    apart = np.sqrt(((planes - ground) ** 2).sum(axis=0, keepdims=True))
    apart = np.minimum(apart, np.quantile(apart, 0.97))
    return np.concatenate([2.0 * (apart - apart.mean()), planes])


def _best_evidence(
    planes: Floats, per_inch: float, motif_in: float | None, repeat: RepeatReading
) -> TurnEvidence | None:
    """Evidence at the motif's own size; without one, at the size that tells angles apart best."""
    side = min(planes.shape[1:])
    sizes = [0.03 * side, 0.06 * side, 0.11 * side]
    if motif_in is not None and 4 < 0.55 * motif_in * per_inch < 0.25 * side:
        sizes = [0.55 * motif_in * per_inch]
    lattice = np.array(repeat.vectors_in) * per_inch if len(repeat.vectors_in) == 2 else None
    shapes = _shape_planes(planes)
    found = [e for s in sizes if (e := turn_evidence(shapes, max(4.0, s), lattice)) is not None]
    return max(found, key=lambda e: float(np.ptp(e.at)), default=None)


_NO_MOTIFS = ("a0", "a180", "a90", "own 180", "own 90", "aslant", "best", "recurs", "many",
              "level", "gain 180", "gain 90", "round", "motifs")  # fmt: skip


def _among_motifs(e: TurnEvidence | None) -> dict[str, float]:
    if e is None:
        return dict.fromkeys(_NO_MOTIFS, 0.0)
    off = float(np.median([_window(e.others, d) for d in _ASLANT]))
    many = _logistic((math.log(e.per_cell) - math.log(3.5)) / 0.15)
    seen = e.others if e.per_cell > 3.5 else e.at
    a0, a180 = _window(seen, 0), _window(seen, 180)
    a90 = min(_window(seen, 90), _window(seen, 270))
    top = max(e.best, a0) if e.per_cell <= 3.5 else e.best
    spread = max(top - off, 0.02)
    return {
        "a0": a0, "a180": a180, "a90": a90, "aslant": off, "best": e.best,
        "own 180": _window(e.own, 180, 0), "own 90": _window(e.own, 90, 0),
        "recurs": _logistic((e.best - 0.7) / 0.06), "many": many,
        "level": float(np.clip((max(a0, a180, a90) - off) / spread, 0, 1)),
        "gain 180": _logistic((_gain(e, seen, 180, top) - 0.6) / 0.08),
        "gain 90": _logistic((min(_gain(e, seen, d, top) for d in (90, 270)) - 0.6) / 0.08),
        "round": _logistic((0.06 - (top - off)) / 0.015), "motifs": min(1.0, e.motifs / 60),
    }  # fmt: skip


def _gain(evidence: TurnEvidence, seen: Floats, degrees: float, top: float) -> float:
    """How much more like a motif its best turned partner is than the motif itself, turned.

    0: nothing but the motif's own symmetry; 1: some partner really is the motif, so turned.
    """
    own = _window(evidence.own, degrees, 0)
    if top - own < 0.06:
        return 1.0
    return (_window(seen, degrees) - own) / (top - own)


def _window(at: Floats, degrees: float, reach: int = 1) -> float:
    """The best value within about 6 degrees (a photo lies a little askew)."""
    i = round(degrees / 360 * len(at))
    return float(max(at[(i + k) % len(at)] for k in range(-reach, reach + 1)))


def _logistic(x: float) -> float:
    return float(1 / (1 + math.exp(-max(-30.0, min(30.0, x)))))
