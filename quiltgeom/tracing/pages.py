"""Pages to print: templates packed at true size, big ones tiled, every page with check squares."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import box

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.render.scene import Fill, Item, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import fit_text, text_items
from quiltgeom.tolerance import SAME_SHARE
from quiltgeom.tracing.build import Template, TemplateSet
from quiltgeom.tracing.draw import (
    CUT_WIDTH,
    DASH,
    SEAM_WIDTH,
    Placed,
    label_outside,
    outside_width,
    template_items,
)
from quiltgeom.tracing.pack import pack
from quiltgeom.units import INCH_IN_CM, INCHES, Ruler

PAPERS = {
    "letter": (8.5, 11.0),
    "tabloid": (11.0, 17.0),
    "a4": (210 / 25.4, 297 / 25.4),
    "a3": (297 / 25.4, 420 / 25.4),
}
"""Width and height in inches (ISO 216; ANSI/ASME Y14.1)."""

MARGIN = 0.4
"""Inches that common printers leave blank at most."""
HEAD = 0.5
FIVE_CM = 5 / INCH_IN_CM
OVERLAP = 0.5
"""Inches by which neighbouring sheets of a big template overlap, for gluing."""
CHECK_WIDTH = 0.01
_GREY = "#666666"


def paper_size(paper: str) -> tuple[float, float]:
    """Width and height in inches.

    Raises:
        QuiltValueError: an unknown paper.

    >>> paper_size("letter")
    (8.5, 11.0)
    """
    try:
        return PAPERS[paper.lower()]
    except KeyError:
        raise QuiltValueError(f"paper: found {paper!r}; accepted: {', '.join(PAPERS)}") from None


def paper_room(
    paper: str,
) -> tuple[float, float, tuple[float, float], tuple[float, float, float, float]]:
    """Width and height of a paper, those of the room below the heading, and the place of the check
    squares in it (x, y, width, height): inches."""
    width, height = paper_size(paper)
    room = (width - 2 * MARGIN, height - 2 * MARGIN - HEAD)
    square = FIVE_CM + 0.15
    return width, height, room, (room[0] - square, room[1] - square, square, square)


@dataclass(frozen=True)
class _Sheet:
    """What goes on one page."""

    items: tuple[Item, ...]
    note: str = ""


def template_pages(templates: TemplateSet, paper: str = "letter") -> list[Scene]:
    """One scene per page, at real size.

    Raises:
        QuiltValueError: an unknown paper, or no templates.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.tracing.build import block_templates
    >>> pages = template_pages(block_templates(load_blocks().get("pinwheel"), 8), "a4")
    >>> len(pages), round(pages[0].width * 25.4, 6)
    (1, 210.0)
    """
    if not templates.templates and not templates.by_ruler:
        raise QuiltValueError(f"templates of {templates.title}: found none to draw")
    width, height, room, squares = paper_room(paper)
    outside = [label_outside(t) for t in templates.templates]
    shapes = [
        _with_label(t) if out else t.cut.polygon
        for t, out in zip(templates.templates, outside, strict=True)
    ]
    spots = pack(shapes, *room, [squares], outside)
    items: dict[int, list[Item]] = {}
    big: list[Template] = []
    for template, spot in zip(templates.templates, spots, strict=True):
        if spot is None:
            big.append(template)
        else:
            at = Placed(template, MARGIN + spot.x, MARGIN + HEAD + spot.y, spot.quarter)
            items.setdefault(spot.page, []).extend(template_items(at))
    sheets = [_Sheet(tuple(items[k])) for k in sorted(items)]
    for template in big:
        sheets += _tiled(template, width, height)
    if templates.by_ruler:
        sheets.append(_ruler_sheet(templates))
    facts, ruler, count = _allowance_text(templates), templates.ruler, len(sheets)
    return [
        page_frame(templates.title, sheet.items, width, height, k, count, sheet.note, facts, ruler)
        for k, sheet in enumerate(sheets, 1)
    ]


def _ruler_sheet(templates: TemplateSet) -> _Sheet:
    """Long pieces that are measured and cut without a template."""
    y, ruler = MARGIN + HEAD + 0.4, templates.ruler
    items: list[Item] = []
    stops = (MARGIN + 0.1, MARGIN + 0.8, MARGIN + 1.4, MARGIN + 2.9, MARGIN + 5.1)
    mark = ruler.text(ruler.step, unit=ruler.metric)
    heads = ("Piece", "Cut", "Fabric", "Finished", f"Cut size, up to the next {mark}")
    for stop, head in zip(stops, heads, strict=True):
        items += text_items(head, stop, y, 11, font="Bold")
    for row, cuts in zip(templates.by_ruler, templates.ruler_cuts, strict=True):
        letter, role, w, h, count = row
        y += 0.26
        cut = [ruler.text(ruler.ceil(side)) for side in cuts]
        sizes = [f"{ruler.text(w)} x {ruler.text(h)}", " x ".join(cut)]
        for stop, text in zip(stops, (letter, str(count), role, *sizes), strict=True):
            items += text_items(text, stop, y, 12)
    note = (
        "Sizes of whole pieces. What is longer than your cloth is joined end to end: "
        "cut it as the cutting list says."
    )
    items += text_items(note, MARGIN + 0.1, y + 0.4, 11)
    return _Sheet(tuple(items), "by ruler")


def _allowance_text(templates: TemplateSet) -> str:
    allowance, meant = templates.allowance, templates.ruler.meant
    if any(t.window for t in templates.templates):
        return (
            f"Seam allowance {meant(allowance)}. Windows: cut the outer line, then cut "
            "out the inside along the inner one."
        )
    if not allowance:
        return "Finished size, no seam allowance: add it when you cut."
    return f"Seam allowance {meant(allowance)} included (dashed line = seam)."


def _with_label(template: Template) -> shapely.Polygon:
    """The box of the shape, with room below it for a label that does not fit inside."""
    w, h = template.size
    return box(0, 0, max(w, outside_width(template)), h + 0.26)


def page_frame(
    title: str,
    items: Sequence[Item],
    width: float,
    height: float,
    number: int,
    total: int,
    note: str = "",
    facts: str = "",
    ruler: Ruler = INCHES,
) -> Scene:
    """A page with its heading and check squares."""
    x, y = MARGIN, MARGIN
    right = width - MARGIN
    page = f"page {number} of {total}"
    head: list[Item] = list(text_items(page, right, y + 0.17, 11, anchor="end"))
    name = f"{title}: {note}" if note else title
    head += text_items(name, x, y + 0.17, fit_text(name, right - x - 1.2, 13, "Bold"), font="Bold")
    how = "Print at 100 % (actual size), not 'fit to page'; measure the squares first. " + facts
    head += text_items(how, x, y + 0.38, fit_text(how, right - x, 9.5))
    head.append(Stroke(line_path([(x, y + 0.44), (right, y + 0.44)]), 0.008, _GREY))
    return Scene(width, height, title=f"{title}, {page}").with_items(
        *head, *items, *_check_squares(width, height, ruler)
    )


def _check_squares(width: float, height: float, ruler: Ruler) -> list[Item]:
    """5 cm, with 1 inch (or 2 cm) inside it, in the bottom right corner."""
    side, name = (2 / INCH_IN_CM, "2 cm") if ruler.metric else (1.0, "1 inch")
    x, y = width - MARGIN - FIVE_CM, height - MARGIN - FIVE_CM
    inner = rectangle(x + FIVE_CM - side - 0.15, y + FIVE_CM - side - 0.15, side, side)
    items: list[Item] = [Fill(path_of(rectangle(x, y, FIVE_CM, FIVE_CM)), Solid("#ffffff"))]
    items += [Stroke(path_of(o), CHECK_WIDTH) for o in (rectangle(x, y, FIVE_CM, FIVE_CM), inner)]
    items += text_items("5 cm", x + 0.12, y + 0.25, 11)
    x0, y0, *_ = inner.bounds
    items += text_items(name, x0 + side / 2, y0 + side / 2 + 0.05, 11, anchor="middle")
    return items


def _tiled(template: Template, width: float, height: float) -> list[_Sheet]:
    """A template that is larger than the page, on several sheets to be glued together."""
    room = (width - 2 * MARGIN, height - 2 * MARGIN - HEAD - FIVE_CM - 0.15)
    quarter = min((0, 1), key=lambda q: (_count(template, q, room)[2], q))
    columns, rows, _ = _count(template, quarter, room)
    placed = Placed(template, 0, 0, quarter)
    sheets = []
    polygon = placed.cut.polygon
    cells = [(c, r) for r in range(rows) for c in range(columns)]
    shown = [(c, r) for c, r in cells if polygon.intersects(_window(c, r, room))]
    clear = max((_clear(placed, c, r, room) for c, r in shown), key=lambda part: part.area)
    for k, (c, r) in enumerate(shown, 1):
        window = _window(c, r, room)
        x, y = MARGIN - c * (room[0] - OVERLAP), MARGIN + HEAD - r * (room[1] - OVERLAP)
        items = _clipped_template(placed, window, x, y, clear)
        items += _glue_marks(c, r, columns, rows, room, x, y)
        items += _page_map(polygon, shown, (c, r), room, height)
        note = f"template {template.label}, sheet {k} of {len(shown)}"
        sheets.append(_Sheet(tuple(items), note))
    return sheets


def _count(template: Template, quarter: int, room: tuple[float, float]) -> tuple[int, int, int]:
    w, h = template.size if quarter == 0 else template.size[::-1]
    columns = max(1, math.ceil((w - OVERLAP) / (room[0] - OVERLAP) - SAME_SHARE))
    rows = max(1, math.ceil((h - OVERLAP) / (room[1] - OVERLAP) - SAME_SHARE))
    return columns, rows, columns * rows


def _window(column: int, row: int, room: tuple[float, float]) -> shapely.Polygon:
    x, y = column * (room[0] - OVERLAP), row * (room[1] - OVERLAP)
    return box(x, y, x + room[0], y + room[1])


def _clear(placed: Placed, column: int, row: int, room: tuple[float, float]) -> shapely.Polygon:
    """The largest part of the patch that is on one sheet alone, where label and arrows go."""
    x0, y0, x1, y1 = _window(column, row, room).bounds
    inner = box(x0 + OVERLAP, y0 + OVERLAP, x1 - OVERLAP, y1 - OVERLAP)
    parts = shapely.get_parts(shapely.intersection(placed.seam.polygon, inner))
    areas = [p for p in parts if p.geom_type == "Polygon"]
    return max(areas, key=lambda p: p.area, default=shapely.Polygon())


def _clipped_template(
    placed: Placed, window: shapely.Polygon, dx: float, dy: float, clear: shapely.Polygon
) -> list[Item]:
    items: list[Item] = []
    styles: tuple[tuple[Outline, float, tuple[float, ...]], ...] = (
        (placed.cut, CUT_WIDTH, ()),
        (placed.seam, SEAM_WIDTH, DASH),
    )
    for outline, line_width, dash in styles:
        ring = shapely.LinearRing(outline.polyline)
        inside = shapely.line_merge(shapely.intersection(ring, window))
        for part in shapely.get_parts(inside):
            if part.geom_type == "LineString":
                path = line_path(shapely.get_coordinates(part)).moved(dx, dy)
                items.append(Stroke(path, line_width, dash=dash))
    x0, y0, x1, y1 = window.bounds
    for item in template_items(placed, room=None if clear.is_empty else clear):
        a, b, c, d = item.path.bounds
        if isinstance(item, Stroke):
            if item.width == CUT_WIDTH or item.dash == DASH:
                continue  # the outlines, drawn above
            shaft = shapely.LineString([v for _, v in item.path.segments])
            part = shapely.intersection(shaft, window)
            if part.geom_type == "LineString" and not part.is_empty:
                path = line_path(shapely.get_coordinates(part)).moved(dx, dy)
                items.append(Stroke(path, item.width, item.colour))
        elif a >= x0 and b >= y0 and c <= x1 and d <= y1:
            items.append(Fill(item.path.moved(dx, dy), item.paint))
    return items


def _glue_marks(
    c: int, r: int, columns: int, rows: int, room: tuple[float, float], dx: float, dy: float
) -> list[Item]:
    """A dotted line where the neighbour's edge comes to lie, and crosses that must coincide."""
    x0, y0, x1, y1 = _window(c, r, room).bounds
    across = [x0 + OVERLAP] * bool(c) + [x1 - OVERLAP] * (c + 1 < columns)
    down = [y0 + OVERLAP] * bool(r) + [y1 - OVERLAP] * (r + 1 < rows)
    lines = [((x, y0), (x, y1)) for x in across] + [((x0, y), (x1, y)) for y in down]
    items: list[Item] = [
        Stroke(line_path([a, b]).moved(dx, dy), 0.006, _GREY, dash=(0.03, 0.06)) for a, b in lines
    ]
    middles_x = [x0 + OVERLAP / 2] * bool(c) + [x1 - OVERLAP / 2] * (c + 1 < columns)
    middles_y = [y0 + OVERLAP / 2] * bool(r) + [y1 - OVERLAP / 2] * (r + 1 < rows)
    marks = [(x, y) for x in middles_x for y in (y0 + room[1] * 0.25, y0 + room[1] * 0.75)]
    marks += [(x, y) for y in middles_y for x in (x0 + room[0] * 0.25, x0 + room[0] * 0.75)]
    for x, y in marks:
        for ex, ey in ((0.12, 0.0), (0.0, 0.12)):
            cross = line_path([(x - ex, y - ey), (x + ex, y + ey)]).moved(dx, dy)
            items.append(Stroke(cross, 0.01, "#000000"))
    return items


