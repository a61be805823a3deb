"""Everything about sewing a block or a quilt: facts for programs, text for people, pictures."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.errors import QuiltKeyError
from quiltgeom.geometry.allowance import SEAM, check_seam
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.placement import Placement, matrix_multiply, turn_cos_sin
from quiltgeom.model.block import Block
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import RoleSpec
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.piecing.difficulty import Difficulty, block_difficulty, quilt_difficulty
from quiltgeom.piecing.foundation import Foundation, foundation_sections
from quiltgeom.piecing.pressing import Pressing, press
from quiltgeom.piecing.quilt_plan import QuiltPart, QuiltPlan, unit_outlines
from quiltgeom.piecing.seam_check.sews_together import Sewn, sewn_quilt
from quiltgeom.piecing.sewing_plan import SewingPlan, plan_block
from quiltgeom.piecing.steps import Steps, sewing_steps
from quiltgeom.render.answer import Answer
from quiltgeom.render.mockup import Mockup, mockup, role_colour
from quiltgeom.render.scene import ClothPaint, Fill, Scene, Solid, flat_items, path_of
from quiltgeom.render.text import text_items
from quiltgeom.sewing.assembly import assembly_scene
from quiltgeom.sewing.steps_picture import (
    Paint,
    StepPicture,
    plain_paint,
    step_pictures,
    steps_scene,
)
from quiltgeom.units import INCHES, RULERS, Ruler


@dataclass(frozen=True, repr=False)
class BlockSewing(Answer):
    """The order of sewing of one block, with all that is known about it."""

    block: Block
    size: float
    plan: SewingPlan
    steps: Steps
    pressing: Pressing
    foundation: Foundation | None
    difficulty: Difficulty
    fabrics: Mapping[str, Fabric] = field(default_factory=dict)
    seam: float = SEAM
    ruler: Ruler = INCHES

    @property
    def seam_note(self) -> str:
        """How wide a seam to sew, as a sentence."""
        return seam_note(self.seam, self.ruler)

    def pictures(
        self, fabrics: Mapping[str, Fabric] | None = None, side: float = 1.9
    ) -> list[StepPicture]:
        """A picture and a text for each step, in the fabrics given or in plain role colours."""
        paint = block_paint(self.block, self.plan, fabrics or self.fabrics, self.size)
        return step_pictures(self.plan, self.steps, paint, self.pressing.towards, side)

    def scenes(self, fabrics: Mapping[str, Fabric] | None = None) -> list[Scene]:
        """One sheet: the steps as pictures, in the fabrics given or in plain role colours."""
        paint = block_paint(self.block, self.plan, fabrics or self.fabrics, self.size)
        name, towards = self.block.name, self.pressing.towards
        return [steps_scene(self.plan, self.steps, paint, title=name, towards=towards)]

    def to_json(self) -> dict[str, Any]:
        """As a program wants it."""
        d, f = self.difficulty, self.foundation
        return {
            "name": self.block.name,
            "key": self.block.key,
            "size_in": self.size,
            "seam_allowance_in": self.seam,
            "seam_class": self.plan.seam_class,
            "seams": len(self.plan.joins),
            "set_in": self.plan.set_in,
            "partial": self.plan.partial,
            "partial_proven_fewest": self.plan.proven,
            "curved": self.plan.curved,
            "patches": [
                {"label": label, "role": p.role}
                for label, p in zip(self.steps.patches, self.block.patches, strict=True)
            ],
            "steps": _step_facts(self.steps, self.pressing),
            "pressing": {"nested": self.pressing.nested, "crossings": self.pressing.crossings},
            "foundation": None
            if f is None
            else {
                "sections": f.strict,
                "with_bases": f.with_bases,
                "proven_fewest": f.proven,
                "order": [list(s.order) for s in f.sections],
            },
            "difficulty": d.facts(),
        }

    def lines(self) -> list[str]:
        """As a person wants it, line by line."""
        d, p = self.difficulty, self.plan
        why = f" ({'; '.join(d.reasons)})" if d.reasons else ""
        lines = [f"{self.block.name}, {self.ruler.text(self.size)} finished: {d.word}{why}"]
        kinds = [
            f"{n} {what}"
            for n, what in ((p.set_in, "set-in"), (p.partial, "partial"), (p.curved, "curved"))
            if n
        ]
        lines.append(f"{len(p.joins)} seams, {', '.join(kinds) or 'all straight'}")
        if not self.plan.proven:
            lines.append("The number of partial seams is the fewest found, not proven fewest.")
        return lines + _step_lines(self.steps, self.pressing) + self._foundation_text()

    def _foundation_text(self) -> list[str]:
        f = self.foundation
        if f is None:
            return [
                "Foundation: not on one; set-in, partial or curved seams are sewn by hand "
                "or machine without it."
            ]
        extra = f", or {f.with_bases} if one starts on a pieced unit" * (f.with_bases < f.strict)
        return [f"Foundation: {f.strict} section{'s' * (f.strict > 1)}{extra}."]


def seam_note(seam: float, ruler: Ruler = INCHES) -> str:
    """How wide a seam to sew, as a sentence.

    >>> seam_note(0.375)
    'Sew with a 3/8" seam, right sides together.'
    """
    return f"Sew with a {ruler.meant(seam)} seam, right sides together."


def pressing_text(number: int, steps: Steps, pressing: Pressing) -> str:
    """`` Press towards B.`` for a step; where the seams of a row differ, `` Press A > B < A.``"""
    step = steps.steps[number - 1]
    sides = [pressing.towards[step.number, k] for k in range(len(step.seams))]
    if not sides:
        return ""
    if len({step.said[side] for side in sides}) == 1:
        return f" Press towards {step.said[sides[0]]}."
    signs = [">" if side == k + 1 else "<" for k, side in enumerate(sides)]
    pairs = "".join(f" {sign} {part}" for sign, part in zip(signs, step.said[1:], strict=True))
    return f" Press {step.said[0]}{pairs}."


def _step_lines(steps: Steps, pressing: Pressing) -> list[str]:
    return [f"{s.number}. {s.text}{pressing_text(s.number, steps, pressing)}" for s in steps]


def _step_facts(steps: Steps, pressing: Pressing) -> list[dict[str, Any]]:
    return [
        {
            "number": s.number,
            "parts": list(s.parts),
            "makes": s.name,
            "count": s.count,
            "mirrored": s.mirrored,
            "seams": list(s.seams),
            "text": s.text,
            "press_towards": [pressing.towards[s.number, k] for k in range(len(s.seams))],
        }
        for s in steps
    ]


def sew_block(
    block: Block,
    size: float = 12.0,
    fabrics: Mapping[str, Fabric] | None = None,
    *,
    seam: float = SEAM,
    ruler: Ruler = INCHES,
) -> BlockSewing:
    """The order of sewing of a block at a finished width in inches.

    Args:
        fabrics: by role, for the pictures.
        seam: seam allowance, inches.
        ruler: by which it is written.

    Raises:
        QuiltKeyError: a fabric for a role that the block does not have.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> sew_block(load_blocks().get("nine-patch"), 9).lines()[0]
    'Nine Patch, 9" finished: first quilt'
    """
    for role in sorted(set(fabrics or {}) - set(block.roles)):
        raise QuiltKeyError(
            f"fabric: found role {role!r}, which {block.name} does not have; accepted: "
            f"{', '.join(block.roles)}"
        )
    plan = plan_block(block)
    steps = sewing_steps(plan, [p.role for p in block.patches])
    made = plan, steps, press(plan, steps), foundation_sections(plan)
    judged = block_difficulty(block, size, plan, ruler)
    return BlockSewing(block, size, *made, judged, fabrics or {}, check_seam(seam), ruler)


@dataclass(frozen=True, repr=False)
class QuiltSewing(Answer):
    """The order of sewing of a quilt top: each different block, then the top."""

    quilt: Quilt
    design: Design
    top: QuiltPlan
    top_pressing: Pressing
    blocks: tuple[tuple[QuiltPart, int, SewingPlan, Steps, Pressing], ...]
    trims: tuple[str, ...] = ()
    picture: Mockup | None = None

    @property
    def seam(self) -> float:
        """The seam allowance, inches."""
        return self.design.allowance

    @property
    def seam_note(self) -> str:
        """How wide a seam to sew, as a sentence."""
        return seam_note(self.seam, RULERS[self.design.units])

    @cached_property
    def difficulty(self) -> Difficulty:
        """How hard it is, and why."""
        return quilt_difficulty(self.quilt, self.top)

    @cached_property
    def fills(self) -> list[Fill]:
        """How each piece of the quilt looks, by piece number, in inches of the quilt."""
        picture = self.picture or mockup(
            self.quilt, self.design.fabrics, seed=self.design.seed, fussy=self.design.fussy
        )
        return [i for i in flat_items(picture.scene.layers[:1]) if isinstance(i, Fill)]

    def unit_pictures(self, side: float = 1.9) -> list[tuple[str, list[StepPicture]]]:
        """For each different pieced unit a heading (``"Ohio Star (make 12)"``) and its steps, in
        the chosen fabrics, upright."""
        made = []
        for part, count, plan, steps, pressing in self.blocks:
            paint = self._unit_paint(part)
            pictures = step_pictures(plan, steps, paint, pressing.towards, side)
            made.append((self.title(part, count), pictures))
        return made

    def top_pictures(self, side: float = 1.9) -> list[StepPicture]:
        """The steps that join blocks, sashing and borders to the top."""
        return step_pictures(
            self.top.plan, self.top.steps, self._top_paint(), self.top_pressing.towards, side
        )

    def assembly(self, width: float = 7.0, height: float = 8.5) -> Scene:
        """The whole top drawn apart: rows or diagonal rows, sashing and borders."""
        return assembly_scene(self.top, self.fills, width, height)

    def scenes(self) -> list[Scene]:
        """A sheet for each different unit, one that shows the whole top drawn apart, and one with
        the steps of the top."""
        out = []
        for part, count, plan, steps, pressing in self.blocks:
            paint, title = self._unit_paint(part), self.title(part, count)
            out.append(steps_scene(plan, steps, paint, title=title, towards=pressing.towards))
        whole = self.assembly()
        sheet = Scene(whole.width + 0.6, whole.height + 0.9, title=f"{self.quilt.name}: assembly")
        sheet = sheet.with_items(*text_items(self.quilt.name, 0.3, 0.45, 18, font="Bold"))
        out.append(sheet.with_scene(whole, 0.3, 0.6))
        paint, towards = self._top_paint(), self.top_pressing.towards
        title = self.quilt.name
        out.append(steps_scene(self.top.plan, self.top.steps, paint, title=title, towards=towards))
        return out

    def _unit_paint(self, part: QuiltPart) -> Paint:
        """The unit's cloth as in the quilt, the unit itself set upright."""
        pieces = [self.quilt.pieces[i] for i in part.pieces]
        outlines, fills = unit_outlines(pieces), [self.fills[i] for i in part.pieces]
        return lambda face: [_upright(outlines[face], fills[face].paint, pieces[face].placement)]

    def _top_paint(self) -> Paint:
        return lambda face: [self.fills[i] for i in self.top.parts[face].pieces]

    def to_json(self) -> dict[str, Any]:
        """As a program wants it."""
        return {
            "name": self.quilt.name,
            "seam_allowance_in": self.seam,
            "blocks": [
                {
                    "name": part.name,
                    "count": count,
                    "seam_class": plan.seam_class,
                    "patches": [
                        {"label": label, "piece": piece}
                        for label, piece in zip(steps.patches, part.pieces, strict=True)
                    ],
                    "steps": _step_facts(steps, pressing),
                }
                for part, count, plan, steps, pressing in self.blocks
            ],
            "top": {
                "seam_class": self.top.plan.seam_class,
                "set_in": self.top.plan.set_in,
                "partial": self.top.plan.partial,
                "parts": [
                    {"label": label, "block": p.name, "pieces": list(p.pieces)}
                    for label, p in zip(self.top.steps.patches, self.top.parts, strict=True)
                ],
                "steps": _step_facts(self.top.steps, self.top_pressing),
            },
            "difficulty": self.difficulty.facts(),
        }

    def title(self, part: QuiltPart, count: int) -> str:
        """Heading of a pieced unit: ``"Ohio Star (make 12)"``."""
        return f"{self.top.part_names()[self.top.parts.index(part)]} (make {count})"

    def _single(self) -> dict[str, str]:
        """By letter, the patches that the top itself is sewn from."""
        out: dict[str, str] = {}
        for part in self.top.parts:
            if not part.name:
                x0, y0, x1, y1 = part.outline.bounds
                text = RULERS[self.design.units].text
                size = f"{text(x1 - x0)} x {text(y1 - y0)}"
                role = self.quilt.pieces[part.pieces[0]].role
                out.setdefault(part.look, f"{role} patch, {size} finished")
        return dict(sorted(out.items(), key=lambda row: (len(row[0]), row[0])))

    def lines(self) -> list[str]:
        """As a person wants it, line by line."""
        lines = [f"{self.quilt.name}: {self.difficulty.sentence}", ""]
        for part, count, _, steps, pressing in self.blocks:
            lines += [self.title(part, count), *_step_lines(steps, pressing), ""]
        lines.append(f"{self.quilt.name}: the top")
        lines += [f"   {label} = {patch}" for label, patch in self._single().items()]
        return lines + _step_lines(self.top.steps, self.top_pressing)


