"""Direction of a print: one-way, two-way, four-way or non-directional; stripes and plaids."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats
from quiltgeom.fabric.reading.directions.direction_features import direction_features
from quiltgeom.fabric.reading.directions.direction_model import direction_chances
from quiltgeom.fabric.reading.directions.turned import whole_print_turned
from quiltgeom.fabric.reading.pixels import check_rgb, shrink
from quiltgeom.fabric.reading.repeats.autocorrelation import detail_planes
from quiltgeom.fabric.reading.repeats.repeat import RepeatReading

SURE_DIRECTION = 0.7
"""Confidence from which a direction is acted upon. Left out of the fit, 242 of 349 photos that
claimed 0.5 to 0.7 were right, and 1328 of 1372 above (docs/reading.md)."""

NOTHING_RECURS = "no motifs recur, so nothing can be compared"
"""The reason where neither a repeat nor a motif was found twice."""

_SIDE = 400
_RECURS = 0.78  # likeness of motifs: less, in a print without a repeat, is chance, as in a scene
_QUIET = 0.25  # loudness
_SAME_BOTH_WAYS = 0.85  # likeness of a plaid with itself turned sideways; near it, nobody is sure


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
        confidence: 0..1, that ``kind`` is right for cutting (four-way and non-directional, which
            are both cut freely, count as one).
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
    clear: float = 0.5,
) -> DirectionReading:
    """Which turns leave a print looking the same.

    Looked at are one repeat of the print laid over its turned and mirrored self; each motif laid
    over all other motifs at every relative angle (a print with motifs up and down in different
    places is two-way although the whole never fits); and whether edges prefer directions. A
    calibrated model weighs them. Without motifs that recur nothing can be told: the answer is then
    one-way, unsure, which is the safe way to cut.

    Args:
        rgb: ``(h, w, 3)`` uint8.
        motif_in: typical motif size, if known.
        loudness: as read; faint prints without motifs have no direction that matters.
        clear: how clearly its motifs part from the ground, as read.
    """
    if repeat.kind == "plain":
        return DirectionReading("non-directional", "plain", confidence=0.9, reason="no print")
    planes = detail_planes(shrink(check_rgb(rgb), _SIDE), smooth=0.9)
    bars = _bars(planes, repeat)
    if bars is not None:
        return bars
    per_inch = planes.shape[2] / width_in
    features = direction_features(planes, per_inch, repeat, motif_in, clear, loudness)
    return _without_motifs(features, repeat) or _weighed(features, repeat)


def _bars(planes: Floats, repeat: RepeatReading) -> DirectionReading | None:
    if repeat.kind == "stripe" or repeat.bars:
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
    parts = [
        float(((p - planes.mean(axis=(1, 2), keepdims=True)) ** 2).sum(axis=0).mean())
        for p in (rows, columns)
    ]
    explained, least = sum(parts) / total, min(parts) / total
    if explained < 0.87 or least < 0.12:
        return None
    turned = whole_print_turned(planes, 1)
    apart = (
        (turned - _SAME_BOTH_WAYS) / 0.1
        if turned > _SAME_BOTH_WAYS
        else (_SAME_BOTH_WAYS - turned) / 0.5
    )
    sure = min(0.97, 0.5 + explained / 2, 0.55 + 0.4 * min(1.0, apart))
    why = f"bars both ways; turned sideways it fits itself to {max(turned, 0.0):.2f}"
    kind = "four-way" if turned > _SAME_BOTH_WAYS else "two-way"
    return DirectionReading(
        kind, "plaid", repeat.turn_deg, None, confidence=round(sure, 3), reason=why
    )


def _upright(planes: Floats, turn_deg: float) -> Floats:
    """The middle of the picture, turned so that the print's axes are level."""
    from scipy.ndimage import gaussian_filter, rotate

    turned = [rotate(gaussian_filter(p, 1.0), turn_deg, reshape=False, order=1) for p in planes]
    m = int(0.06 * planes.shape[1])
    return np.stack(turned)[:, m:-m, m:-m]


def _without_motifs(features: dict[str, float], repeat: RepeatReading) -> DirectionReading | None:
    """Where nothing repeats and nothing recurs, nothing can be compared."""
    if len(repeat.vectors_in) == 2 or features["best"] >= _RECURS:
        return None
    if features["loudness"] < _QUIET:
        return _answer("non-directional", 0.55, "a quiet texture without motifs", repeat)
    return _answer("one-way", 0.4, NOTHING_RECURS, repeat)


def _weighed(features: dict[str, float], repeat: RepeatReading) -> DirectionReading:
    chance = direction_chances(features)
    free = chance["four-way"] + chance["non-directional"]
    cut = {"one-way": chance["one-way"], "two-way": chance["two-way"], "free": free}
    kind = max(cut, key=lambda k: cut[k])
    sure = cut[kind]
    if kind == "free":
        kind = max(("four-way", "non-directional"), key=lambda k: chance[k])
    return _answer(kind, sure, _words(features), repeat)


def _words(f: dict[str, float]) -> str:
    whole = "one repeat" if f["folded"] else "the picture"
    words = [f"{whole} fits itself to {f['half']:.2f} upside down"]
    if f["quarter"]:
        words.append(f"{f['quarter']:.2f} sideways")
    if f["left_right"]:
        words.append(f"{f['left_right']:.2f} mirrored")
    if f["motifs"]:
        words.append(
            f"motifs find their like to {f['a0']:.2f} upright, {f['a180']:.2f} upside "
            f"down, {f['a90']:.2f} sideways, {f['aslant']:.2f} aslant"
        )
    return ", ".join(words)


_UP = "; up is taken from how the picture was held, a print does not show it"


def _answer(kind: str, sure: float, words: str, repeat: RepeatReading) -> DirectionReading:
    up = repeat.turn_deg if kind == "one-way" else None
    reason = words if sure >= SURE_DIRECTION else f"unsure: {words}"
    if kind == "one-way":
        reason += _UP
    return DirectionReading(kind, "print", None, up, "picture", round(min(sure, 0.98), 3), reason)
