"""Direction of a print: one-way, two-way, four-way or non-directional; stripes and plaids."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.reading.correlate import detail_planes, self_likeness
from quiltgeom.fabric.reading.pixels import check_rgb, shrink
from quiltgeom.fabric.reading.repeat import RepeatReading
from quiltgeom.fabric.reading.turned import TurnEvidence, turn_evidence, whole_print_turned

__all__ = ["DirectionReading", "read_direction"]

Floats = NDArray[np.float64]

_SIDE = 400


@dataclass(frozen=True, slots=True)
class DirectionReading:
    """What turning a print does to it.

    Attributes:
        kind: ``"one-way"``, ``"two-way"``, ``"four-way"`` or ``"non-directional"``.
        figure: ``"print"``, ``"stripe"``, ``"plaid"`` or ``"plain"``.
        axis_deg: for stripes and plaids, the direction of the bars, clockwise from horizontal.
        up_deg: where the print's up points, clockwise from the picture's top; None where nothing
            has an up.
        up_from: ``"picture"`` (taken from how the picture was held: a print cannot tell) or
            ``"user"``.
        confidence: 0..1, that ``kind`` and ``figure`` are right.
        reason: the evidence in words; begins with ``unsure`` below 0.5.
    """

    kind: str
    figure: str = "print"
    axis_deg: float | None = None
    up_deg: float | None = None
    up_from: str = "picture"
    confidence: float = 0.0
    reason: str = ""


def read_direction(
    rgb: NDArray[np.uint8],
    width_in: float,
    repeat: RepeatReading,
    motif_in: float | None = None,
    loudness: float = 0.5,
) -> DirectionReading:
    """Which turns leave a print looking the same.

    Two kinds of evidence: the whole print laid over its turned self; and each motif laid over all
    other motifs at every relative angle (a print with motifs up and down in different places is
    two-way although the whole never fits). Without motifs that recur nothing can be told: the
    answer is then one-way, unsure, which is the safe way to cut.

    Args:
        rgb: ``(h, w, 3)`` uint8.
        width_in: real width of the picture.
        repeat: its repeat, as read.
        motif_in: typical motif size, if known.
        loudness: as read; faint prints without motifs have no direction that matters.
    """
    if repeat.kind == "plain":
        return DirectionReading("non-directional", "plain", confidence=0.9, reason="no print")
    planes = detail_planes(shrink(check_rgb(rgb), _SIDE), smooth=0.9)
    per_inch = planes.shape[2] / width_in
    bars = _bars(planes, repeat)
    if bars is not None:
        return bars
    level = _own_level(planes, repeat)
    half = whole_print_turned(planes, 2) / level
    quarter = max(whole_print_turned(planes, 1), 0.0) / level
    evidence = _best_evidence(planes, per_inch, motif_in, repeat)
    return _judged(half, quarter, evidence, repeat, loudness)


def _own_level(planes: Floats, repeat: RepeatReading) -> float:
    """How alike copies of the print are when not turned: what a turned copy could reach."""
    if not repeat.vectors_in:
        return 1.0
    r = self_likeness(planes).r
    far = r[20:, :]
    return float(np.clip(far.max(), 0.3, 1.0))


def _bars(planes: Floats, repeat: RepeatReading) -> DirectionReading | None:
    if repeat.kind == "stripe" or (repeat.kind == "none" and "bars" in repeat.reason):
        v = repeat.vectors_in[0] if repeat.vectors_in else None
        axis = repeat.turn_deg if v is None else math.degrees(math.atan2(v[0], -v[1])) % 180
        same = whole_print_turned(planes, 2)
        why = "even stripe" if same > 0.9 else "uneven stripe: the bars read one way only"
        return DirectionReading("two-way", "stripe", axis, None, confidence=0.93, reason=why)
    if repeat.kind != "straight":
        return None
    planes = _upright(planes, repeat.turn_deg)
    total = float((planes**2).sum(axis=0).mean())
    rows = planes.mean(axis=2, keepdims=True)
    columns = planes.mean(axis=1, keepdims=True)
    parts = [float(((p - planes.mean(axis=(1, 2), keepdims=True)) ** 2).sum(axis=0).mean())
             for p in (rows, columns)]  # fmt: skip
    explained, least = sum(parts) / total, min(parts) / total
    if explained < 0.87 or least < 0.12:
        return None
    four = whole_print_turned(planes, 1) > 0.85
    sure = min(0.97, 0.5 + explained / 2)
    return DirectionReading("four-way" if four else "two-way", "plaid", repeat.turn_deg, None,
                            confidence=sure, reason="bars both ways")  # fmt: skip


def _shape_planes(planes: Floats) -> Floats:
    """The planes and, foremost, how far each pixel is from the ground: shape without colourway."""
    ground = np.median(planes, axis=(1, 2), keepdims=True)
    apart = np.sqrt(((planes - ground) ** 2).sum(axis=0, keepdims=True))
    apart = np.minimum(apart, np.quantile(apart, 0.97))
    return np.concatenate([2.0 * (apart - apart.mean()), planes])


def _upright(planes: Floats, turn_deg: float) -> Floats:
    """The middle of the picture, turned so that the print's axes are level."""
    from scipy.ndimage import gaussian_filter, rotate

    turned = [rotate(gaussian_filter(p, 1.0), turn_deg, reshape=False, order=1) for p in planes]
    m = int(0.06 * planes.shape[1])
    return np.stack(turned)[:, m:-m, m:-m]


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


