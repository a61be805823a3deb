"""Cutting sheets: one page per fabric, the diagram to scale with its list and order of cuts."""

from __future__ import annotations

from dataclasses import dataclass

from quiltgeom.cutting.listing import CAUTION, cut_lines
from quiltgeom.cutting.order import order_lines
from quiltgeom.cutting.plan import FabricPlan, PlacedUnit
from quiltgeom.documents.cutting_diagram import ClothBox, arrange, draw_cloths
from quiltgeom.documents.sheet import LETTER
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.scene import Item, Scene
from quiltgeom.render.text import text_items, wrap_text
from quiltgeom.units import length_text

__all__ = ["cutting_sheet", "diagonals"]

_EDGE = 0.6
_COLUMN = 2.55
"""Width of the list where it stands beside the diagram, inches."""
_POINTS = (9.5, 9.0, 8.5, 8.0, 7.5, 7.0)


def cutting_sheet(
    plan: FabricPlan, title: str, fabric: Fabric | None = None,
    paper: tuple[float, float] = LETTER, *, seam: float | None = None,
) -> Scene:  # fmt: skip
    """The diagram of one fabric with its list, the order of cuts, and the caution.

    Args:
        plan: the fabric's plan.
        title: name of the quilt.
        fabric: to show the real cloth under the pieces.
        paper: width and height of the page, inches.
        seam: the seam allowance that its sizes include; None: the page does not say.
    """
    width, height = paper
    scene = Scene(width, height, title=f"{title}: cutting {plan.name}",
                  description=f"Cutting diagram of {plan.name}: {plan.why}.")  # fmt: skip
    items: list[Item] = [*text_items(f"{title}: {plan.role}", _EDGE, 0.85, 18, font="Semibold")]
    top = 1.1
    for text in (f"{plan.name}, {plan.way}; {plan.why}.", _need(plan, seam)):
        rows = wrap_text(text, width - 2 * _EDGE, 10)
        items += text_items(rows, _EDGE, top, 10)
        top += 0.18 * len(rows)
    caution = wrap_text(CAUTION, width - 2 * _EDGE, 8)
    foot = height - 0.45 - 0.145 * (len(caution) - 1)
    items += text_items(caution, _EDGE, foot, 8)
    page = _page(plan, (_EDGE, top, width - 2 * _EDGE, foot - 0.3 - top))
    ground, picture = draw_cloths(plan, page.boxes, page.scale, fabric)
    items += picture
    y = page.text_top
    for k, row in enumerate(page.rows):
        heading = row in (_LIST, _ORDER)
        y += page.points / 72 * (0.5 if heading and k else 0.0)
        x = page.text_left + (0.16 if row.startswith(" ") else 0.0)
        items += text_items(row.strip(), x, y, page.points,
                            font="Semibold" if heading else "Regular")  # fmt: skip
        y += page.points / 72 * 1.3
    return scene.with_items(*ground, label="cloth").with_items(*items, label="cutting")


_LIST = "What to cut (across x along the cloth)"
_ORDER = "Order of cuts"


@dataclass(frozen=True)
class _Page:
    scale: float
    boxes: list[ClothBox]
    text_left: float
    text_top: float
    points: float
    rows: list[str]


def _page(plan: FabricPlan, room: tuple[float, float, float, float]) -> _Page:
    """List beside the diagram or below it, whichever lets the diagram be larger."""
    left, top, width, height = room
    length = max(plan.have or 0.0, plan.length if plan.have else plan.buy, plan.length)
    sizes = list(plan.cloths) if plan.spread else [(length, plan.width)]
    options = []
    for beside in (True, False):
        column = _COLUMN if beside else width
        for points in _POINTS:
            rows = _rows(plan, column, points)
            tall = (len(rows) + 1.2) * points / 72 * 1.3
            space = (width - column - 0.25, height) if beside else (width, height - tall - 0.2)
            if tall > height or min(space) < 1.5:
                continue
            scale, boxes = arrange(sizes, space)
            if not boxes:
                continue
            boxes = [ClothBox(b.cloth, left + b.x, top + b.y, b.length, b.width) for b in boxes]
            ends = max(b.y + b.length * scale for b in boxes)
            right = max(b.x + b.width * scale for b in boxes)
            at = (right + 0.25, top + 0.2) if beside else (left, ends + 0.35)
            page = _Page(scale, boxes, *at, points, rows)
            options.append((scale * (1 + (points - 7) / 40), page))
            break
    if options:
        return max(options, key=lambda o: o[0])[1]
    rows = _rows(plan, _COLUMN, _POINTS[-1])
    fits = int((height - 0.4) / (_POINTS[-1] / 72 * 1.3))
    rows = [*rows[: fits - 1], "and so on: see the cutting list"]
    scale, boxes = arrange(sizes, (width - _COLUMN - 0.25, height))
    boxes = [ClothBox(b.cloth, left + b.x, top + b.y, b.length, b.width) for b in boxes]
    return _Page(scale, boxes, left + width - _COLUMN, top + 0.2, _POINTS[-1], rows)


def _rows(plan: FabricPlan, column: float, points: float) -> list[str]:
    """List and order of cuts as lines no wider than the column."""
    rows = [_LIST]
    for line in cut_lines(plan):
        text = f"{line.label}: {line.count} of {line.size}; {line.how}"
        rows += _wrapped(text, column, points)
    rows.append(_ORDER)
    way = "along" if plan.solution.lengthwise else "across"
    order = order_lines(plan)
    stacked = " In brackets: cut off whole, then cut apart." if "(" in "".join(order) else ""
    if plan.motif_rise:
        stacked += " Patches on the motif: cut each out by itself."
    rows += wrap_text(f"Straighten the end. Cut strips {way} the cloth, then the pieces from each "
                      f"strip, beginning at the marked side.{stacked}", column, points)  # fmt: skip
    for text in order:
        rows += _wrapped(text, column, points)
    return rows


def _wrapped(text: str, column: float, points: float) -> list[str]:
    """A line with its further lines set in."""
    first, *others = wrap_text(text, column - 0.18, points)
    return [first, *(f" {row}" for row in others)]


def _need(plan: FabricPlan, seam: float | None) -> str:
    sizes = f" Sizes include {length_text(seam)} seam allowances." if seam else ""
    if plan.have is not None:
        drawn = " Drawn: what would do." if plan.several and not plan.spread else ""
        return f"Cloth at hand: {plan.at_hand}.{drawn}{sizes}"
    return f"Buy {plan.terms.said(plan.buy)} of cloth {plan.across}. " \
        f"{plan.terms.text}{sizes}"


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
