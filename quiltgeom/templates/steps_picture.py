"""The steps of sewing as pictures: the parts of every unit side by side, numbered."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import shapely

from quiltgeom.piecing.plan import Node, SewingPlan
from quiltgeom.piecing.steps import Step, Steps
from quiltgeom.render.scene import ClothPaint, Fill, Item, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import text_items, text_width, wrap_text

__all__ = ["Paint", "plain_paint", "step_cells", "steps_scene"]

Paint = Callable[[int], Sequence[Fill]]
"""By patch number, how it looks: fills in the plan's own coordinates, cloth as it is sewn in."""

CELL = (2.3, 2.75)
"""Inches for one step: picture and text."""
_PICTURE = 1.65
_SPREAD = 0.3
"""How far parts are drawn apart, as a share of their distance from the unit's middle."""


def plain_paint(plan: SewingPlan, colour: Callable[[int], str]) -> Paint:
    """Every patch in one colour."""
    return lambda face: [Fill(path_of(plan.outlines[face]), Solid(colour(face)))]


def steps_scene(
    plan: SewingPlan, steps: Steps, paint: Paint, *, title: str, columns: int = 3,
    towards: dict[tuple[int, int], int] | None = None,
) -> Scene:  # fmt: skip
    """All steps in reading order on one sheet, as large as it needs to be.

    Args:
        paint: filling of each patch.
        towards: pressing directions of :func:`quiltgeom.piecing.pressing.press`.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.piecing.plan import plan_block
    >>> from quiltgeom.piecing.steps import sewing_steps
    >>> block = load_blocks().get("churn-dash")
    >>> plan = plan_block(block)
    >>> steps = sewing_steps(plan, [p.role for p in block.patches])
    >>> paint = plain_paint(plan, lambda face: "#cccccc")
    >>> scene = steps_scene(plan, steps, paint, title=block.name)
    >>> scene.width > 6
    True
    """
    columns = min(columns, max(1, len(steps)))
    rows = math.ceil(len(steps) / columns)
    width, height = columns * CELL[0] + 0.4, rows * CELL[1] + 0.8
    scene = Scene(width, height, title=f"{title}: order of sewing")
    scene = scene.with_items(*text_items(title, 0.3, 0.45, 18, font="Bold"), label="title")
    for k, items in enumerate(step_cells(plan, steps, paint, towards)):
        x, y = 0.2 + k % columns * CELL[0], 0.7 + k // columns * CELL[1]
        cell = Scene(*CELL).with_items(*items, label=f"step-{k + 1}")
        scene = scene.with_scene(cell, x, y)
    return scene


def step_cells(
    plan: SewingPlan, steps: Steps, paint: Paint, towards: dict[tuple[int, int], int] | None = None
) -> list[list[Item]]:
    """The items of each step, in a cell of :data:`CELL` inches."""
    return [_cell(plan, steps, step, paint, towards) for step in steps]


def _cell(
    plan: SewingPlan, steps: Steps, step: Step, paint: Paint,
    towards: dict[tuple[int, int], int] | None,
) -> list[Item]:  # fmt: skip
    shifts = _apart(plan, step.node)
    boxes = [
        _moved_box(plan, part, shift) for part, shift in zip(step.node.parts, shifts, strict=True)
    ]
    x0, y0, x1, y1 = (f(b[i] for b in boxes) for i, f in enumerate((min, min, max, max)))
    k = min(_PICTURE / max(x1 - x0, 1e-9), _PICTURE / max(y1 - y0, 1e-9))
    dx = CELL[0] / 2 - (x0 + x1) / 2 * k
    dy = 0.1 + _PICTURE / 2 - (y0 + y1) / 2 * k
    items: list[Item] = []
    labels: list[Item] = []
    for part, (sx, sy) in zip(step.node.parts, shifts, strict=True):
        for face in part.faces:
            x, y = dx + sx * k, dy + sy * k
            for fill in paint(face):
                items.append(Fill(fill.path.moved(x, y, k), _moved_paint(fill.paint, x, y, k)))
            items.append(Stroke(path_of(plan.outlines[face]).moved(x, y, k), 0.008, "#333333"))
        point = _middle(plan, part)
        text = steps.label_of[part.faces]
        labels += _tag(text, point[0] * k + dx + sx * k, point[1] * k + dy + sy * k)
    lines = wrap_text(step.text + _pressing(step, towards), CELL[0] - 0.2, 9)
    number = text_items(f"{step.number}", 0.08, 0.25, 14, font="Bold")
    return [*items, *labels, *number, *text_items(lines, 0.1, _PICTURE + 0.4, 9)]


def _pressing(step: Step, towards: dict[tuple[int, int], int] | None) -> str:
    if not towards:
        return ""
    sides = [step.parts[towards[step.number, k]] for k in range(len(step.seams))]
    names = list(dict.fromkeys(sides))
    return f" Press towards {' and '.join(names)}."


def _apart(plan: SewingPlan, node: Node) -> list[tuple[float, float]]:
    """Shift of each part away from the middle of the unit."""
    middles = [_centroid(plan, part) for part in node.parts]
    mx = sum(x for x, _ in middles) / len(middles)
    my = sum(y for _, y in middles) / len(middles)
    return [((x - mx) * _SPREAD, (y - my) * _SPREAD) for x, y in middles]


def _polygon(plan: SewingPlan, node: Node) -> shapely.Geometry:
    return shapely.union_all([plan.outlines[f].polygon for f in node.faces])


def _centroid(plan: SewingPlan, node: Node) -> tuple[float, float]:
    c = _polygon(plan, node).centroid
    return c.x, c.y


def _middle(plan: SewingPlan, node: Node) -> tuple[float, float]:
    """A point well inside the unit, for its label."""
    shape = _polygon(plan, node)
    if shape.contains(shape.centroid):
        return _centroid(plan, node)
    point = shape.representative_point()
    return point.x, point.y


def _moved_box(
    plan: SewingPlan, node: Node, shift: tuple[float, float]
) -> tuple[float, float, float, float]:
    boxes = [plan.outlines[f].bounds for f in node.faces]
    x, y = shift
    return (min(b[0] for b in boxes) + x, min(b[1] for b in boxes) + y,
            max(b[2] for b in boxes) + x, max(b[3] for b in boxes) + y)  # fmt: skip


def _moved_paint(paint: Solid | ClothPaint, x: float, y: float, k: float) -> Solid | ClothPaint:
    if isinstance(paint, Solid):
        return paint
    a, b, c, d, e, f = paint.matrix
    return replace(paint, matrix=(a * k, b * k, c * k, d * k, e * k + x, f * k + y))


def _tag(text: str, x: float, y: float) -> Sequence[Item]:
    """A label on a white disc: readable on any cloth."""
    r = max(0.09, text_width(text, 9, "Bold") / 2 + 0.03)
    disc = shapely.Point(x, y).buffer(r, quad_segs=8)
    ring = line_path(shapely.get_coordinates(disc)[:-1], closed=True)
    return [Fill(ring, Solid("#ffffff", 0.88)),
            *text_items(text, x, y + 0.045, 9, font="Bold", anchor="middle")]  # fmt: skip