_ASLANT = (30, 45, 60, 120, 135, 150, 210, 225, 240, 300, 315, 330)


def _judged(
    half: float, quarter: float, evidence: TurnEvidence | None, repeat: RepeatReading, loud: float
) -> DirectionReading:
    if evidence is None or max(evidence.best, _window(evidence.at, 0)) < 0.6:
        return _without_motifs(half, quarter, repeat, loud)
    if not repeat.vectors_in and evidence.best < 0.78:  # chance likenesses, as in a scene
        return _without_motifs(half, quarter, repeat, loud)
    off = float(np.median([_window(evidence.others, d) for d in _ASLANT]))
    many = evidence.per_cell > 3.5
    seen = evidence.others if many else evidence.at
    a0, a180 = _window(seen, 0), _window(seen, 180)
    a90 = min(_window(seen, 90), _window(seen, 270))
    top = max(evidence.best, a0) if not many else evidence.best
    words = (f"{evidence.motifs} motifs: likeness {a0:.2f} upright, {a180:.2f} upside down, "
             f"{a90:.2f} sideways, {off:.2f} aslant")  # fmt: skip
    whole_half, whole_quarter = _logistic((half - 0.85) / 0.03), _logistic((quarter - 0.85) / 0.03)
    if top - off < 0.05:  # round motifs: only their arrangement can have a direction
        return _round_motifs(whole_half, whole_quarter, many, words, repeat)
    two = max(whole_half, _logistic((_gain(evidence, seen, 180, top) - 0.6) / 0.08))
    four = _logistic((min(_gain(evidence, seen, d, top) for d in (90, 270)) - 0.6) / 0.08)
    if repeat.vectors_in and not many:
        # fewer than four different motifs cannot take four turns unless the whole print does; and
        # one motif alone is turned by half only if the whole print is
        four = whole_quarter
        two = whole_half if evidence.per_cell < 1.5 else two
    four = min(max(whole_quarter, four), two)
    free = 0.0
    if many:
        level = (max(a0, a180, a90) - off) / (top - off)
        free = _logistic((0.5 - level) / 0.09) * (1 - whole_half)
    rest = 1 - free
    scores = {
        "one-way": rest * (1 - two),
        "two-way": rest * (two - four),
        "four-way": rest * four,
        "non-directional": free,
    }
    kind = max(scores, key=lambda k: scores[k])
    few = 0.8 if evidence.motifs < 6 else 1.0
    return _answer(kind, float(scores[kind]) * few, words, repeat)


def _gain(evidence: TurnEvidence, seen: Floats, degrees: float, top: float) -> float:
    """How much more like a motif its best turned partner is than the motif itself, turned.

    0: nothing but the motif's own symmetry; 1: some partner really is the motif, so turned.
    """
    own = _window(evidence.own, degrees, 0)
    if top - own < 0.06:
        return 1.0
    return (_window(seen, degrees) - own) / (top - own)


def _round_motifs(
    half: float, quarter: float, many: bool, words: str, repeat: RepeatReading
) -> DirectionReading:
    if many or not repeat.vectors_in:
        return _answer("non-directional", 0.9, words, repeat)
    scores = {"four-way": quarter, "two-way": half * (1 - quarter), "non-directional": 1 - half}
    kind = max(scores, key=lambda k: scores[k])
    return _answer(kind, 0.95 * scores[kind], words, repeat)


def _without_motifs(
    half: float, quarter: float, repeat: RepeatReading, loud: float
) -> DirectionReading:
    if repeat.vectors_in and half > 0.9:
        kind = "four-way" if quarter > 0.9 else "two-way"
        return _answer(kind, 0.75, f"the whole print fits itself turned ({half:.2f})", repeat)
    if loud < 0.25:
        return _answer("non-directional", 0.55, "a quiet texture without motifs", repeat)
    return _answer("one-way", 0.4, "no motifs recur, so nothing can be compared", repeat)


def _answer(kind: str, sure: float, words: str, repeat: RepeatReading) -> DirectionReading:
    up = repeat.turn_deg if kind == "one-way" else None
    reason = words if sure >= 0.5 else f"unsure: {words}"
    return DirectionReading(kind, "print", None, up, "picture", round(min(sure, 0.98), 3), reason)


def _window(at: Floats, degrees: float, reach: int = 1) -> float:
    """The best value within about 6 degrees (a photo lies a little askew)."""
    i = round(degrees / 360 * len(at))
    return float(max(at[(i + k) % len(at)] for k in range(-reach, reach + 1)))


def _logistic(x: float) -> float:
    return float(1 / (1 + math.exp(-max(-30.0, min(30.0, x)))))
