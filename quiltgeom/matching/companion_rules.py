"""The rules by which a cloth keeps company with a print, each over a whole shelf at once.

All are common practice of the trade (no published source): two quiet companions; a background
that picks up a light colour of the print and sets it off; an accent that picks up a strong one;
another scale than the print's; clear with clear, muted with muted. The thresholds are this
project's reading of them; where they rest on a published scale, that is named.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, delta_e_2000, lab_to_lch
from quiltgeom.fabric.reading.palette import colour_name
from quiltgeom.matching.separation import STEP
from quiltgeom.matching.verdicts import RULES, Outcome, Verdict, verdict
from quiltgeom.onhand.features import SOLID, Features, Shelf
from quiltgeom.tolerance import SAME_POINT
from quiltgeom.units import INCHES, format_inches

Role = Literal["background", "accent"]
Ground = Literal["light", "dark"]
"""Whether the background is to be light, as is usual, or dark."""

_QUIET = {"background": (0.4, 0.75), "accent": (0.6, 0.85)}
"""Parts of the print's loudness up to which a companion passes, and from which it fails."""

_NEAR, _RELATED = 10.0, 18.0
"""CIEDE2000: a cloth this near a colour of the print picks it up; this near it still recalls it."""

_APART = 10.0
"""CIEDE2000 from which two cloths are seen as two colours at the seam."""

_GREY = 10.0
"""CIELAB chroma below which a cloth has too little colour to be clear or muted."""

_CALM, _STRONG = 25.0, 55.0
"""CIELAB chroma up to which a plain background stays back, and from which it leads."""

OUTCOMES: tuple[Outcome, ...] = ("pass", "caution", "fail")


@dataclass(frozen=True)
class Column:
    """One rule's verdicts on every swatch of a shelf.

    Attributes:
        rule: id of a rule in :data:`~quiltgeom.matching.verdicts.RULES`.
        outcomes: 0 pass, 1 caution, 2 fail.
        scores: 0 to 1.
        say: the sentence for one swatch, by its place on the shelf.
    """

    rule: str
    outcomes: NDArray[np.int8]
    scores: Floats
    say: Callable[[int], str]

    @property
    def weight(self) -> float:
        """How much the rule counts."""
        return RULES[self.rule].weight

    def verdict(self, i: int) -> Verdict:
        """The verdict on one swatch."""
        outcome = OUTCOMES[int(self.outcomes[i])]
        return verdict(self.rule, outcome, float(self.scores[i]), self.say(i))


def overall(columns: Sequence[Column]) -> tuple[Floats, NDArray[np.int64]]:
    """Weighted mean score of every swatch, and how many rules it fails."""
    total = sum(c.weight for c in columns)
    scores = np.stack([c.weight * c.scores for c in columns]).sum(axis=0) / total
    return scores, np.stack([c.outcomes == 2 for c in columns]).sum(axis=0)


def grade(values: Floats, passes: float, fails: float) -> NDArray[np.int8]:
    """0 up to ``passes``, 2 above ``fails``, else 1."""
    return ((values > passes).astype(np.int8) + (values > fails)).astype(np.int8)


class PrintAndShelf:
    """A print and the swatches of a shelf: what several rules look at, worked out once.

    Attributes:
        focus: the print's features, shape ``()``.
        shelf: the swatches, and ``rows`` their features.
        lab, share: the print's colours in CIELAB, and their shares of its area.
        seen: each swatch's colour from across the room, CIELAB.
        light, chroma: its lightness and chroma.
        apart: CIEDE2000 from each swatch to each of the print's colours.
    """

    def __init__(self, focus: Features, shelf: Shelf) -> None:
        self.focus, self.shelf, self.rows = focus, shelf, shelf.features
        used = focus["share"] > 0
        self.lab: Floats = focus["lab"][used].astype(np.float64)
        share = focus["share"][used].astype(np.float64)
        self.share: Floats = share / share.sum()
        self.seen: Floats = shelf.features["seen"].astype(np.float64)
        self.light: Floats = self.seen[:, 0]
        self.chroma: Floats = np.hypot(self.seen[:, 1], self.seen[:, 2])
        self.apart: Floats = delta_e_2000(self.seen[:, None], self.lab[None])

    def column(self, name: str) -> Floats:
        """One number of every swatch."""
        values: Floats = self.rows[name].astype(np.float64)
        return values


def judge_shelf(
    both: PrintAndShelf,
    role: Role,
    ground: Ground = "light",
    need: tuple[float, float] | None = None,
) -> list[Column]:
    """Every rule's verdict on every swatch, for one role beside a print.

    Args:
        need: width and length of cloth wanted, inches; None leaves the rule out.
    """
    columns = [_quiet(both, role), _colour(both, role, ground), _place(both, role, ground)]
    columns += [_sets_off(both), _clear(both), _scale(both)]
    if role == "background":
        columns.append(_calm(both))
    return columns if need is None else [*columns, _enough(both.shelf, *need)]