def _page_map(
    polygon: shapely.Polygon,
    shown: Sequence[tuple[int, int]],
    here: tuple[int, int],
    room: tuple[float, float],
    height: float,
) -> list[Item]:
    """How the sheets lie together, this one filled."""
    _, _, x1, y1 = shapely.union_all([_window(*cell, room) for cell in shown]).bounds
    k = min(2.4 / x1, (FIVE_CM - 0.1) / y1)
    x, y = MARGIN, height - MARGIN - y1 * k
    items: list[Item] = []
    for number, cell in enumerate(shown, 1):
        a, b, c, d = _window(*cell, room).bounds
        shape = path_of(rectangle(a, b, c - a, d - b)).moved(x, y, k)
        if cell == here:
            items.append(Fill(shape, Solid("#dddddd")))
        items.append(Stroke(shape, 0.006, _GREY))
        items += text_items(
            str(number), x + (a + c) / 2 * k, y + (b + d) / 2 * k + 0.05, 10, anchor="middle"
        )
    outline = line_path(shapely.get_coordinates(polygon.exterior)[:-1], closed=True)
    items.append(Stroke(outline.moved(x, y, k), 0.012, "#000000"))
    tip = "Overlap the sheets so that the crosses coincide; glue."
    items += text_items(tip, x + x1 * k + 0.15, height - MARGIN - 0.1, 9.5)
    return items
