"""The class sheet of a block (what to cut, how to sew it), and its foundation papers: each section
mirrored, numbered, with an allowance round the outside."""

from collections.abc import Sequence

import shapely

from quiltgeom.cutting.letters import letter
from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.allowance import SEAM, offset_outline
from quiltgeom.geometry.congruence import plain_outline
from quiltgeom.geometry.outline import Outline
from quiltgeom.render.mockup import block_scene
from quiltgeom.render.scene import Item, Scene, Stroke, line_path, path_of
from quiltgeom.render.text import text_items, wrap_text
from quiltgeom.sewing.sewing_sheet import BlockSewing
from quiltgeom.sewing.steps_picture import CELL, SMALL_CELL, legend, step_cell
from quiltgeom.tolerance import SAME_SHARE
from quiltgeom.tracing.build import TemplateSet
from quiltgeom.tracing.draw import CUT_WIDTH, DASH, SEAM_WIDTH
from quiltgeom.tracing.pack import pack
from quiltgeom.tracing.pages import HEAD, MARGIN, page_frame, paper_room, paper_size

_CARE = (
    "Care: close the rotary cutter after every cut and cut away from yourself; mind the hot "
    "iron; follow the makers' instructions and the safety rules of your class."
)
_ROW = 0.24


def class_sheet(
    sewing: BlockSewing, templates: TemplateSet, paper: str = "letter", copies: int = 1
) -> list[Scene]:
    """Pages with the block's picture, the cutting table and the sewing steps.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.tracing.build import block_templates
    >>> from quiltgeom.sewing.sewing_sheet import sew_block
    >>> block = load_blocks().get("pinwheel")
    >>> len(class_sheet(sew_block(block, 8), block_templates(block, 8)))
    1
    """
    width, height = paper_size(paper)
    scene = Scene(width, height, title=f"{sewing.block.name}: class sheet")
    picture = block_scene(sewing.block, 2.6)
    scene = scene.with_items(*_heading(sewing, templates, copies, width), label="heading")
    scene = scene.with_scene(picture, MARGIN, MARGIN + 0.75)
    table, end = _table(templates, MARGIN + 3.0, MARGIN + 0.95)
    scene = scene.with_items(*table, label="cutting-table")
    top = max(end, MARGIN + 0.75 + picture.height) + 0.25
    return _with_steps(scene, sewing, top, width, height)


def _heading(sewing: BlockSewing, templates: TemplateSet, copies: int, width: float) -> list[Item]:
    ruler = templates.ruler
    size = ruler.text(sewing.size)
    facts = (
        f"{size} finished; {copies} block{'s' * (copies > 1)}; seam allowance "
        f"{ruler.meant(templates.allowance)}; {sewing.difficulty.word}"
    )
    items: list[Item] = list(text_items(sewing.block.name, MARGIN, MARGIN + 0.28, 20, font="Bold"))
    items += text_items(facts, MARGIN, MARGIN + 0.55, 12)
    y = MARGIN + 0.64
    items.append(Stroke(line_path([(MARGIN, y), (width - MARGIN, y)]), 0.01))
    return items


def _table(templates: TemplateSet, x: float, y: float) -> tuple[list[Item], float]:
    """Template, fabric, how many, how many reversed; returns the items and where they end."""
    stops = (x, x + 1.0, x + 2.6, x + 3.3)
    items: list[Item] = []
    for stop, head in zip(stops, ("Template", "Fabric", "Cut", "Reversed"), strict=True):
        items += text_items(head, stop, y, 11, font="Bold")
    for t in templates.templates:
        y += _ROW
        cells = (t.label, t.role, str(t.count), str(t.reversed or ""))
        for stop, text in zip(stops, cells, strict=True):
            items += text_items(text, stop, y, 12)
    for label, role, w, h, count in templates.by_ruler:
        y += _ROW
        size = f"{templates.ruler.text(w)} x {templates.ruler.text(h)} finished, by ruler"
        items += text_items(f"{label}: {count} {role}: {size}", x, y, 11)
    return items, y


