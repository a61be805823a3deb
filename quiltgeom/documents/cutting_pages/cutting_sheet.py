"""Cutting sheets: one page per fabric, the diagram to scale with its list and order of cuts."""

from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.cutting.cutting_plan import FabricPlan, PlacedUnit
from quiltgeom.cutting.listing import CAUTION, cut_lines
from quiltgeom.cutting.order_lines import order_lines
from quiltgeom.documents.cutting_pages.cutting_diagram import (
    BELOW,
    GRAIN,
    SELVAGE,
    ClothBox,
    arrange,
    draw_cloths,
)
from quiltgeom.documents.cutting_pages.piece_marks import Box
from quiltgeom.documents.sheet import LETTER
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.scene import Item, Scene
from quiltgeom.render.text import Font, text_items, wrap_text

EDGE = 0.6
"""Margin of a page, inches."""
_COLUMNS = (2.55, 3.2)
"""Widths of the list where it stands beside the diagram, inches."""
_POINTS = (9.5, 9.0, 8.5, 8.0, 7.5, 7.0)
_LEADING = 1.3


def cutting_sheets(
    plan: FabricPlan,
    title: str,
    fabric: Fabric | None = None,
    paper: tuple[float, float] = LETTER,
    *,
    seam: float | None = None,
) -> list[Scene]:
    """The diagram of one fabric with its list, the order of cuts, and the caution.

    Mostly one page; the order of cuts goes on on further pages where it is very long.

    Args:
        fabric: to show the real cloth under the pieces.
        paper: width and height of the page, inches.
        seam: the seam allowance that its sizes include; None: the page does not say.
    """
    words = [f"{plan.name}, {plan.way}; {plan.why}.", _need(plan, seam)]
    scene, room = _sheet(plan, title, words, paper)
    page = _page(plan, room)
    ground, picture = draw_cloths(plan, page.boxes, page.scale, fabric)
    items, rest = _set(page.rows, page.points, (page.text_left, page.text_top), room[1] + room[3])
    scene = scene.with_items(*ground, label="cloth")
    scenes = [scene.with_items(*picture, *items, label="cutting")]
    while rest:
        scene, room = _sheet(plan, title, ["The order of cuts goes on."], paper)
        items, rest = _set(rest, page.points, (room[0], room[1] + 0.2), room[1] + room[3])
        if rest:
            left = room[0] + _COLUMNS[0] + 0.35
            more, rest = _set(rest, page.points, (left, room[1] + 0.2), room[1] + room[3])
            items += more
        scenes.append(scene.with_items(*items, label="cutting"))
    return scenes


def _sheet(
    plan: FabricPlan, title: str, words: list[str], paper: tuple[float, float]
) -> tuple[Scene, Box]:
    """A page with its heading and the caution, and the room between them."""
    about = f"Cutting diagram of {plan.name}: {plan.why}."
    scene = Scene(*paper, title=f"{title}: cutting {plan.name}", description=about)
    items, top, foot = frame(f"{title}: {plan.role}", words, paper)
    room = EDGE, top, paper[0] - 2 * EDGE, foot - 0.3 - top
    return scene.with_items(*items, label="cutting"), room


def frame(
    heading: str,
    words: Sequence[str],
    paper: tuple[float, float],
    top: float = 1.1,
    apart: float = 0.0,
) -> tuple[list[Item], float, float]:
    """A page's heading, words below it and the caution at its foot.

    Args:
        top: where the words begin, inches.
        apart: room between two of them, inches.

    Returns:
        The items, where the words end, and where the caution begins.
    """
    width = paper[0] - 2 * EDGE
    items: list[Item] = [*text_items(heading, EDGE, 0.85, 18, font="Semibold")]
    for text in words:
        rows = wrap_text(text, width, 10)
        items += text_items(rows, EDGE, top, 10)
        top += 0.18 * len(rows) + apart
    caution = wrap_text(CAUTION, width, 8)
    foot = paper[1] - 0.45 - 0.145 * (len(caution) - 1)
    return [*items, *text_items(caution, EDGE, foot, 8)], top, foot