def _quiet(b: PrintAndShelf, role: Role) -> Column:
    """Strictly falling in loudness, so that of two equal cloths the quieter always leads."""
    own, loud = float(b.focus["loudness"]), b.column("loudness")
    passes = max(SOLID, _QUIET[role][0] * own)
    fails = max(passes + 0.03, _QUIET[role][1] * own)
    top = max(1.0, fails + 0.1)
    scores = np.interp(loud, [0, passes, fails, top], [1.0, 0.75, 0.3, 0.0])

    def say(i: int) -> str:
        solid = "reads as solid, " if loud[i] <= SOLID else ""
        return f"{solid}loudness {loud[i]:.2f}; the print has {own:.2f}, wanted up to {passes:.2f}"

    return Column("quiet", grade(loud, passes, fails), scores, say)


def _eligible(lab: Floats, role: Role, ground: Ground) -> NDArray[np.intp]:
    """Which of the print's colours this role may pick up; always at least one."""
    light, chroma = lab[:, 0], np.hypot(lab[:, 1], lab[:, 2])
    if role == "background":
        fits = light >= 70 if ground == "light" else light <= 40
        nearest = int(np.argmax(light if ground == "light" else -light))
        return np.flatnonzero(fits) if fits.any() else np.array([nearest])
    top = float(chroma.max())
    # a drab shade between two clear colours is no colour that anybody would pick up
    dark = (light <= 28) | ((light <= 45) & (chroma >= 0.25 * top))
    strong = (chroma >= max(0.5 * top, 12.0)) | dark
    return np.flatnonzero(strong) if strong.any() else np.array([int(np.argmin(light))])


def _colour(b: PrintAndShelf, role: Role, ground: Ground) -> Column:
    places = _eligible(b.lab, role, ground)
    apart = b.apart[:, places]
    best = np.argmin(apart, axis=1)
    near = apart[np.arange(len(apart)), best]
    scores = np.interp(near, [0, 5, _NEAR, _RELATED, 35], [1.0, 0.9, 0.7, 0.35, 0.0])
    outcomes = grade(near, _NEAR, _RELATED)
    other = _harmonies(b.lab[places], b.seen)
    rescued = (outcomes == 2) & (other != "")
    outcomes[rescued], scores[rescued] = 1, np.maximum(scores[rescued], 0.3)
    names = [colour_name(b.focus["rgb"][k]) for k in places]
    kind = {"background": ground, "accent": "strong"}[role]

    def say(i: int) -> str:
        there = f"the print's {names[best[i]]}"
        if near[i] <= _NEAR:
            return f"picks up {there} (CIEDE2000 {near[i]:.1f})"
        if near[i] <= _RELATED:
            return f"recalls {there} (CIEDE2000 {near[i]:.1f}, wanted up to {_NEAR:.0f})"
        if rescued[i]:
            return f"no {kind} colour of the print, but {other[i]}"
        return f"no {kind} colour of the print; {names[best[i]]}, the nearest, is {near[i]:.0f} off"

    return Column("colour", outcomes, scores, say)


def _harmonies(lab: Floats, seen: Floats) -> NDArray[np.str_]:
    """Stated harmony with one of some colours, "" where none; hues on the CIELAB circle."""
    print_lch = lab_to_lch(lab)
    lch = lab_to_lch(seen)
    found = np.full(len(seen), "", dtype="U60")
    coloured = lch[:, 1] >= _GREY
    for hue in print_lch[print_lch[:, 1] >= _GREY, 2]:
        turn = np.abs((lch[:, 2] - hue + 180) % 360 - 180)
        found[coloured & (turn <= 30) & (found == "")] = "a neighbour of one on the hue circle"
        found[coloured & (turn >= 165) & (found == "")] = "the complement of one (hue circle)"
    found[lch[:, 1] < _GREY] = "a neutral, which goes with all"
    return found


def _place(b: PrintAndShelf, role: Role, ground: Ground) -> Column:
    """A background light (or dark) enough, an accent strong enough, to be what it is."""
    light, chroma = b.light, b.chroma
    if role == "background":
        depth = 100 - light if ground == "light" else light
        limits = (30.0, 40.0) if ground == "light" else (40.0, 50.0)
        scores = np.interp(depth, [0, 15, limits[0], 60], [1.0, 1.0, 0.6, 0.0])
        wanted = "light from 7 up" if ground == "light" else "dark up to 4"
        grades = grade(depth, *limits)
        return Column(ground, grades, scores, lambda i: f"value {light[i] / STEP:.1f}; {wanted}")
    depth = light if ground == "light" else 100 - light
    outcomes = grade(depth, 65.0, 78.0)
    outcomes[(outcomes > 0) & (chroma >= 40)] = 1 if ground == "light" else 0
    scores = np.interp(depth, [40, 65, 95], [1.0, 0.7, 0.0])
    scores = np.maximum(scores, np.interp(chroma, [20, 60], [0.0, 0.7]))
    return Column(
        "strong", outcomes, scores, lambda i: f"value {light[i] / STEP:.1f}, chroma {chroma[i]:.0f}"
    )