def _upright(outline: Outline, paint: Solid | ClothPaint, place: Placement) -> Fill:
    """A patch in the frame of its block, its cloth as in the quilt: shift and turn undone."""
    if isinstance(paint, ClothPaint):
        c, s = turn_cos_sin(-place.turn)
        back = (c, s, -s, c, -c * place.dx + s * place.dy, -s * place.dx - c * place.dy)
        paint = replace(paint, matrix=matrix_multiply(back, paint.matrix))
    return Fill(path_of(outline), paint)


def block_paint(
    block: Block, plan: SewingPlan, fabrics: Mapping[str, Fabric], size: float
) -> Paint:
    """Cloth of true scale in the patches of a block ``size`` inches wide; a role without a fabric
    takes its plain colour."""
    colours = [role_colour(p.role, block.roles) for p in block.patches]
    plain = plain_paint(plan, lambda face: colours[face])
    if not fabrics:
        return plain
    k = size / block.width
    place = Placement(scale=k)
    pieces = tuple(
        Piece(i, p, place, p.role, "independent", 0.0, "block 1,1", block.key)
        for i, p in enumerate(block.patches)
    )
    roles = {r: RoleSpec(r) for r in block.roles}
    quilt = Quilt(block.name, "", size, block.height * k, size, 1, 1, pieces, roles)
    drawn = mockup(quilt, {r: f for r, f in fabrics.items() if r in roles})
    fills = [i for i in flat_items(drawn.scene.layers[:1]) if isinstance(i, Fill)]
    return lambda face: [fills[face].moved(0.0, 0.0, 1 / k)]


