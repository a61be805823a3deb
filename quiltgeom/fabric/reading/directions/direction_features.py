"""Features of a print that tell its direction: numbers that a calibrated model weighs, and products
of them that a linear model cannot form."""

import math
from collections.abc import Mapping

import numpy as np

from quiltgeom.colour import Floats
from quiltgeom.fabric.reading.directions.turned import (
    TurnEvidence,
    figure_evidence,
    turn_evidence,
    whole_print_turned,
)
from quiltgeom.fabric.reading.repeats.folded_copies import fold, richness, turned_likeness
from quiltgeom.fabric.reading.repeats.repeat import RepeatReading
from quiltgeom.fabric.reading.repeats.skewness import odd_moments
from quiltgeom.tolerance import LEAST_DIVISOR

_ASLANT = (30, 45, 60, 120, 135, 150, 210, 225, 240, 300, 315, 330)


def direction_features(
    planes: Floats,
    per_inch: float,
    repeat: RepeatReading,
    motif_in: float | None,
    clear: float,
    loudness: float,
) -> dict[str, float]:
    """Every clue, each within about -1 .. 1.

    Args:
        planes: ``(3, h, w)`` detail planes.
        per_inch: their pixels per inch.
        repeat, motif_in, clear, loudness: as read (``clear``: how clearly motifs part from the
            ground).
    """
    pair = fold(planes, per_inch, repeat)
    features = _whole(planes, pair, repeat) | _slopes(planes, repeat.turn_deg)
    evidence = _best_evidence(planes, per_inch, motif_in, repeat)
    on_figures = figure_evidence(_shape_planes(planes), _lattice_px(repeat, per_inch))
    figures = _among_motifs(on_figures, repeat.turn_deg)
    features |= {f"figures {k}": v for k, v in figures.items()}
    features |= _among_motifs(evidence, repeat.turn_deg) | _small_parts(
        planes, pair, evidence, repeat
    )
    features |= _lattice(planes, per_inch, repeat, evidence)
    features["repeats"] = float(len(repeat.vectors_in) == 2)
    features["clear"], features["loudness"] = clear, loudness
    features["no motif"] = float(motif_in is None)
    return features | combined_features(features)


def _whole(
    planes: Floats, pair: tuple[Floats, Floats] | None, repeat: RepeatReading
) -> dict[str, float]:
    """The print over its turned self: one averaged repeat, or else the whole picture."""
    if pair is not None:
        out = turned_likeness(pair, repeat)
    else:
        half, quarter = (max(0.0, whole_print_turned(planes, k)) for k in (2, 1))
        out = {"half": half, "quarter": quarter, "left_right": 0.0, "up_down": 0.0, "ceiling": 1.0}
        out |= dict.fromkeys(("half more", "quarter more", "left_right more", "up_down more"), 1.0)
    turns = ("half", "quarter", "left_right", "up_down")
    fits = {f"{k} fits": _logistic((out[k] - 0.88) / 0.025) for k in turns}
    return out | fits | {"folded": float(pair is not None)}


def _small_parts(
    planes: Floats,
    pair: tuple[Floats, Floats] | None,
    e: TurnEvidence | None,
    repeat: RepeatReading,
) -> dict[str, float]:
    """What there is in one repeat (or in the picture), and whether its parts have an up."""
    tile = planes if pair is None else (pair[0] + pair[1]) / 2
    shapes = _shape_planes(tile)[:2]
    things = 9.0 if e is None else max(e.per_cell, 1.0)
    turn = repeat.turn_deg if pair is None or repeat.cell_in is None else 0.0
    twice = pair is not None and repeat.kind in ("half-drop", "brick")
    torus = pair is not None
    return richness(tile) | odd_moments(shapes, turn, things, torus=torus, twice=twice)


def _lattice(
    planes: Floats, per_inch: float, repeat: RepeatReading, e: TurnEvidence | None
) -> dict[str, float]:
    """How many repeats are in sight, and how many things there are in one."""
    out = {"cells": 0.0, "things": 0.0}
    if e is not None:
        out["things"] = min(1.0, math.log10(max(e.per_cell, 1.0)) / 2)
    if len(repeat.vectors_in) == 2:
        area = abs(float(np.linalg.det(np.array(repeat.vectors_in)))) * per_inch**2
        seen = planes.shape[1] * planes.shape[2] / area
        out["cells"] = min(1.0, math.log10(max(seen, 1.0)) / 3)
    return out


