"""How a top goes together, in one picture: rows apart, blocks apart in them, borders round it."""

from collections.abc import Sequence

from quiltgeom.geometry.outline import Point
from quiltgeom.piecing.quilt_plan import QuiltPlan, rows_of
from quiltgeom.render.scene import Fill, Item, Scene, Stroke, path_of
from quiltgeom.sewing.explode import exploded
from quiltgeom.sewing.steps_picture import tag

_EDGE = 0.3
"""Inches left free round the picture, for the numbers of the rows."""


def assembly_scene(top: QuiltPlan, fills: Sequence[Fill], width: float, height: float) -> Scene:
    """The whole top drawn apart, as large as ``width`` x ``height`` inches allow.

    Args:
        top: order of sewing.
        fills: how every piece of the quilt looks, in inches of the quilt, by piece number.
    """
    plan, root = top.plan, top.plan.root
    boxes = [p.outline.bounds for p in top.parts]
    span = max(max(b[2] for b in boxes), max(b[3] for b in boxes))
    rows = rows_of(root)
    shifts = exploded(plan, root, 0.025 * span, rows)
    moved = [
        (b[0] + shifts[f][0], b[1] + shifts[f][1], b[2] + shifts[f][0], b[3] + shifts[f][1])
        for f, b in enumerate(boxes)
    ]
    x0, y0, x1, y1 = (pick(b[i] for b in moved) for i, pick in enumerate((min, min, max, max)))
    k = min((width - 2 * _EDGE) / (x1 - x0), (height - 2 * _EDGE) / (y1 - y0))
    scene = Scene((x1 - x0) * k + 2 * _EDGE, (y1 - y0) * k + 2 * _EDGE, title="quilt assembly")
    items: list[Item] = []
    for face, part in enumerate(top.parts):
        x, y = ((shifts[face][i] - (x0, y0)[i]) * k + _EDGE for i in (0, 1))
        items += [fills[i].moved(x, y, k) for i in part.pieces]
        items.append(Stroke(path_of(part.outline).moved(x, y, k), 0.008, "#333333"))
    scene = scene.with_items(*items, label="assembly")
    if top.rows:
        scene = scene.with_items(*_numbers(top, shifts, (x0, y0), k), label="numbers")
    return scene


def _numbers(top: QuiltPlan, shifts: dict[int, Point], origin: Point, k: float) -> list[Item]:
    """The number of every row, in front of it."""
    tall = "column" in "".join(top.row_names().values())
    items: list[Item] = []
    for count, row in enumerate(top.rows, 1):
        first = row
        while first.parts:
            first = first.parts[0]
        x0, y0, x1, y1 = top.parts[first.faces[0]].outline.bounds
        dx, dy = shifts[first.faces[0]]
        at = ((x0 + x1) / 2 + dx, y0 + dy) if tall else (x0 + dx, (y0 + y1) / 2 + dy)
        x, y = (at[0] - origin[0]) * k + _EDGE, (at[1] - origin[1]) * k + _EDGE
        items += tag(str(count), x - (0.0 if tall else 0.16), y - (0.16 if tall else 0.0), 10)
    return items
