"""The picture of a cutting plan: cloths to scale, strips numbered, pieces lettered, leftovers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from quiltgeom.cutting.listing import cut_lines, piece_labels
from quiltgeom.cutting.order import Leftover, cut_order, leftovers, parted
from quiltgeom.cutting.plan import FabricPlan, PlacedUnit
from quiltgeom.geometry.outline import rectangle
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.scene import (
    ClothPaint,
    Fill,
    Item,
    Path,
    Solid,
    Stroke,
    line_path,
    path_of,
)
from quiltgeom.render.text import fit_text, text_items, text_width
from quiltgeom.units import about_inches, format_inches

__all__ = ["ClothBox", "arrange", "draw_cloths"]

TINTS = ("#f6e3c5", "#d5e5ea", "#e4dcee", "#dcead3", "#f3d9d3", "#e9e6d8", "#cfe0d8", "#efe0e8")
_INK = "#333333"
_LEAST = 6.0  # points: smaller letters are not drawn; neighbours then share one
MARKS = 0.62
"""Inches left of a cloth for the numbers of its strips, and between cloths."""
ABOVE = 0.32


@dataclass(frozen=True, slots=True)
class ClothBox:
    """Where a cloth is drawn: top left in inches on the page, and its size in inches of cloth."""

    cloth: int
    x: float
    y: float
    length: float
    width: float


def arrange(
    sizes: Sequence[tuple[float, float]], room: tuple[float, float]
) -> tuple[float, list[ClothBox]]:
    """The largest scale at which all cloths fit side by side in rows, and where they lie.

    Args:
        sizes: ``(length, width)`` of every cloth, inches.
        room: width and height on the page, inches.

    >>> scale, boxes = arrange([(36, 40)], (6, 8))
    >>> round(scale, 4), boxes[0].x
    (0.1345, 0.62)
    """
    low, high = 0.0, min(room[0] / max(w for _, w in sizes), room[1] / max(n for n, _ in sizes))
    for _ in range(40):
        middle = (low + high) / 2
        if _rows(sizes, room, middle) is None:
            high = middle
        else:
            low = middle
    return low, _rows(sizes, room, low) or []


def _rows(
    sizes: Sequence[tuple[float, float]], room: tuple[float, float], scale: float
) -> list[ClothBox] | None:
    out: list[ClothBox] = []
    x, y, tall = 0.0, 0.0, 0.0
    for k, (length, width) in enumerate(sizes):
        w, h = MARKS + width * scale, ABOVE + length * scale
        if x and x + w > room[0]:
            x, y, tall = 0.0, y + tall, 0.0
        if x + w > room[0] or y + h > room[1]:
            return None
        out.append(ClothBox(k, x + MARKS, y + ABOVE, length, width))
        x, tall = x + w, max(tall, h)
    return out


def draw_cloths(
    plan: FabricPlan, boxes: Sequence[ClothBox], scale: float, fabric: Fabric | None
) -> tuple[list[Item], list[Item]]:
    """Cloth and drawing of every piece of cloth: two lists, one to lie on the other."""
    ground: list[Item] = []
    items: list[Item] = []
    letters = {p.number: n for p, n in zip(plan.placed, piece_labels(plan), strict=True)}
    tints = {n.label: TINTS[k % len(TINTS)] for k, n in enumerate(cut_lines(plan))}
    real = fabric is not None and fabric.image is not None
    rest = leftovers(plan)
    for box in boxes:
        mine = [p for p in plan.placed if p.cloth == box.cloth]
        ground += _cloth(fabric, box, mine, scale)
        for p in mine:
            tint = None if real else tints[letters[p.number]]
            items += _piece(p, box, scale, tint)
        items += [i for r in rest if r.cloth == box.cloth for i in _leftover(r, box, scale)]
        items += _letters(mine, letters, box, scale, None if real else tints)
        items.append(Stroke(_box(box, 0, 0, box.width, box.length, scale), 0.015, _INK))
        items += _sizes(box, scale, plan)
    items += _numbers(plan, {b.cloth: b for b in boxes}, scale)
    return ground, items


def _box(box: ClothBox, x: float, y: float, w: float, h: float, scale: float) -> Path:
    return path_of(rectangle(box.x + x * scale, box.y + y * scale, w * scale, h * scale))


def _cloth(
    fabric: Fabric | None, box: ClothBox, placed: Sequence[PlacedUnit], scale: float
) -> list[Item]:
    """The real cloth: bright where pieces are cut from it, pale where it is left over."""
    from quiltgeom.fabric.cloth import cloth_of
    from quiltgeom.render.lay import continuation, lie_matrix

    whole = _box(box, 0, 0, box.width, box.length, scale)
    if fabric is None or fabric.image is None:
        return [Fill(whole, Solid("#f5f4f0"))]
    a, b, c, d = lie_matrix(-fabric.up_deg)
    cloth = cloth_of(fabric)
    paint = ClothPaint(replace(cloth, kind=continuation(cloth, fabric)),
                       (a * scale, b * scale, c * scale, d * scale, box.x, box.y))  # fmt: skip
    cut = path_of(*(rectangle(box.x + p.x * scale, box.y + p.y * scale, p.width * scale,
                              p.height * scale) for p in placed))  # fmt: skip
    return [Fill(whole, paint), Fill(whole, Solid("#ffffff", 0.68)), Fill(cut, paint)]


def _piece(p: PlacedUnit, box: ClothBox, scale: float, tint: str | None) -> list[Item]:
    path = _box(box, p.x, p.y, p.width, p.height, scale)
    # a light rim, so that edges show on dark cloth too
    items: list[Item] = [Fill(path, Solid(tint)) if tint else Stroke(path, 0.022, "#ffffff", 0.6)]
    items.append(Stroke(path, 0.009, _INK))
    for x0, y0, x1, y1 in p.unit.lines:
        ends = []
        for x, y in ((x0, y0), (x1, y1)):
            u, v = (p.unit.height / 8 - y, x) if p.turned else (x, y)
            ends.append((box.x + (p.x + min(u, p.width)) * scale,
                         box.y + (p.y + min(v, p.height)) * scale))  # fmt: skip
        if tint is None:
            items.append(Stroke(line_path(ends), 0.014, "#ffffff", 0.8))
        items.append(Stroke(line_path(ends), 0.006, _INK, dash=(0.04, 0.03)))
    return items


def _leftover(r: Leftover, box: ClothBox, scale: float) -> list[Item]:
    """The size of a leftover, where it can be read."""
    w, h = r.width * scale, r.height * scale
    words = f"left {about_inches(r.width)} x {about_inches(r.height)}"
    points = min(8.0, fit_text(words, w - 0.08, 8.0), 72 * h * 0.7)
    if points < _LEAST:
        return []
    x, y = box.x + (r.x + r.width / 2) * scale, box.y + (r.y + r.height / 2) * scale
    return [*text_items(words, x, y + points * 0.34 / 72, points, anchor="middle", font="It",
                        colour="#444444")]  # fmt: skip


def _letters(
    placed: Sequence[PlacedUnit], letters: dict[int, str], box: ClothBox, scale: float,
    tints: dict[str, str] | None,
) -> list[Item]:  # fmt: skip
    """A letter on every piece; pieces too small for one share it with their neighbours."""
    items: list[Item] = []
    small: dict[tuple[str, float, float], list[PlacedUnit]] = {}
    for p in placed:
        letter = letters[p.number]
        size = _fitting(letter, p.width * scale, p.height * scale)
        if size >= _LEAST:
            ground = tints[letter] if tints and p.unit.lines else None if tints else "#ffffff"
            items += _plate(letter, size, _middle([p], box, scale), ground)
        else:
            small.setdefault((letter, p.width, p.height), []).append(p)
    for (letter, _, _), group in small.items():
        for part in _touching(group):
            x0, y0 = min(p.x for p in part), min(p.y for p in part)
            w = max(p.x + p.width for p in part) - x0
            h = max(p.y + p.height for p in part) - y0
            text = f"{len(part)} {letter}" if len(part) > 1 else letter
            size = max(_fitting(text, w * scale, h * scale), _LEAST - 0.5)
            items += _plate(text, size, _middle(part, box, scale), "#ffffff")
    return items


def _touching(group: Sequence[PlacedUnit]) -> list[list[PlacedUnit]]:
    """Equal pieces in whole blocks: parted both ways while straight gaps part them."""
    parts = [list(group)]
    for along in (True, False, True):
        parts = [q for part in parts for q in _gaps(part, along=along)]
    return parts


def _gaps(part: Sequence[PlacedUnit], *, along: bool) -> list[list[PlacedUnit]]:
    out: list[list[PlacedUnit]] = []
    reach = None
    for run in parted(part, along=along):
        low = min(p.y if along else p.x for p in run)
        if reach is None or low > reach + 1e-6:
            out.append([])
        out[-1] += run
        reach = max((p.y + p.height) if along else (p.x + p.width) for p in run)
    return out


def _middle(
    part: Sequence[PlacedUnit], box: ClothBox, scale: float
) -> tuple[float, float]:
    x0, y0 = min(p.x for p in part), min(p.y for p in part)
    x1, y1 = max(p.x + p.width for p in part), max(p.y + p.height for p in part)
    return box.x + (x0 + x1) / 2 * scale, box.y + (y0 + y1) / 2 * scale


def _fitting(text: str, w: float, h: float) -> float:
    return min(11.0, 72 * h * 0.62, fit_text(text, w * 0.7, 11.0))


def _plate(text: str, size: float, at: tuple[float, float], ground: str | None) -> list[Item]:
    items: list[Item] = []
    if ground:
        half = text_width(text, size) / 2 + 0.035
        plate = rectangle(at[0] - half, at[1] - size / 125, 2 * half, size / 62.5)
        items.append(Fill(path_of(plate), Solid(ground, 0.86)))
    return [*items, *text_items(text, at[0], at[1] + size * 0.34 / 72, size, anchor="middle")]


def _sizes(box: ClothBox, scale: float, plan: FabricPlan) -> list[Item]:
    words = f"{format_inches(box.width)} across"
    if plan.several and not plan.spread:
        words = f"{format_inches(plan.length)} x {format_inches(box.width)} would do"
    elif plan.spread:
        words = f"cloth {box.cloth + 1}: {format_inches(box.length)} x {format_inches(box.width)}"
    points = min(8.0, fit_text(words, box.width * scale + MARKS * 0.6, 8.0))
    above = 0.2 if plan.solution.lengthwise else 0.08  # numbers of strips stand in between
    return [*text_items(words, box.x + box.width * scale / 2, box.y - above, points,
                        anchor="middle")]  # fmt: skip


def _numbers(plan: FabricPlan, boxes: dict[int, ClothBox], scale: float) -> list[Item]:
    """Number and width of every strip at its beginning; narrow strips show the number alone, and
    the narrowest of equal ones the first and last number."""
    items: list[Item] = []
    lengthwise = plan.solution.lengthwise
    last = -1.0
    for strip in cut_order(plan):
        box = boxes[strip.cloth]
        middle = (strip.start + strip.size / 2) * scale
        points = min(7.5, max(6.0, 72 * strip.size * scale * 0.8))
        text = f"{strip.number}"
        if not lengthwise:
            at = (box.x - 0.06, box.y + middle + points * 0.34 / 72)
            if strip.start == 0:
                last = -1.0
            if last >= 0 and at[1] - last < points * 0.95 / 72:
                continue  # its neighbour's number is in the way; the order of cuts lists it
            last = at[1]
            if strip.size * scale > 0.1:
                text = f"{strip.number}:  {about_inches(strip.size)}"
            points = min(points, fit_text(text, MARKS - 0.1, points))
            items += text_items(text, *at, points, anchor="end")
        else:
            items += text_items(text, box.x + middle, box.y - 0.06, points, anchor="middle")
    return items