def _set(
    rows: list[str], points: float, at: tuple[float, float], foot: float
) -> tuple[list[Item], list[str]]:
    """Lines one below the other, and those for which there is no room; no entry is parted."""
    items: list[Item] = []
    (x, y), places = at, []
    for k, row in enumerate(rows):
        y += points / 72 * (0.5 if row in (_LIST, _ORDER) and k else 0.0)
        places.append(y)
        y += points / 72 * _LEADING
    full = end = next((k for k, y in enumerate(places) if y > foot), len(rows))
    while 0 < end < len(rows) and rows[end].startswith(" "):
        end -= 1
    end = end or max(full, 1)  # an entry that is longer than the page
    for row, y in zip(rows[:end], places, strict=False):
        font: Font = "Semibold" if row in (_LIST, _ORDER) else "Regular"
        left = x + (0.16 if row.startswith(" ") else 0.0)
        items += text_items(row.strip(), left, y, points, font=font)
    return items, rows[end:]


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


def _page(plan: FabricPlan, room: Box) -> _Page:
    """List beside the diagram or below it, whichever lets the diagram be larger."""
    left, top, width, height = room
    options = []
    for column in (*_COLUMNS, width):
        for points in _POINTS:
            rows = _rows(plan, column, points)
            tall = (len(rows) + 1.2) * points / 72 * _LEADING
            side_by_side = column < width
            space = (
                (width - column - 0.25, height) if side_by_side else (width, height - tall - 0.2)
            )
            if tall > height or min(space) < 1.5:
                continue
            if page := _laid(plan, room, space, points, rows):
                options.append((page.scale * (1 + (points - 7) / 40), page))
            break
    if options:
        return max(options, key=lambda o: o[0])[1]
    rows = _rows(plan, _COLUMNS[0], _POINTS[-1])
    page = _laid(plan, room, (width - _COLUMNS[0] - 0.25, height), _POINTS[-1], rows)
    return page or _Page(0.0, [], left, top + 0.2, _POINTS[-1], rows)


def _laid(
    plan: FabricPlan, room: Box, space: tuple[float, float], points: float, rows: list[str]
) -> _Page | None:
    """The diagram in its space, the list in what is left of the room."""
    left, top, width, _ = room
    scale, boxes = arrange(plan.drawn, space, plan.straightening)
    if not boxes:
        return None
    boxes = [ClothBox(b.cloth, left + b.x, top + b.y, b.length, b.width) for b in boxes]
    if space[0] == width:
        ends = max(b.y + b.length * scale for b in boxes)
        return _Page(scale, boxes, left, ends + BELOW + 0.25, points, rows)
    right = max(b.x + b.width * scale for b in boxes)
    return _Page(scale, boxes, right + SELVAGE + GRAIN + 0.2, top + 0.2, points, rows)


def _rows(plan: FabricPlan, column: float, points: float) -> list[str]:
    """List and order of cuts as lines no wider than the column."""
    rows = [_LIST]
    for line in cut_lines(plan):
        text = f"{line.label}: {line.count} of {line.size}; {line.how}"
        rows += _wrapped(text, column, points)
    rows.append(_ORDER)
    for step in order_lines(plan):
        rows += _wrapped(step.text, column, points)
    return rows


def _wrapped(text: str, column: float, points: float) -> list[str]:
    """A line with its further lines set in."""
    first, *others = wrap_text(text, column - 0.18, points)
    return [first, *(f" {row}" for row in others)]


def _need(plan: FabricPlan, seam: float | None) -> str:
    sizes = f" Sizes include {plan.ruler.meant(seam)} seam allowances." if seam else ""
    if plan.have is not None:
        drawn = " Drawn: what would do." if plan.short else ""
        spare = f" This {plan.spare_note}." if plan.spare_note else ""
        return f"Cloth at hand: {plan.at_hand}.{drawn}{spare}{sizes}"
    return (
        f"Buy {plan.terms.said(plan.buy)} of cloth {plan.across}. "
        f"{plan.terms.text}{sizes}{' ' * bool(plan.price)}{plan.price}"
    )


def diagonals(placed: PlacedUnit) -> tuple[bool, bool]:
    """Whether a rectangle is cut from its top left downward, and from its top right downward."""
    cuts = {"square cut once": 1, "square cut twice": 2}.get(placed.unit.method, 0)
    slots = [m.x < placed.unit.wide / 2 for m in placed.unit.members[:1]]
    down = bool(placed.unit.members) and slots[0] == (
        placed.unit.members[0].y < placed.unit.high / 2
    )
    if cuts != 1:
        return cuts == 2, cuts == 2
    return down == placed.turned, down != placed.turned
