"""Cutting diagrams: one Letter-size sheet per fabric, to scale, strips and pieces numbered."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path as FilePath

from quiltgeom.cutting.listing import CAUTION, CutLine, cut_lines, line_key
from quiltgeom.cutting.plan import FabricPlan, PlacedUnit
from quiltgeom.geometry.outline import rectangle
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.scene import Fill, Item, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import fit_text, text_items, text_width, wrap_text
from quiltgeom.units import format_inches

__all__ = ["cutting_sheet", "diagonals", "piece_letter", "piece_lines"]

_PAGE = (8.5, 11.0)
_EDGE = 0.6
_TINTS = ("#f6e3c5", "#d5e5ea", "#e4dcee", "#dcead3", "#f3d9d3", "#e9e6d8", "#cfe0d8", "#efe0e8")
_LEAST = 6.0  # points: smaller type is left out of the picture; the list has it


def cutting_sheet(plan: FabricPlan, title: str, fabric: Fabric | None = None) -> Scene:
    """The diagram of one fabric with its list beside the letters, and the caution.

    Args:
        plan: the fabric's plan.
        title: name of the quilt.
        fabric: to show the real cloth under the pieces.
    """
    width, height = _PAGE
    scene = Scene(width, height, title=f"{title}: cutting {plan.name}",
                  description=f"Cutting diagram of {plan.name}: {plan.why}.")  # fmt: skip
    lines = cut_lines(plan)
    items: list[Item] = []
    items += text_items(f"{title}: {plan.role}", _EDGE, 0.85, 18, font="Semibold")
    top = 1.1
    for text in (f"{plan.name}, {plan.direction}; {plan.why}.", _need(plan)):
        rows = wrap_text(text, width - 2 * _EDGE, 10)
        items += text_items(rows, _EDGE, top, 10)
        top += 0.18 * len(rows)
    caution = wrap_text(CAUTION, width - 2 * _EDGE, 8)
    listed = 0.17 * len(lines)
    room = (width - 2 * _EDGE - 0.5, height - top - listed - 0.16 * len(caution) - 1.3)
    length = max(plan.have or 0.0, plan.length if plan.have else plan.buy, plan.length)
    scale = min(room[0] / plan.width, room[1] / length)
    at = (_EDGE + 0.4, top + 0.25)
    ground, picture = _diagram(plan, lines, scale, at, length, fabric)
    items += picture
    y = at[1] + length * scale + 0.35
    for k, line in enumerate(lines):
        text = f"{piece_letter(k)}   {line.count} of {line.size}   {line.how}"
        items += text_items(text, _EDGE, y, fit_text(text, width - 2 * _EDGE, 9.5))
        y += 0.17
    items += text_items(caution, _EDGE, height - 0.45 - 0.14 * (len(caution) - 1), 8)
    return scene.with_items(*ground, label="cloth").with_items(*items, label="cutting")


def _need(plan: FabricPlan) -> str:
    if plan.have is not None:
        return f"Cloth at hand: {format_inches(plan.have)} x {format_inches(plan.width)}."
    return f"Buy {format_inches(plan.buy)} of cloth {format_inches(plan.width)} wide."


def piece_letter(k: int) -> str:
    """Letter of the k-th line of a cutting list: A .. Z, AA ..

    >>> piece_letter(0), piece_letter(27)
    ('A', 'AB')
    """
    return chr(65 + k) if k < 26 else chr(65 + k // 26 - 1) + chr(65 + k % 26)


def _diagram(
    plan: FabricPlan, lines: list[CutLine], scale: float, at: tuple[float, float],
    length: float, fabric: Fabric | None,
) -> tuple[list[Item], list[Item]]:  # fmt: skip
    x0, y0 = at
    outline = path_of(rectangle(x0, y0, plan.width * scale, length * scale))
    ground: list[Item] = [_cloth(fabric, outline, scale, at)]
    items: list[Item] = [Stroke(outline, 0.015, "#333333")]
    order = piece_lines(plan, lines)
    real = fabric is not None and fabric.image is not None
    for placed, k in zip(plan.placed, order, strict=True):
        items += _piece(placed, k, scale, at, real)
    items += _strip_marks(plan, scale, at)
    items += text_items(f"{format_inches(plan.width)} across", x0 + plan.width * scale / 2,
                        y0 - 0.07, 8, anchor="middle")  # fmt: skip
    return ground, items


def _cloth(fabric: Fabric | None, outline: object, scale: float, at: tuple[float, float]) -> Fill:
    from quiltgeom.fabric.cloth import cloth_of
    from quiltgeom.render.lay import continuation, lie_matrix
    from quiltgeom.render.scene import ClothPaint, Path

    if not isinstance(outline, Path):
        raise TypeError("outline")
    if fabric is None or fabric.image is None:
        return Fill(outline, Solid("#ffffff"))
    a, b, c, d = lie_matrix(-fabric.up_deg)
    matrix = (a * scale, b * scale, c * scale, d * scale, *at)
    cloth = cloth_of(fabric)
    cloth = replace(cloth, kind=continuation(cloth, fabric))
    return Fill(outline, ClothPaint(cloth, matrix))


def _piece(
    placed: PlacedUnit, k: int, scale: float, at: tuple[float, float], real: bool
) -> list[Item]:
    x, y = at[0] + placed.x * scale, at[1] + placed.y * scale
    w, h = placed.width * scale, placed.height * scale
    box = path_of(rectangle(x, y, w, h))
    items: list[Item] = []
    if not real:
        items.append(Fill(box, Solid(_TINTS[k % len(_TINTS)])))
    items.append(Stroke(box, 0.008, "#333333"))
    down, up = diagonals(placed)
    for cut, ends in ((down, [(x, y), (x + w, y + h)]), (up, [(x + w, y), (x, y + h)])):
        if cut:
            items.append(Stroke(line_path(ends), 0.006, "#333333", dash=(0.04, 0.03)))
    return items + _label(piece_letter(k), x, y, w, h, real)


def piece_lines(plan: FabricPlan, lines: list[CutLine]) -> list[int]:
    """For every placed rectangle of a plan the number of its line in the cutting list."""
    order = {(-round(n.height * 8), -round(n.width * 8), n.method, n.note): k
             for k, n in enumerate(lines)}  # fmt: skip
    return [order[line_key(p.unit)] for p in plan.placed]


def diagonals(placed: PlacedUnit) -> tuple[bool, bool]:
    """Whether a rectangle is cut from its top left downward, and from its top right downward."""
    cuts = {"square cut once": 1, "square cut twice": 2}.get(placed.unit.method, 0)
    slots = [m.x < placed.unit.width / 16 for m in placed.unit.members[:1]]
    down = bool(placed.unit.members) and slots[0] == (
        placed.unit.members[0].y < placed.unit.height / 16
    )
    if cuts != 1:
        return cuts == 2, cuts == 2
    return down == placed.turned, down != placed.turned


def _label(text: str, x: float, y: float, w: float, h: float, real: bool) -> list[Item]:
    size = min(11.0, 72 * h * 0.62, fit_text(text, w * 0.7, 11.0))
    if size < _LEAST:
        return []
    items: list[Item] = []
    if real:
        half = text_width(text, size) / 2 + 0.04
        plate = rectangle(x + w / 2 - half, y + h / 2 - size / 120, 2 * half, size / 60)
        items.append(Fill(path_of(plate), Solid("#ffffff", 0.85)))
    return [
        *items,
        *text_items(text, x + w / 2, y + h / 2 + size * 0.34 / 72, size, anchor="middle"),
    ]


def _strip_marks(plan: FabricPlan, scale: float, at: tuple[float, float]) -> list[Item]:
    """Number and height of every strip, at the selvage (strips along the cloth: at the end)."""
    items: list[Item] = []
    along = plan.solution.lengthwise
    place = 0.0
    for number, height in enumerate(plan.solution.strips, 1):
        middle, size = (place + height / 16) * scale, height / 8 * scale
        place += height / 8
        points = min(7.5, 72 * size * 0.8)
        if points < 4.5:
            continue
        text = f"{number}"
        x, y = (
            (at[0] + middle, at[1] - 0.2)
            if along
            else (at[0] - 0.08, at[1] + middle + points / 210)
        )
        items += text_items(text, x, y, points, anchor="middle" if along else "end")
    return items


def sheet_name(plan: FabricPlan) -> FilePath:
    """File name of a fabric's sheet, without ending."""
    return FilePath(f"cut-{plan.role}")