def _with_steps(
    scene: Scene, sewing: BlockSewing, top: float, width: float, height: float
) -> list[Scene]:
    """The steps below, going on over further pages; the word of care ends the last page."""
    many = len(sewing.steps) > 6
    cell_size = SMALL_CELL if many else CELL
    cells = [step_cell(p, cell_size) for p in sewing.pictures(side=1.5 if many else 1.9)]
    columns = int((width - 2 * MARGIN) / cell_size[0] + SAME_SHARE)
    pages = [scene]
    y, column = top, 0
    for cell in cells:
        if y + cell_size[1] > height - MARGIN - 0.6:
            pages.append(Scene(width, height, title=scene.title))
            y, column = MARGIN, 0
        pages[-1] = pages[-1].with_scene(cell, MARGIN + column * cell_size[0], y)
        column += 1
        if column == columns:
            y, column = y + cell_size[1], 0
    dots = any(j.pivots for s in sewing.steps for j in s.node.joins)
    marks = legend(MARGIN, height - MARGIN - 0.42, dots=dots)
    pages[-1] = pages[-1].with_items(*marks, label="legend")
    lines = wrap_text(_CARE, width - 2 * MARGIN, 9.5)
    pages[-1] = pages[-1].with_items(*text_items(lines, MARGIN, height - MARGIN - 0.2, 9.5))
    return pages


def foundation_pages(
    sewing: BlockSewing, paper: str = "letter", allowance: float = SEAM
) -> list[Scene]:
    """Pages with every section of a block, mirrored: fabric goes on the unprinted side.

    Raises:
        QuiltValueError: the block cannot be foundation pieced, or a section is larger than the
            paper.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.sewing.sewing_sheet import sew_block
    >>> len(foundation_pages(sew_block(load_blocks().get("log-cabin"), 6)))
    1
    """
    if sewing.foundation is None:
        raise QuiltValueError(
            f"foundation: {sewing.block.name} has {sewing.plan.seam_class} seams; accepted: blocks "
            "that are sewn with straight seams only"
        )
    width, height, room, squares = paper_room(paper)
    k = sewing.size / sewing.block.width
    sections = [
        [sewing.plan.outlines[f].moved(0, 0, k).turned(0, (0, 0), mirror=True) for f in s.order]
        for s in sewing.foundation.sections
    ]
    rims = [offset_outline(_hull(outlines), allowance) for outlines in sections]
    spots = pack([r.polygon for r in rims], *room, [squares])
    pages: dict[int, list[Item]] = {}
    for number, (section, outlines, rim, spot) in enumerate(
        zip(sewing.foundation.sections, sections, rims, spots, strict=True)
    ):
        if spot is None:
            x0, y0, x1, y1 = rim.bounds
            raise QuiltValueError(
                f"foundation section {letter(number)} of {sewing.block.name}: found "
                f"{x1 - x0:.2f} x {y1 - y0:.2f} in; accepted: at most {room[0]:.2f} x "
                f"{room[1]:.2f} in on {paper} paper: choose a smaller block or a larger paper"
            )
        quarter = spot.quarter
        turned = [o.turned(90 * quarter, (0.0, 0.0)) for o in (rim, *outlines)]
        x0, y0, *_ = turned[0].bounds
        dx, dy = MARGIN + spot.x - x0, MARGIN + HEAD + spot.y - y0
        name = letter(number)
        prefix = name if len(sections) > 1 else ""
        roles = [sewing.block.patches[f].role for f in section.order]
        items = _section_items(turned[0], turned[1:], prefix, dx, dy, roles)
        pages.setdefault(spot.page, []).extend(items)
    facts = (
        f"Allowance {sewing.ruler.meant(allowance)} outside; printed mirrored; fabric on the back."
    )
    title, ruler, count = f"{sewing.block.name}: foundations", sewing.ruler, len(pages)
    return [
        page_frame(title, items, width, height, n, count, "", facts, ruler)
        for n, (_, items) in enumerate(sorted(pages.items()), 1)
    ]


def _hull(outlines: Sequence[Outline]) -> Outline:
    """A section is convex (it grew along full straight edges), so its hull is its outline."""
    hull = shapely.convex_hull(shapely.union_all([o.polygon for o in outlines]))
    ring = shapely.get_coordinates(hull.exterior)[:-1]
    return plain_outline(Outline(tuple((float(x), float(y)) for x, y in ring)))


def _section_items(
    rim: Outline, outlines: Sequence[Outline], name: str, dx: float, dy: float, roles: Sequence[str]
) -> list[Item]:
    items: list[Item] = [Stroke(path_of(rim).moved(dx, dy), CUT_WIDTH)]
    items += [Stroke(path_of(o).moved(dx, dy), SEAM_WIDTH) for o in outlines]
    items.append(Stroke(path_of(_hull(outlines)).moved(dx, dy), SEAM_WIDTH * 1.5, dash=DASH))
    for number, (outline, role) in enumerate(zip(outlines, roles, strict=True), 1):
        c = shapely.get_point(shapely.maximum_inscribed_circle(outline.polygon, tolerance=0.02), 0)
        items += text_items(
            f"{name}{number}", c.x + dx, c.y + dy + 0.03, 12, font="Bold", anchor="middle"
        )
        items += text_items(role, c.x + dx, c.y + dy + 0.16, 7, anchor="middle")
    return items
