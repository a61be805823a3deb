"""The class sheet: what the block looks like, what to cut, how to sew it, on one or two pages."""

from quiltgeom.render.mockup import block_scene
from quiltgeom.render.scene import Item, Scene, Stroke, line_path
from quiltgeom.render.text import text_items, wrap_text
from quiltgeom.sewing.sewing_sheet import BlockSewing
from quiltgeom.sewing.steps_picture import CELL, SMALL_CELL, legend, step_cell
from quiltgeom.tolerance import SAME_SHARE
from quiltgeom.tracing.build import TemplateSet
from quiltgeom.tracing.pages import MARGIN, paper_size

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
    for letter, role, w, h, count in templates.by_ruler:
        y += _ROW
        size = f"{templates.ruler.text(w)} x {templates.ruler.text(h)} finished, by ruler"
        items += text_items(f"{letter}: {count} {role}: {size}", x, y, 11)
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
