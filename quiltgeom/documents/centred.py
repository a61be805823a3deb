"""What fussy cutting would do for a quilt: the motif in the middle of every main patch, and what
that takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from quiltgeom.cutting.fabric_plan import FabricPlan
from quiltgeom.cutting.fussy import motif_lattice
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.plan import CutPlan, cut_plan
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.matching.falls import Falls, motif_falls
from quiltgeom.matching.rules import Verdict
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.units import format_inches

__all__ = ["Centred", "centred", "not_centred", "with_centring"]


@dataclass(frozen=True)
class Centred:
    """A plan that cuts the main patches as windows on the print's motif.

    Attributes:
        plan: of the whole quilt.
        role: the role that shows the print.
        falls: what its patches then show.
    """

    plan: CutPlan
    role: str
    falls: Falls

    @property
    def fits(self) -> bool:
        """Whether the print at hand, if any, is enough for it."""
        found = _of(self.plan, self.role)
        return found.have is None or found.status == "fits"


def _of(plan: CutPlan, role: str) -> FabricPlan:
    return next(f for f in plan.fabrics if f.role == role)


def centred(
    quilt: Quilt, fabrics: Mapping[str, Fabric], role: str, reading: Reading, *,
    have: Mapping[str, tuple[float, float]] | None = None, options: CutOptions | None = None,
) -> Centred | None:  # fmt: skip
    """The quilt with its main patches centred on the motif; None where the print has no repeat (as
    read) to find its motifs by, or no motif.

    Args:
        quilt: as laid out.
        fabrics: by role, the print among them.
        role: the role that shows it.
        reading: of the print.
        have, options: cloth at hand and the maker's choices, as of
            :func:`~quiltgeom.cutting.plan.cut_plan`.
    """
    if motif_lattice(fabrics[role]) is None or fabrics[role].motif is None:
        return None
    plan = cut_plan(quilt, fabrics, have=have, fussy=(role,), options=options)
    return Centred(plan, role, motif_falls(plan, role, reading))


def with_centring(plain: Verdict, plan: CutPlan, other: Centred | None) -> Verdict:
    """The verdict on where the motif falls, with what fussy cutting would change.

    Args:
        plain: of the plan in strips.
        plan: that plan.
        other: the plan on the motif, if there can be one.
    """
    if other is None or plain.outcome == "pass" or other.falls.whole <= 0:
        return plain
    strips, windows = _of(plan, other.role), _of(other.plan, other.role)
    many = f"{other.falls.whole:.0f} of {other.falls.patches}"
    first = plain.sentence.split(";")[0]
    length = f"{format_inches(windows.length)} of cloth instead of {format_inches(strips.length)}"
    if not other.fits:
        words = f"fussy cutting would show {many}, but takes {length}: more than is at hand"
    else:
        words = f"centred by fussy cutting, {many} would, from {length}"
    return Verdict(plain.rule, plain.outcome, plain.score, plain.weight, f"{first}; {words}")


def not_centred(plain: Verdict) -> Verdict:
    """The same where fussy cutting was asked for, but there is nothing to centre by."""
    words = "not centred: the print shows no repeat, or no motif, to cut by"
    first = plain.sentence.split(";")[0]
    return Verdict(plain.rule, plain.outcome, plain.score, plain.weight, f"{first}; {words}")
