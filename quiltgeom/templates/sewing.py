"""Everything about sewing a block or a quilt: facts for programs, text for people, pictures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from quiltgeom.geometry.placement import Placement, matrix_multiply, turn_cos_sin
from quiltgeom.model.block import Block
from quiltgeom.model.design import Design
from quiltgeom.model.quilt import Quilt
from quiltgeom.piecing.difficulty import Difficulty, block_difficulty
from quiltgeom.piecing.foundation import Foundation, foundation_sections
from quiltgeom.piecing.plan import SewingPlan, plan_block, plan_outlines
from quiltgeom.piecing.pressing import Pressing, press
from quiltgeom.piecing.quilt_plan import QuiltPart, QuiltPlan, plan_quilt, unit_outlines
from quiltgeom.piecing.steps import Steps, sewing_steps
from quiltgeom.render.mockup import mockup, role_colour
from quiltgeom.render.scene import ClothPaint, Fill, Path, Scene, flat_items
from quiltgeom.templates.steps_picture import Paint, plain_paint, steps_scene
from quiltgeom.units import format_inches

__all__ = ["BlockSewing", "QuiltSewing", "sew_block", "sew_quilt"]


@dataclass(frozen=True)
class BlockSewing:
    """The order of sewing of one block, with all that is known about it."""

    block: Block
    size: float
    plan: SewingPlan
    steps: Steps
    pressing: Pressing
    foundation: Foundation | None
    difficulty: Difficulty

    def scenes(self) -> list[Scene]:
        """One sheet: the steps as pictures, in plain role colours."""
        colours = [role_colour(p.role, self.block.roles) for p in self.block.patches]
        paint = plain_paint(self.plan, lambda f: colours[f])
        return [steps_scene(self.plan, self.steps, paint, title=self.block.name,
                            towards=dict(self.pressing.towards))]  # fmt: skip

    def facts(self) -> dict[str, Any]:
        """As a program wants it."""
        d, f = self.difficulty, self.foundation
        return {
            "name": self.block.name, "key": self.block.key, "size_in": self.size,
            "seam_class": self.plan.seam_class, "seams": len(self.plan.joins),
            "set_in": self.plan.set_in, "partial": self.plan.partial,
            "partial_proven_fewest": self.plan.proven, "curved": self.plan.curved,
            "patches": [{"label": label, "role": p.role}
                        for label, p in zip(self.steps.patches, self.block.patches, strict=True)],
            "steps": _step_facts(self.steps, self.pressing),
            "pressing": {"nested": self.pressing.nested, "crossings": self.pressing.crossings},
            "foundation": None if f is None else {
                "sections": f.strict, "with_bases": f.with_bases, "proven_fewest": f.proven,
                "order": [list(s.order) for s in f.sections]},
            "difficulty": d.facts(),
        }  # fmt: skip

    def text(self) -> list[str]:
        """As a person wants it, line by line."""
        d = self.difficulty
        why = f" ({'; '.join(d.reasons)})" if d.reasons else ""
        lines = [f"{self.block.name}, {format_inches(self.size)} finished: {d.word}{why}"]
        kinds = [f"{n} {what}" for n, what in (
            (self.plan.set_in, "set-in"), (self.plan.partial, "partial"),
            (self.plan.curved, "curved")) if n]  # fmt: skip
        lines.append(f"{len(self.plan.joins)} seams" + (f", {', '.join(kinds)}" if kinds else
                                                        ", all straight"))  # fmt: skip
        if not self.plan.proven:
            lines.append("The number of partial seams is the fewest found, not proven fewest.")
        lines += [f"{s.number}. {s.text}{pressing_text(s.number, self.steps, self.pressing)}"
                  for s in self.steps]  # fmt: skip
        return lines + self._foundation_text()

    def _foundation_text(self) -> list[str]:
        f = self.foundation
        if f is None:
            return ["Foundation: not on one; set-in, partial or curved seams are sewn by hand "
                    "or machine without it."]  # fmt: skip
        extra = f", or {f.with_bases} if one starts on a pieced unit" * (f.with_bases < f.strict)
        return [f"Foundation: {f.strict} section{'s' * (f.strict > 1)}{extra}."]


def pressing_text(number: int, steps: Steps, pressing: Pressing) -> str:
    """`` Press towards ...`` for a step."""
    step = steps.steps[number - 1]
    sides = dict.fromkeys(step.parts[pressing.towards[number, k]] for k in range(len(step.seams)))
    return f" Press towards {' and '.join(sides)}." if sides else ""


def _step_facts(steps: Steps, pressing: Pressing) -> list[dict[str, Any]]:
    return [
        {"number": s.number, "parts": list(s.parts), "count": s.count, "mirrored": s.mirrored,
         "seams": list(s.seams), "text": s.text,
         "press_towards": [pressing.towards[s.number, k] for k in range(len(s.seams))]}
        for s in steps
    ]  # fmt: skip


def sew_block(block: Block, size: float = 12.0) -> BlockSewing:
    """The order of sewing of a block at a finished width in inches.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> sew_block(load_blocks().get("nine-patch"), 9).text()[0]
    'Nine Patch, 9" finished: first quilt'
    """
    plan = plan_block(block)
    steps = sewing_steps(plan, [p.role for p in block.patches])
    return BlockSewing(block, size, plan, steps, press(plan, steps), foundation_sections(plan),
                       block_difficulty(block, size, plan))  # fmt: skip


@dataclass(frozen=True)
class QuiltSewing:
    """The order of sewing of a quilt top: each different block, then the top."""

    quilt: Quilt
    design: Design
    top: QuiltPlan
    top_pressing: Pressing
    blocks: tuple[tuple[QuiltPart, int, SewingPlan, Steps, Pressing], ...]

    def scenes(self) -> list[Scene]:
        """A sheet for each different block, then one for the top, in the chosen fabrics."""
        picture = mockup(self.quilt, self.design.fabrics, seed=self.design.seed)
        fills = [i for i in flat_items(picture.scene.layers[:1]) if isinstance(i, Fill)]
        out = [
            steps_scene(plan, steps, self._block_paint(part, fills),
                        title=f"{_name(part)} (make {count})", towards=dict(pressing.towards))
            for part, count, plan, steps, pressing in self.blocks
        ]  # fmt: skip
        paint = _paint(fills, [p.pieces for p in self.top.parts])
        out.append(steps_scene(self.top.plan, self.top.steps, paint, title=self.quilt.name,
                               towards=dict(self.top_pressing.towards)))  # fmt: skip
        return out

    def _block_paint(self, part: QuiltPart, fills: Sequence[Fill]) -> Paint:
        """The block's cloth as in the quilt, the block itself set upright."""
        pieces = [self.quilt.pieces[i] for i in part.pieces]
        return lambda face: [_upright(fills[part.pieces[face]], pieces[face].placement)]

    def facts(self) -> dict[str, Any]:
        """As a program wants it."""
        return {
            "name": self.quilt.name,
            "blocks": [
                {"name": part.name, "count": count, "seam_class": plan.seam_class,
                 "steps": _step_facts(steps, pressing)}
                for part, count, plan, steps, pressing in self.blocks
            ],
            "top": {"seam_class": self.top.plan.seam_class, "set_in": self.top.plan.set_in,
                    "partial": self.top.plan.partial,
                    "parts": [{"label": label, "block": p.name, "pieces": list(p.pieces)}
                              for label, p in zip(self.top.steps.patches, self.top.parts,
                                                  strict=True)],
                    "steps": _step_facts(self.top.steps, self.top_pressing)},
        }  # fmt: skip

    def text(self) -> list[str]:
        """As a person wants it, line by line."""
        lines = []
        for part, count, _, steps, pressing in self.blocks:
            lines.append(f"{_name(part)}, make {count}")
            lines += [f"{s.number}. {s.text}{pressing_text(s.number, steps, pressing)}"
                      for s in steps]  # fmt: skip
            lines.append("")
        lines.append(f"{self.quilt.name}: the top")
        names = {label: _name(self.top.parts[f]) for label, f in self.top.steps.shapes.items()}
        lines += [f"   {label} = {name}" for label, name in names.items()]
        for s in self.top.steps:
            press_to = pressing_text(s.number, self.top.steps, self.top_pressing)
            lines.append(f"{s.number}. {s.text}{press_to}")
        return lines