def _calm(b: PrintAndShelf) -> Column:
    """A background of a strong colour is not quiet, however plain it is."""
    chroma = b.chroma
    scores = np.interp(chroma, [0, 12, _CALM, _STRONG, 90], [1.0, 1.0, 0.7, 0.3, 0.0])
    says = f"calm up to {_CALM:.0f}"
    grades = grade(chroma, _CALM, _STRONG)
    return Column("calm-colour", grades, scores, lambda i: f"chroma {chroma[i]:.0f}; {says}")


def _sets_off(b: PrintAndShelf) -> Column:
    """How much of the print's area differs from the cloth at their common seam.

    A colour of the print counts for half at one step of value (or a colour difference of ten),
    for nothing at half of that and fully at one and a half: no verdict hangs on a hair.
    """
    value = _ramp(np.abs(b.light[:, None] - b.lab[None, :, 0]) / STEP) @ b.share
    colour = _ramp(b.apart / _APART) @ b.share
    scores = 0.5 * value + 0.5 * colour
    outcomes = np.where(np.maximum(value, colour) >= 0.5, 0, 1).astype(np.int8)
    return Column(
        "sets-off",
        outcomes,
        scores,
        lambda i: f"{value[i]:.0%} of the print parts from it in value, {colour[i]:.0%} in colour",
    )


def _ramp(steps: Floats) -> Floats:
    return np.clip(steps - 0.5, 0.0, 1.0)


def _clear(b: PrintAndShelf) -> Column:
    own, pure, chroma = float(b.focus["purity"]), b.column("purity"), b.chroma
    neutral = (chroma < _GREY) | ((b.light >= 88) & (chroma < 2 * _GREY))
    grey_print = float(b.focus["chroma"]) < _GREY / 2
    gap = np.abs(pure - own)
    scores = np.where(neutral, 0.85, np.interp(gap, [0, 0.2, 0.4, 0.7], [1.0, 0.8, 0.4, 0.0]))
    outcomes = np.where(neutral | grey_print, 0, grade(gap, 0.2, 0.4)).astype(np.int8)

    def say(i: int) -> str:
        if neutral[i]:
            return f"chroma {chroma[i]:.0f}: so little colour goes with clear and muted"
        return f"purity {pure[i]:.2f} beside {own:.2f} of the print (0 muted, 1 clear)"

    return Column("clear-or-muted", outcomes, scores, say)


def _scale(b: PrintAndShelf) -> Column:
    own, motif = float(b.focus["motif"]), b.column("motif")
    solid = (b.column("loudness") <= SOLID) | np.isnan(motif)
    unknown = np.isnan(own) or own <= 0
    ratio = np.where(solid | unknown, 8.0, np.maximum(motif, 0.01) / (1.0 if unknown else own))
    doublings = np.abs(np.log2(ratio))
    scores = np.interp(doublings, [0, 0.4, 1.0, 2.0], [0.0, 0.3, 0.8, 1.0])
    outcomes = (2 - (doublings > 0.4) - (doublings >= 1.0)).astype(np.int8)
    if unknown:
        scores, outcomes = np.where(solid, 1.0, 0.6), np.where(solid, 0, 1).astype(np.int8)

    def say(i: int) -> str:
        if solid[i]:
            return "no figures that could compete with the print's"
        size = format_inches(round(motif[i] * 8) / 8 or 0.125)
        if unknown:
            return f"figures of {size}; how large the print's are is not known"
        return f"figures of {size} beside {INCHES.near(own)} in the print"

    return Column("scale", outcomes, scores, say)


def _enough(shelf: Shelf, width: float, length: float) -> Column:
    """Both dimensions, as stated; cloth may be turned only by its cutting plan, not here."""
    have_l, have_w = shelf.length_on_hand, shelf.width_on_hand
    unknown = np.isnan(have_l)
    short = ~unknown & ((have_l < length - SAME_POINT) | (have_w < width - SAME_POINT))
    outcomes = np.where(short, 2, np.where(unknown, 1, 0)).astype(np.int8)
    scores = np.where(short, 0.0, np.where(unknown, 0.5, 1.0))

    def say(i: int) -> str:
        wanted = f"{format_inches(width)} x {format_inches(length)} wanted"
        if unknown[i]:
            return f"length on hand is not stated; {wanted}"
        wide = "" if np.isnan(have_w[i]) else f"{format_inches(have_w[i])} x "
        return f"{wide}{format_inches(have_l[i])} on hand; {wanted}"

    return Column("enough-cloth", outcomes, scores, say)