def _slopes(planes: Floats, turn_deg: float) -> dict[str, float]:
    """Whether edges prefer directions, and whether they rise otherwise than they fall."""
    from scipy.ndimage import gaussian_filter

    out = {"slopes 2": 0.0, "slopes 4": 0.0, "level 2": 0.0, "level 4": 0.0, "skew": 0.0}
    for sigma in (1.0, 3.0):
        soft = np.stack([gaussian_filter(p, sigma) for p in planes])
        gy, gx = np.gradient(soft, axis=(1, 2))
        size = np.hypot(gx, gy) ** 2
        z = (gx + 1j * gy) * np.exp(-1j * math.radians(turn_deg))
        unit = z / np.maximum(np.abs(z), LEAST_DIVISOR)
        two, four = ((size * unit**k).sum() / size.sum() for k in (2, 4))
        out["slopes 2"] += abs(two) / 2
        out["slopes 4"] += abs(four) / 2
        out["level 2"] += two.real / 2
        out["level 4"] += four.real / 2
        light = z[0]
        third = [
            float((v**3).mean() / ((v**2).mean() + LEAST_DIVISOR) ** 1.5)
            for v in (light.imag, light.real)
        ]
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
    lattice = _lattice_px(repeat, per_inch)
    shapes = _shape_planes(planes)
    found = [e for s in sizes if (e := turn_evidence(shapes, max(4.0, s), lattice)) is not None]
    return max(found, key=lambda e: float(np.ptp(e.at)), default=None)


def _lattice_px(repeat: RepeatReading, per_inch: float) -> Floats | None:
    return np.array(repeat.vectors_in) * per_inch if len(repeat.vectors_in) == 2 else None


_NO_MOTIFS = (
    "a0,a180,a90,own 180,own 90,aslant,best,recurs,many,level,gain 180,gain 90,round,motifs,"
    "mirror up,mirror side,mirror clear,agree 1,agree 2,agree 3,agree 4,vote 0,vote 180,vote 90,"
    "vote aslant,votes,less 180,less 90,less aslant,over 180,over 90"
).split(",")


def _alike(e: TurnEvidence, turn_deg: float) -> dict[str, float]:
    """Whether motifs' own mirror axes stand upright, and whether motifs agree in how they lie."""
    middle, steps = float(np.median(e.mirrored)), len(e.mirrored)
    up, side = (
        max(float(e.mirrored[round((a + turn_deg + k) / 180 * steps) % steps]) for k in (-3, 0, 3))
        - middle
        for a in (90, 0)
    )
    # copies agree of themselves: what is left beyond the chance of so many different ones
    chance = 1 / max(e.per_cell, 1.0)
    agree = {
        f"agree {m}": max(0.0, (v * v - chance) / (1 - 0.9 * chance))
        for m, v in enumerate(e.agree, start=1)
    }
    names = ("vote 0", "vote 180", "vote 90", "vote aslant", "votes")
    agree |= dict(zip(names, e.votes, strict=True))
    clear = float(e.mirrored.max()) - middle
    return agree | {"mirror up": up, "mirror side": side, "mirror clear": clear}


