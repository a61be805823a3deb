"""A quilt in its order of sewing, with the steps that trim, and the seams that do not fit."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from quiltgeom.cutting.as_sewn import AsSewn
from quiltgeom.cutting.cutting_plan import CutPlan
from quiltgeom.cutting.letters import Letters
from quiltgeom.model.quilt import Quilt
from quiltgeom.piecing.quilt_plan import QuiltPart, QuiltPlan, plan_quilt, unit_outlines
from quiltgeom.piecing.seam_check.sews import Bench, Mismatch, Trim, rectangle_sides
from quiltgeom.piecing.sewing_plan import SewingPlan, plan_outlines
from quiltgeom.piecing.steps import Step, Steps, sewing_steps
from quiltgeom.tolerance import SAME_CORNER

_EXACT = AsSewn(1.0, 1.0, 0.0, "exact")
"""Of a patch of which nobody said how it is cut."""


@dataclass(frozen=True)
class Sewn:
    """A quilt from its patches to its top.

    Attributes:
        blocks: every different pieced part, how many there are, and how each goes together.
        trims: in words, what is brought to size: ``A to 2 3/16" square``.
        faults: seams whose sides differ.
    """

    top: QuiltPlan
    blocks: tuple[tuple[QuiltPart, int, SewingPlan, Steps], ...]
    trims: tuple[str, ...]
    faults: tuple[Mismatch, ...]


def sewn_quilt(quilt: Quilt, letters: Letters, *, seam: float, trimming: bool = True) -> Sewn:
    """The order of sewing of a quilt, every step with what is trimmed before and after it, and the
    seams whose two sides, as sewn from what is cut, differ by more than 1/32 in.

    Args:
        letters: of what is cut for it, with the cut sizes.
        seam: seam allowance, inches.
        trimming: whether the steps that trim are followed; else all is sewn as it is cut.

    >>> from quiltgeom.cutting.wanted import wanted_units
    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1)
    >>> sewn_quilt(quilt, wanted_units(quilt, {}).letters, seam=0.25).faults
    ()
    """
    top = plan_quilt(quilt, letters)
    names = dict(zip((p.look for p in top.parts), top.part_names(), strict=True))
    benches: dict[str, Bench] = {}
    blocks = []
    for part, count in top.different_blocks():
        pieces = [quilt.pieces[i] for i in part.pieces]
        plan = plan_outlines(unit_outlines(pieces), [p.role for p in pieces])
        mine = [letters.pieces[i] for i in part.pieces]
        steps = sewing_steps(plan, mine, letters=mine)
        found = [(letters.sewn.get(p.index, _EXACT), p.placement.degrees) for p in pieces]
        cut = [replace(patch, lie=patch.lie - turn) for patch, turn in found]  # set upright
        benches[part.look] = Bench(
            names[part.look], plan, steps, cut, mine, seam, trimming, letters.ruler
        )
        blocks.append((part, count, plan, steps))
    cut = [_in_top(p, benches.get(p.look), letters.sewn) for p in top.parts]
    looks = [p.look for p in top.parts]
    whole = Bench(
        "the top", top.plan, top.steps, cut, looks, seam, trimming, letters.ruler, benches
    )
    for look, bench in benches.items():
        if look in whole.wanted:
            _trim_whole(bench)
    done = [(*b[:3], _with_trims(b[3], benches[b[0].look], names)) for b in blocks]
    every = [*benches.values(), whole]
    words = {
        f"{t.what} {t.to}": None
        for bench in every
        for key, t in bench.trims.items()
        if key[1] not in benches
    }
    return Sewn(
        replace(top, steps=_with_trims(top.steps, whole, benches)),
        tuple(done),
        tuple(words),
        tuple(f for bench in every for f in bench.faults),
    )


def with_trims(plan: CutPlan) -> CutPlan:
    """A cutting plan that says what is trimmed when it is sewn, as the order of sewing does."""
    found = sewn_quilt(plan.quilt, plan.letters, seam=plan.options.seam)
    return replace(plan, trims=found.trims)


def _in_top(part: QuiltPart, bench: Bench | None, sewn: Mapping[int, AsSewn]) -> AsSewn:
    """A part as the top takes it: one patch as it was cut, a block as it was sewn."""
    if bench is None:
        return sewn.get(part.pieces[0], _EXACT)
    if bench.whole is None:
        return AsSewn(1.0, 1.0, 0.0, "unit" if bench.open else "exact")
    sides, grown = bench.whole
    here = rectangle_sides(part.outline.points)
    x, y = grown
    if abs(sides.width - sides.height) < SAME_CORNER:  # a square may stand any way
        x = y = max(grown, key=lambda v: abs(v - 1))
    elif abs(here.width - sides.width) > SAME_CORNER:
        x, y = y, x
    rounded = any(p.trim or p.way == "unit" for p in bench.patches)
    size = here.trimmed(bench.seam, bench.ruler) if rounded else None
    return AsSewn(x, y, math.degrees(here.angle), "itself", size)


def _trim_whole(bench: Bench) -> None:
    """Trim a block after its last step."""
    if bench.whole:
        last, size = len(bench.steps), bench.whole[0].trimmed(bench.seam, bench.ruler)
        bench.trims["unit", last] = Trim(bench.name, size, last, bench.ruler)


def _with_trims(steps: Steps, bench: Bench, blocks: Mapping[str, object]) -> Steps:
    """The steps with what is trimmed before and after each."""
    first: dict[str, list[str]] = {}
    for key, t in bench.trims.items():
        if key[0] == "patch" and key[1] not in blocks:
            first.setdefault(t.what, []).append(t.to)
    out: list[Step] = []
    for step in steps:
        before = []
        for label in dict.fromkeys(p.removesuffix("r") for p in step.parts):
            before += [f"{label} {to}" for to in first.pop(label, ())]
        after = bench.trims.get(("unit", step.number))
        out.append(replace(step, before=", ".join(before), after=after.to if after else ""))
    return replace(steps, steps=tuple(out))
