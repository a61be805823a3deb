"""The picture of a cutting plan: cloths to scale with selvages, fold and grain, strips numbered,
pieces with letter and size, leftovers."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from quiltgeom.cutting.fabric_plan import FabricPlan, PlacedUnit
from quiltgeom.cutting.listing import cut_lines
from quiltgeom.cutting.order import CutStrip, Leftover, cut_order, leftovers
from quiltgeom.documents.cutting_pages.piece_marks import best_mark, piece_marks
from quiltgeom.geometry.outline import rectangle
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.scene import ClothPaint, Fill, Item, Path, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import fit_text, text_items
from quiltgeom.tolerance import SAME_POINT
from quiltgeom.units import Ruler

TINTS = ("#f6e3c5", "#d5e5ea", "#e4dcee", "#dcead3", "#f3d9d3", "#e9e6d8", "#cfe0d8", "#efe0e8")
_INK, _SOFT, _BAND = "#333333", "#777777", "#e2ddd0"
_LEAST = 5.5  # points: smaller words are not drawn
MARKS, SELVAGE, GRAIN = 0.62, 0.12, 0.2
"""Inches beside a cloth: left for the numbers of its strips, both sides for the selvages (which its
usable width leaves out), right for the grain."""
ABOVE, BELOW = 0.54, 0.14
"""Inches above a cloth, for its size, the straight edge and numbers of strips along it; and below,
for the fold."""


@dataclass(frozen=True, slots=True)
class ClothBox:
    """Where a cloth is drawn: top left in inches on the page, and its size in inches of cloth."""

    cloth: int
    x: float
    y: float
    length: float
    width: float


def arrange(
    sizes: Sequence[tuple[float, float]], room: tuple[float, float], straightened: float = 0.0
) -> tuple[float, list[ClothBox]]:
    """The largest scale at which all cloths fit side by side in rows, and where they lie.

    Args:
        sizes: ``(length, width)`` of every cloth, inches.
        room: width and height on the page, inches.
        straightened: the end of every cloth that is squared up, inches.

    >>> scale, boxes = arrange([(36, 40)], (6, 8))
    >>> round(scale, 4), boxes[0].x
    (0.1235, 0.74)
    """
    most = max(n for n, _ in sizes) + straightened
    low, high = 0.0, min(room[0] / max(w for _, w in sizes), room[1] / most)
    for _ in range(40):
        middle = (low + high) / 2
        if _rows(sizes, room, middle, straightened) is None:
            high = middle
        else:
            low = middle
    return low, _rows(sizes, room, low, straightened) or []


def _rows(
    sizes: Sequence[tuple[float, float]],
    room: tuple[float, float],
    scale: float,
    straightened: float,
) -> list[ClothBox] | None:
    out: list[ClothBox] = []
    x, y, tall = 0.0, 0.0, 0.0
    above = ABOVE + straightened * scale
    for k, (length, width) in enumerate(sizes):
        w = MARKS + 2 * SELVAGE + width * scale + GRAIN
        h = above + length * scale + BELOW
        if x and x + w > room[0]:
            x, y, tall = 0.0, y + tall, 0.0
        if x + w > room[0] + SAME_POINT or y + h > room[1] + SAME_POINT:
            return None
        out.append(ClothBox(k, x + MARKS + SELVAGE, y + above, length, width))
        x, tall = x + w, max(tall, h)
    return out


def draw_cloths(
    plan: FabricPlan, boxes: Sequence[ClothBox], scale: float, fabric: Fabric | None
) -> tuple[list[Item], list[Item]]:
    """Cloth and drawing of every piece of cloth: two lists, one to lie on the other."""
    ground: list[Item] = []
    items: list[Item] = []
    labels = plan.labels
    tints = {n.label: TINTS[k % len(TINTS)] for k, n in enumerate(cut_lines(plan))}
    real = fabric is not None and fabric.image is not None
    rest, strips = leftovers(plan), cut_order(plan)
    for box in boxes:
        mine = [p for p in plan.placed if p.cloth == box.cloth]
        ground += _cloth(fabric, box, mine, scale)
        for p in mine:
            items += _piece(p, box, scale, None if real else tints[labels[p.number]])
        items += _frame(plan, box, scale, [s for s in strips if s.cloth == box.cloth])
        items += [
            i for r in rest if r.cloth == box.cloth for i in _leftover(r, box, scale, plan.ruler)
        ]
        items += _marks(strips, labels, box, scale, None if real else tints)
    return ground, [*items, *_numbers(plan, strips, {b.cloth: b for b in boxes}, scale)]


def _frame(plan: FabricPlan, box: ClothBox, scale: float, strips: Sequence[CutStrip]) -> list[Item]:
    """The cloth's edge with its selvages, the end to be squared up, fold and grain, and its size.

    Narrow cloth, such as a fat quarter, has one selvage or none, and is not folded.
    """
    x, y, w, h = box.x, box.y, box.width * scale, box.length * scale
    items: list[Item] = [Stroke(_box(box, 0, 0, box.width, box.length, scale), 0.015, _INK)]
    wide = box.width > plan.ruler.reach
    for left in (x - SELVAGE, x + w) if wide else ():
        band = (left, y, SELVAGE, h)
        edge = path_of(rectangle(*band))
        items += [Fill(edge, Solid(_BAND)), Stroke(edge, 0.006, _SOFT)]
        points, mark = best_mark([(("selvage", 1.0),)], band, most=6.0)
        items += mark.items(None, "#444444") if mark.upright and points >= _LEAST else []
    end = plan.straightening * scale
    if end:
        edge = path_of(rectangle(x, y - end, w, end))
        items += [Fill(edge, Solid(_BAND)), Stroke(edge, 0.006, _SOFT, dash=(0.03, 0.02))]
    words = "straight edge first"
    above = y - end - (0.21 if plan.solution.lengthwise else 0.06)
    items += text_items(words, x, above, fit_text(words, w, 7.0), colour="#444444")
    items += _size(plan, box, scale, above - 0.14)
    if wide and not plan.solution.lengthwise and any(s.size <= plan.ruler.reach for s in strips):
        middle = line_path([(x + w / 2, y - end), (x + w / 2, y + h + 0.03)])
        items += [
            Stroke(middle, 0.016, "#ffffff", 0.7),
            Stroke(middle, 0.008, _SOFT, dash=(0.09, 0.03, 0.02, 0.03)),
            *text_items("fold", x + w / 2, y + h + 0.11, 6.5, anchor="middle", colour="#444444"),
        ]
    return [*items, *_grain((x + w + (SELVAGE if wide else 0) + 0.09, y, 0.11, h))]


def _grain(place: tuple[float, float, float, float]) -> list[Item]:
    """An arrow along the selvage, with its name where there is room."""
    x, y, w, h = place
    middle, half = y + h / 2, min(0.7, 0.4 * h)
    points, mark = best_mark([(("grain", 1.0),)], (x, middle - 0.18, w, 0.36), most=6.5)
    gap = 0.17 if half > 0.3 and points >= _LEAST else 0.0
    at, tip = x + w / 2, min(0.08, half / 2)
    items: list[Item] = mark.items(None, "#444444") if gap else []
    for way in (-1, 1):
        end = middle + way * half
        head = [(at - 0.03, end - way * tip), (at, end), (at + 0.03, end - way * tip)]
        items += [
            Stroke(line_path(line), 0.01, _INK)
            for line in ([(at, middle + way * gap), (at, end)], head)
        ]
    return items


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
    cloth = replace(cloth, kind=continuation(cloth, fabric))
    paint = ClothPaint(cloth, (a * scale, b * scale, c * scale, d * scale, box.x, box.y))
    pieces = (_box(box, p.x, p.y, p.width, p.height, scale) for p in placed)
    cut = Path(tuple(s for piece in pieces for s in piece.segments))
    return [Fill(whole, paint), Fill(whole, Solid("#ffffff", 0.68)), Fill(cut, paint)]


def _piece(p: PlacedUnit, box: ClothBox, scale: float, tint: str | None) -> list[Item]:
    path = _box(box, p.x, p.y, p.width, p.height, scale)
    # a light rim, so that edges show on dark cloth too
    items: list[Item] = [Fill(path, Solid(tint)) if tint else Stroke(path, 0.022, "#ffffff", 0.6)]
    items.append(Stroke(path, 0.009, _INK))
    for x0, y0, x1, y1 in p.unit.lines:
        ends = []
        for x, y in ((x0, y0), (x1, y1)):
            u, v = (p.unit.high - y, x) if p.turned else (x, y)
            ends.append(
                (box.x + (p.x + min(u, p.width)) * scale, box.y + (p.y + min(v, p.height)) * scale)
            )
        if tint is None:
            items.append(Stroke(line_path(ends), 0.014, "#ffffff", 0.8))
        items.append(Stroke(line_path(ends), 0.006, _INK, dash=(0.04, 0.03)))
    return items


def _leftover(r: Leftover, box: ClothBox, scale: float, ruler: Ruler) -> list[Item]:
    """The size of a leftover, where it can be read."""
    words = f"left {ruler.about(r.width)} x {ruler.about(r.height)}"
    place = (box.x + r.x * scale, box.y + r.y * scale, r.width * scale, r.height * scale)
    points, mark = best_mark([((words, 1.0),)], place, most=8.0)
    return mark.items("#ffffff", "#555555") if points >= _LEAST else []


def _marks(
    strips: Sequence[CutStrip],
    labels: dict[int, str],
    box: ClothBox,
    scale: float,
    tints: dict[str, str] | None,
) -> list[Item]:
    """Letters and sizes; on plates, so that fold and diagonals do not run through them."""

    def on_page(pieces: Sequence[PlacedUnit]) -> tuple[float, float, float, float]:
        x0, y0 = min(p.x for p in pieces), min(p.y for p in pieces)
        w = max(p.x + p.width for p in pieces) - x0
        h = max(p.y + p.height for p in pieces) - y0
        return box.x + x0 * scale, box.y + y0 * scale, w * scale, h * scale

    pieces = [
        [p for rows in s.rows for row in rows for p in row] for s in strips if s.cloth == box.cloth
    ]
    marks = piece_marks(pieces, labels, on_page)
    return [
        i for m in marks for i in m.items(tints[m.label] if tints and m.count == 1 else "#ffffff")
    ]


def _size(plan: FabricPlan, box: ClothBox, scale: float, y: float) -> list[Item]:
    text = plan.ruler.text
    words = f"{text(box.width)} across"
    if plan.short:
        words = f"{text(plan.length)} x {text(box.width)} would do"
    elif plan.spread:
        words = f"cloth {box.cloth + 1}: {text(box.length)} x {text(box.width)}"
    points = fit_text(words, box.width * scale + MARKS * 0.6, 8.0)
    return [*text_items(words, box.x + box.width * scale / 2, y, points, anchor="middle")]


def _numbers(
    plan: FabricPlan, strips: Sequence[CutStrip], boxes: dict[int, ClothBox], scale: float
) -> list[Item]:
    """Number and width of every strip at its beginning; narrow strips show the number alone, and
    the narrowest of equal ones the first and last number."""
    items: list[Item] = []
    last = -1.0
    for strip in strips:
        box = boxes[strip.cloth]
        middle = (strip.start + strip.size / 2) * scale
        points = min(7.5, max(6.0, 72 * strip.size * scale * 0.8))
        text = f"{strip.number}"
        if plan.solution.lengthwise:
            items += text_items(
                text,
                box.x + middle,
                box.y - plan.straightening * scale - 0.06,
                points,
                anchor="middle",
            )
            continue
        at = (box.x - SELVAGE - 0.05, box.y + middle + points * 0.34 / 72)
        if strip.start == 0:
            last = -1.0
        if last >= 0 and at[1] - last < points * 0.95 / 72:
            continue  # its neighbour's number is in the way; the order of cuts lists it
        last = at[1]
        if strip.size * scale > 0.1:
            text = f"{strip.number}:  {plan.ruler.about(strip.size)}"
        items += text_items(text, *at, fit_text(text, MARKS - 0.1, points), anchor="end")
    return items