def _name(part: QuiltPart) -> str:
    if part.name:
        return part.name
    x0, y0, x1, y1 = part.outline.bounds
    return f"{part.look} patch, {format_inches(x1 - x0)} x {format_inches(y1 - y0)} finished"


def _upright(fill: Fill, placement: Placement) -> Fill:
    """A fill of the quilt in the frame of its block: shift and turn undone."""
    c, s = turn_cos_sin(-placement.turn)
    back = (c, s, -s, c, -c * placement.dx + s * placement.dy,
            -s * placement.dx - c * placement.dy)  # fmt: skip
    angle = -math.radians(placement.degrees)
    segments = []
    for op, v in fill.path.segments:
        points = v if op != "A" else (v[0], v[1], v[5], v[6])
        moved = [w for x, y in zip(points[::2], points[1::2], strict=True)
                 for w in (back[0] * x + back[2] * y + back[4],
                           back[1] * x + back[3] * y + back[5])]  # fmt: skip
        if op == "A":
            moved = [moved[0], moved[1], v[2], v[3] + angle, v[4], moved[2], moved[3]]
        segments.append((op, tuple(moved)))
    paint = fill.paint
    if isinstance(paint, ClothPaint):
        paint = replace(paint, matrix=matrix_multiply(back, paint.matrix))
    return Fill(Path(tuple(segments)), paint)


def _paint(fills: Sequence[Fill], pieces: Sequence[tuple[int, ...]]) -> Paint:
    return lambda face: [fills[i] for i in pieces[face]]


def sew_quilt(quilt: Quilt, design: Design) -> QuiltSewing:
    """The order of sewing of a laid-out quilt; the design gives the fabrics for the pictures."""
    top = plan_quilt(quilt)
    blocks = []
    for part, count in top.different_blocks():
        pieces = [quilt.pieces[i] for i in part.pieces]
        plan = plan_outlines(unit_outlines(pieces), [p.role for p in pieces])
        steps = sewing_steps(plan, [p.role for p in pieces])
        blocks.append((part, count, plan, steps, press(plan, steps)))
    return QuiltSewing(quilt, design, top, press(top.plan, top.steps), tuple(blocks))