def sew_quilt(
    quilt: Quilt, design: Design, picture: Mockup | None = None, sewn: Sewn | None = None
) -> QuiltSewing:
    """The order of sewing of a laid-out quilt.

    Args:
        design: gives the fabrics for the pictures.
        picture: the mockup to take the cloth from, if it was drawn before (as a cutting plan cuts
            it, say).
        sewn: the order itself, if it was found before; else what is cut is what is cut when the
            maker says nothing else.

    >>> from quiltgeom.model.design import Design
    >>> from quiltgeom.render.preview import make_quilt
    >>> design = Design("gull-cove")
    >>> made = sew_quilt(make_quilt(design), design)
    >>> [(title, len(steps)) for title, steps in made.unit_pictures()], len(made.top_pictures())
    ([('Ohio Star (make 12)', 5)], 8)
    """
    seam = design.allowance
    if sewn is None:
        options = CutOptions.usual(RULERS[design.units], seam=seam)
        units = wanted_units(quilt, design.fabrics, fussy=design.fussy, options=options)
        sewn = sewn_quilt(quilt, units.letters, seam=seam)
    blocks = tuple((*b, press(b[2], b[3])) for b in sewn.blocks)
    pressing = press(sewn.top.plan, sewn.top.steps, [len(p.pieces) for p in sewn.top.parts])
    return QuiltSewing(quilt, design, sewn.top, pressing, blocks, sewn.trims, picture)
