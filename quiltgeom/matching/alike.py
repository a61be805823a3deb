"""Something like this: the print is sold out; what is nearest to it in colour, scale and mood?"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np

from quiltgeom.colour import Floats, delta_e_2000
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.matching.companion_rules import Column, grade, overall
from quiltgeom.matching.companions import Companion, cie94, proposal
from quiltgeom.matching.separation import STEP
from quiltgeom.onhand.features import Features, Shelf, features_of
from quiltgeom.onhand.index import OnHand
from quiltgeom.units import format_inches

_LOOKED_AT = 400
"""So many swatches, the nearest by their colour from afar, are compared colour by colour."""


def something_like(
    print_: Reading | Mapping[str, Any],
    on_hand: OnHand | Shelf,
    *,
    most: int = 6,
    leave_out: Iterable[str] = (),
) -> tuple[Companion, ...]:
    """The nearest substitutes for a print, best first: fewest failed rules, then the score.

    Args:
        leave_out: digests of swatches not to be proposed (the print itself).

    Raises:
        QuiltValueError: this is no reading, or there is nothing on hand.
    """
    shelf = (on_hand.shelf() if isinstance(on_hand, OnHand) else on_hand).without(leave_out)
    if not len(shelf):
        raise QuiltValueError("something like it: found no readable swatch on hand; accepted: one")
    focus = features_of(print_)
    afar = cie94(focus["seen"].astype(np.float64), shelf.features["seen"].astype(np.float64))
    near = np.sort(np.argsort(afar, kind="stable")[:_LOOKED_AT])
    rows = shelf.features[near]
    loudness, purity = ((float(focus[k]), rows[k].astype(float)) for k in ("loudness", "purity"))
    value = float(focus["seen"][0]) / STEP, rows["seen"][:, 0].astype(float) / STEP
    columns = [
        _colours(focus, rows),
        _scale(focus, rows),
        _gap("alike-loudness", *loudness, 0.1, 0.25, "loudness {:.2f} beside {:.2f}"),
        _gap("alike-clear", *purity, 0.15, 0.35, "purity {:.2f} beside {:.2f} (1: clear)"),
        _gap("alike-value", *value, 1.0, 2.0, "value {:.1f} beside {:.1f}"),
    ]
    scores, fails = overall(columns)
    order = np.lexsort((near, -np.round(scores, 9), fails))[:most]
    return tuple(
        proposal(shelf, int(near[i]), "substitute", [c.verdict(int(i)) for c in columns])
        for i in order
    )


def _column(
    rule: str, values: Floats, passes: float, fails: float, say: Callable[[int], str]
) -> Column:
    """Scores: 1 at 0, 0.75 where it still passes, 0.3 where it fails, 0 at twice that."""
    scores: Floats = np.interp(values, [0, passes, fails, 2 * fails], [1.0, 0.75, 0.3, 0.0])
    return Column(rule, grade(values, passes, fails), scores, say)


def _colours(focus: Features, rows: Features) -> Column:
    """Mean CIEDE2000 from each colour to the nearest of the other palette, both ways."""
    used, others = focus["share"] > 0, rows["share"] > 0
    own, share = focus["lab"][used].astype(np.float64), focus["share"][used].astype(np.float64)
    apart = delta_e_2000(own[None, :, None], rows["lab"][:, None].astype(np.float64))
    apart = np.where(others[:, None], apart, np.inf)
    there = apart.min(axis=2) @ share / share.sum()
    back = np.where(others, apart.min(axis=1), 0.0)
    theirs = rows["share"].astype(np.float64)
    mean = (there + (back * theirs).sum(axis=1) / theirs.sum(axis=1)) / 2
    return _column(
        "alike-colours",
        mean,
        7.0,
        14.0,
        lambda i: f"colours differ by CIEDE2000 {mean[i]:.1f} on average",
    )


def _scale(focus: Features, rows: Features) -> Column:
    own, motif = float(focus["motif"]), rows["motif"].astype(np.float64)
    ratio = np.log2(np.maximum(motif, 0.01) / max(own, 0.01))
    neither = np.isnan(motif) & np.isnan(own)
    doublings = np.where(neither, 0.0, np.where(np.isnan(ratio), 1.0, np.abs(ratio)))

    def size(inches: float) -> str:
        return "none found" if np.isnan(inches) else format_inches(round(inches * 8) / 8 or 0.125)

    return _column(
        "alike-scale",
        doublings,
        0.5,
        1.2,
        lambda i: f"figures: {size(float(motif[i]))}; print: {size(own)}",
    )


def _gap(rule: str, own: float, values: Floats, passes: float, fails: float, words: str) -> Column:
    """How far a number is from the print's own."""
    gap = np.abs(values - own)
    return _column(rule, gap, passes, fails, lambda i: words.format(values[i], own))
