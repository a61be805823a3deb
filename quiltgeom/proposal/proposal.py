"""A proposal: a design in its cloths, with its plan, places, order of sewing and verdicts.

Everything that is shown, printed or judged is a view of one proposal, so that it cannot tell two
truths. What a view needs is worked out when it is first asked for.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltgeom.checks import brief
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.letters import Letters
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.facts import print_facts
from quiltgeom.matching.rules import cloth_verdict
from quiltgeom.matching.verdicts import RULES, Judged, Verdict
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.piecing.difficulty import quilt_difficulty
from quiltgeom.piecing.seam_check.sews_together import Sewn, sewn_quilt
from quiltgeom.proposal.judge import judge_companions, judge_placed, judge_seen
from quiltgeom.proposal.seen import Seen, look_at, seams_within
from quiltgeom.render.greyscale_check import Separation, check_separation, role_labels
from quiltgeom.render.mockup import Mockup, mockup
from quiltgeom.render.preview import make_quilt
from quiltgeom.render.scene import Scene
from quiltgeom.sewing.sewing_sheet import QuiltSewing, sew_quilt
from quiltgeom.tolerance import RULER_SLACK
from quiltgeom.units import RULERS


@dataclass(frozen=True, repr=False)
class Proposal(Judged):
    """One quilt as it is proposed.

    Attributes:
        design: what was decided.
        pattern, quilt: its pattern, and that laid out.
        plan: how it is cut; None: not planned, and the places of the cloth are provisional.
        readings: by role, what the cloths say of themselves, as far as they were read.
        given: verdicts on the pattern that were reached before anything was placed.
        overriding: verdicts that take the place of the proposal's own, such as one that knows more.
        notes: remarks for the maker, such as why this pattern was chosen.
    """

    design: Design
    pattern: Pattern
    quilt: Quilt
    plan: CutPlan | None = None
    readings: Mapping[str, Reading] = field(default_factory=dict)
    given: tuple[Verdict, ...] = ()
    overriding: tuple[Verdict, ...] = ()
    notes: tuple[str, ...] = ()

    def __repr__(self) -> str:
        planned = "planned" if self.final else "not planned"
        return brief(f"Proposal {self.design!r}, {self.quilt!r}, {planned}")

    @property
    def final(self) -> bool:
        """Whether the places of the cloth are those at which it will be cut."""
        return self.plan is not None

    @cached_property
    def cutting(self) -> CutPlan:
        """The plan, with what is trimmed when it is sewn.

        Raises:
            QuiltValueError: there is none.
        """
        if self.plan is None:
            raise QuiltValueError("proposal: found no cutting plan; accepted: a planned proposal")
        return replace(self.plan, trims=self.sewn.trims)

    @property
    def main(self) -> str:
        """The role that shows the print."""
        return self.quilt.main_role

    @cached_property
    def fabrics(self) -> dict[str, Fabric]:
        """The cloths by role, as far as this quilt has the role."""
        return {r: f for r, f in self.design.fabrics.items() if r in self.quilt.roles}

    def fabric(self, role: str) -> Fabric | None:
        """The cloth in a role, if one was chosen."""
        return self.fabrics.get(role)

    @cached_property
    def _cut(self) -> tuple[Quilt, Mapping[int, tuple[float, float]] | None]:
        return self.plan.as_cut() if self.plan else (self.quilt, None)

    @property
    def shown(self) -> Quilt:
        """The quilt as it is drawn: with a plan, strips that are joined are their lengths."""
        return self._cut[0]

    @cached_property
    def picture(self) -> Mockup:
        """Every patch with its own place of the cloth: as cut where there is a plan, else
        provisional."""
        quilt, places = self._cut
        return self._draw(quilt, places)

    def _draw(self, quilt: Quilt, places: Mapping[int, tuple[float, float]] | None) -> Mockup:
        fussy = self.design.fussy if places is None else ()
        offsets = self.design.offsets if places is None else None
        return mockup(
            quilt, self.fabrics, seed=self.design.seed, fussy=fussy, places=places, offsets=offsets
        )

    @cached_property
    def whole(self) -> Mockup:
        """The same with joined strips in one piece, as they are sewn on."""
        cut, places = self._cut
        count = len(self.quilt)
        if len(cut) == count or places is None:
            return self.picture
        pieces = tuple(
            replace(p, lie_deg=c.lie_deg)
            for p, c in zip(self.quilt, cut.pieces[:count], strict=True)
        )
        first = {k: v for k, v in places.items() if k < count}
        return self._draw(replace(self.quilt, pieces=pieces), first)

    @cached_property
    def letters(self) -> Letters:
        """Of all that is cut: the same in list, diagrams, sewing and templates."""
        if self.plan:
            return self.plan.letters
        return wanted_units(self.quilt, self.fabrics, options=cut_options(self.design)).letters

    @cached_property
    def sewn(self) -> Sewn:
        """The order of sewing without pictures, with what is trimmed."""
        options = self.plan.options if self.plan else cut_options(self.design)
        return sewn_quilt(self.quilt, self.letters, seam=options.seam)

    @cached_property
    def sewing(self) -> QuiltSewing:
        """The order of sewing."""
        return sew_quilt(self.quilt, self.design, self.whole, sewn=self.sewn)

    @cached_property
    def drawings(self) -> list[Scene]:
        """Pictures of the steps, each different block's and the top's."""
        return self.sewing.scenes()

    @cached_property
    def difficulty(self) -> tuple[str, tuple[str, ...]]:
        """How hard it is to sew, a word and its reasons."""
        found = quilt_difficulty(self.quilt)
        return found.word, tuple(found.reasons)

    @cached_property
    def greys(self) -> Separation:
        """Whether the piecing shows in light and dark alone, in this picture."""
        quilt, places = self._cut
        fussy, labels = self.design.fussy if places is None else (), self.labels
        laid: dict[str, Any] = {"seed": self.design.seed, "fussy": fussy, "places": places}
        return check_separation(quilt, self.fabrics, labels=labels, **laid)

    @cached_property
    def labels(self) -> NDArray[np.uint8]:
        """Which role each pixel of the greyscale check shows."""
        return role_labels(self.quilt)

    def patches_of(self, role: str) -> list[Piece]:
        """The patches of a role that are to show its print; those of a border only if there are no
        others."""
        pieces = [p for p in self.shown if p.role == role]
        return [p for p in pieces if not p.in_border] or pieces

    @cached_property
    def seen(self) -> Seen | None:
        """What the main patches show; None where the print was not read or is a plain colour."""
        reading, fabric = self.readings.get(self.main), self.fabric(self.main)
        if reading is None or fabric is None or fabric.image is None:
            return None
        pieces = self.patches_of(self.main)
        joins = seams_within(pieces)
        return look_at(pieces, self.picture.places, reading, joins)

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """All that is to be said, what is seen included; the last word of each rule."""
        final = {v.rule: v for v in (*self.given, *self._seen_verdicts(), *self.overriding)}
        for rule, word in self.design.overruled.items():
            if v := final.get(rule):
                sentence = f"{v.sentence}; your word: {word}"
                final[rule] = replace(v, outcome="pass", weight=0.0, sentence=sentence)
        return tuple(final.values())

    @property
    def remarks(self) -> tuple[str, ...]:
        """For the kit's cover: the notes, and where a person's word stands against a verdict."""
        struck = [v for v in self.verdicts if v.rule in self.design.overruled]
        return (*self.notes, *(f"{v.title}: {v.sentence}" for v in struck))

    def _seen_verdicts(self) -> Iterable[Verdict]:
        if self.plan:
            yield cloth_verdict(self.plan, self.main)
        fabric, reading = self.fabric(self.main), self.readings.get(self.main)
        if fabric is None:
            return
        motif = print_facts(reading).motif if reading else 0.0
        yield from judge_placed(self.patches_of(self.main), fabric, motif)
        if self.seen and reading:
            yield from judge_seen(self.seen, reading)
        yield judge_companions(self.quilt, self.fabrics, self.readings, self.main)
        yield self.greys.verdict

    def patches(self) -> list[dict[str, Any]]:
        """Patch by patch, as plain data: where its cloth lies, and what the photo does not show."""
        seen = {p.piece: p for p in self.seen.patches} if self.seen else {}
        rows = []
        for piece in self.shown:
            place = self.picture.places.get(piece.index)
            row: dict[str, Any] = {"piece": piece.index, "role": piece.role}
            if place is not None:
                row |= {
                    "matrix": [round(v, 6) for v in place.matrix],
                    "cloth": place.cloth.kind,
                    "guessed": round(place.guessed(piece.polygon), 4),
                    "final": self.final,
                }
            if piece.index in seen:
                row |= {"whole": seen[piece.index].whole, "sliced": seen[piece.index].sliced}
            rows.append(row)
        return rows


def propose(
    design: Design,
    *,
    quilt: Quilt | None = None,
    plan: CutPlan | None = None,
    planned: bool = True,
    readings: Mapping[str, Reading] | None = None,
    given: Iterable[Verdict] = (),
    notes: Iterable[str] = (),
    before: Proposal | None = None,
    **cutting: Any,
) -> Proposal:
    """A proposal from a design.

    Args:
        design: what was decided.
        quilt: the design laid out, if that was done already.
        plan: its cutting plan, if there is one already.
        planned: plan the cutting if there is no plan.
        readings: by role, readings of the cloths.
        given, notes: see :class:`Proposal`.
        before: a proposal in other cloths, of which what does not depend on the cloths is kept.
        cutting: as of :func:`~quiltgeom.cutting.cutting_plan.cut_plan`.

    Raises:
        QuiltError: a design that cannot be laid out or cut.

    >>> made = propose(Design("harbour-windows", rows=1, columns=1))
    >>> made.final, made.quilt.columns, len(made.picture.scene.layers)
    (True, 1, 1)
    """
    for rule in sorted(set(design.overruled) - set(RULES)):
        raise QuiltKeyError(f"overruled: found {rule!r}; accepted: {', '.join(RULES)}")
    pattern = load_patterns(blocks=design.block_folders).get(design.pattern)
    laid = make_quilt(design) if quilt is None else quilt
    same = before is not None and before.quilt is laid
    if plan is None and planned:
        fabrics = {r: f for r, f in design.fabrics.items() if r in laid.roles}
        cutting["options"] = cut_options(design, cutting.get("options"))
        plan = cut_plan(laid, fabrics, fussy=design.fussy, **cutting)
    if plan is not None:
        laid = plan.quilt
        if plan.options.seam != cut_options(design).seam:
            design = replace(design, seam=plan.options.seam)
        if plan.options.ruler.units != design.units:
            design = replace(design, units=plan.options.ruler.units)
    made = Proposal(
        design, pattern, laid, plan, dict(readings or {}), tuple(given), notes=tuple(notes)
    )
    if same and before is not None:
        made.__dict__.update(labels=before.labels, difficulty=before.difficulty)
    return made


def cut_options(design: Design, options: CutOptions | None = None) -> CutOptions:
    """The maker's choices with the design's seam allowance, where they have none of their own."""
    chosen = options or CutOptions.usual(RULERS[design.units])
    if design.seam is None or abs(chosen.seam - chosen.ruler.seam) > RULER_SLACK:
        return chosen
    return replace(chosen, seam=design.seam)