def _among_motifs(e: TurnEvidence | None, turn_deg: float) -> dict[str, float]:
    if e is None:
        return dict.fromkeys(_NO_MOTIFS, 0.0)
    off = float(np.median([_window(e.others, d) for d in _ASLANT]))
    many = _logistic((math.log(e.per_cell) - math.log(3.5)) / 0.15)
    seen = e.others if e.per_cell > 3.5 else e.at
    a0, a180 = _window(seen, 0), _window(seen, 180)
    a90 = min(_window(seen, 90), _window(seen, 270))
    top = max(e.best, a0) if e.per_cell <= 3.5 else e.best
    spread = max(top - off, 0.02)
    less = {"less 180": a0 - a180, "less 90": a0 - a90, "less aslant": a0 - off}
    less |= {"over 180": a180 - off, "over 90": a90 - off}
    return (
        less
        | _alike(e, turn_deg)
        | {
            "a0": a0,
            "a180": a180,
            "a90": a90,
            "aslant": off,
            "best": e.best,
            "own 180": _window(e.own, 180, 0),
            "own 90": _window(e.own, 90, 0),
            "recurs": _logistic((e.best - 0.7) / 0.06),
            "many": many,
            "level": float(np.clip((max(a0, a180, a90) - off) / spread, 0, 1)),
            "gain 180": _logistic((_gain(e, seen, 180, top) - 0.6) / 0.08),
            "gain 90": _logistic((min(_gain(e, seen, d, top) for d in (90, 270)) - 0.6) / 0.08),
            "round": _logistic((0.06 - (top - off)) / 0.015),
            "motifs": min(1.0, e.motifs / 60),
        }
    )


def _gain(evidence: TurnEvidence, seen: Floats, degrees: float, top: float) -> float:
    """How much more like a motif its best turned partner is than the motif itself, turned.

    0: nothing but the motif's own symmetry; 1: some partner really is the motif, so turned.
    """
    own = _window(evidence.own, degrees, 0)
    if top - own < 0.06:
        return 1.0
    return (_window(seen, degrees) - own) / (top - own)


def _window(at: Floats, degrees: float, steps: int = 1) -> float:
    """The best value within about 6 degrees (a photo lies a little askew)."""
    i = round(degrees / 360 * len(at))
    return float(max(at[(i + k) % len(at)] for k in range(-steps, steps + 1)))


def _logistic(x: float) -> float:
    return float(1 / (1 + math.exp(-max(-30.0, min(30.0, x)))))


def combined_features(features: Mapping[str, float]) -> dict[str, float]:
    """Features made of others (as measured), each within about -1 .. 1."""
    c = features
    turns = 1 - c["half fits"]  # looks different upside down
    two = max(c["half fits"], c["gain 180"])
    isotropic = (1 - c["slopes 2"]) * (1 - c["slopes 4"])
    votes = _elected(features)
    return votes | {
        "free": c["many"] * (1 - c["level"]) * turns,
        "two": two,
        "four": min(max(c["quarter fits"], c["gain 90"] * c["many"]), two),
        "mirror only": c["left_right fits"] * turns,
        "own up": c["left_right fits"] * turns * (1 - c["many"]),
        "isotropic": isotropic,
        "isotropic texture": isotropic * turns * (1 - c["recurs"]),
        "half in doubt": c["half fits"] * c["half more"],
        "one figure": (1 - c["things"]) * turns * (1 - c["waves"]),
        "one motif": (1 - c["many"]) * turns * c["recurs"],
        "sure and turns": c["sure"] * turns,
        "odd and turns": c["odd"] * turns,
        "figures mirror and turns": c["figures mirror up"] * turns,
        "mirror and turns": c["mirror up"] * turns,
        "grain": c["slopes 2"] * turns * (1 - max(votes["all upright"], votes["every way"])),
        "rich grain": c["slopes 2"] * turns * c["waves"],
        "rich texture": isotropic * turns * c["waves"],
        "figures upright": max(c["figures less 180"], 0.0) * c["figures recurs"],
        "upright and turns": votes["all upright"] * turns,
        "up and down and turns": votes["up and down"] * turns,
    }


def _elected(f: Mapping[str, float]) -> dict[str, float]:
    """What the votes of motifs and of whole figures come to, the more decided of the two."""
    out = {"all upright": 0.0, "up and down": 0.0, "every way": 0.0}
    for kind in ("", "figures "):
        up, down, aside, aslant, many = (
            f[f"{kind}{k}"] for k in ("vote 0", "vote 180", "vote 90", "vote aslant", "votes")
        )
        anyhow = max(aside, aslant)
        won = (up * (1 - down) * (1 - anyhow), down * (1 - anyhow), anyhow)
        out = {k: max(v, many * w) for (k, v), w in zip(out.items(), won, strict=True)}
    return out
