"""What fussy cutting would do for a proposal: the motif in the middle of every main patch, and what
that takes."""

from dataclasses import replace
from typing import Any

from quiltgeom.cutting.fabric_plan import FabricPlan
from quiltgeom.cutting.methods.fussy import motif_lattice
from quiltgeom.matching.verdicts import Verdict
from quiltgeom.proposal.proposal import Proposal, propose

RULE = "whole-motifs"
"""The rule that fussy cutting serves."""

_WORTH_IN = 1.0
"""Inches: smaller motifs are not centred unasked (common practice, no source)."""


def worth_centring(plain: Proposal) -> bool:
    """Whether it is worth telling what centring would do: some motif is cut, and none is small."""
    whole = next((v for v in plain.verdicts if v.rule == RULE), None)
    size = plain.readings[plain.main].motif.typical if plain.main in plain.readings else None
    return whole is not None and whole.outcome != "pass" and (size or _WORTH_IN) >= _WORTH_IN


def centred(plain: Proposal, **cutting: Any) -> Proposal | None:
    """The proposal with its main patches centred on the motif; None where the print has no repeat
    (as read) to find its motifs by, or no motif.

    Args:
        plain: the proposal cut in strips.
        cutting: as of :func:`~quiltgeom.cutting.cutting_plan.cut_plan`.
    """
    fabric = plain.fabric(plain.main)
    if fabric is None or motif_lattice(fabric) is None or fabric.motif is None:
        return None
    design = replace(plain.design, fussy=(plain.main,))
    return propose(design, quilt=plain.quilt, readings=plain.readings, given=plain.given, **cutting)


def _print(made: Proposal) -> FabricPlan:
    return next(f for f in made.cutting.fabrics if f.role == made.main)


def with_centring(plain: Proposal, other: Proposal | None) -> Verdict:
    """The verdict on whole motifs of a proposal, with what fussy cutting would change."""
    verdict = next(v for v in plain.verdicts if v.rule == RULE)
    held = len(other.seen.patches) - other.seen.absent if other and other.seen else 0
    if other is None or other.seen is None or verdict.outcome == "pass" or not held:
        return verdict
    strips, windows = _print(plain), _print(other)
    many = f"{held} of {len(other.seen.patches)} patches"
    text = strips.ruler.text
    length = f"{text(windows.length)} of cloth instead of {text(strips.length)}"
    if windows.have is not None and windows.status != "fits":
        words = (
            f"fussy cutting would show one whole in {many}, but takes {length}: more than is "
            "at hand"
        )
    else:
        words = f"centred by fussy cutting, {many} would show one whole, from {length}"
    return replace(verdict, sentence=f"{verdict.sentence}; {words}")


def not_centred(plain: Proposal) -> Verdict:
    """The same where fussy cutting was asked for, but there is nothing to centre by."""
    verdict = next(v for v in plain.verdicts if v.rule == RULE)
    words = "not centred: the print shows no repeat, or no motif, to cut by"
    return replace(verdict, sentence=f"{verdict.sentence}; {words}")
