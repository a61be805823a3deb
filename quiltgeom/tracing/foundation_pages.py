"""Foundation papers: each section mirrored, numbered, with an allowance round the outside."""

from collections.abc import Sequence

import shapely

from quiltgeom.cutting.letters import letter
from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.allowance import SEAM, offset_outline
from quiltgeom.geometry.congruence import plain_outline
from quiltgeom.geometry.outline import Outline
from quiltgeom.piecing.foundation import Section
from quiltgeom.render.scene import Item, Scene, Stroke, path_of
from quiltgeom.render.text import text_items
from quiltgeom.sewing.sewing_sheet import BlockSewing
from quiltgeom.tracing.draw import CUT_WIDTH, DASH, SEAM_WIDTH
from quiltgeom.tracing.pack import pack
from quiltgeom.tracing.pages import FIVE_CM, HEAD, MARGIN, page_frame, paper_size


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
    width, height = paper_size(paper)
    k = sewing.size / sewing.block.width
    sections = [_mirrored(sewing, s, k) for s in sewing.foundation.sections]
    rims = [offset_outline(_hull(outlines), allowance) for outlines in sections]
    room = (width - 2 * MARGIN, height - 2 * MARGIN - HEAD)
    square = FIVE_CM + 0.15
    spots = pack(
        [r.polygon for r in rims], *room, [(room[0] - square, room[1] - square, square, square)]
    )
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


def _mirrored(sewing: BlockSewing, section: Section, k: float) -> list[Outline]:
    scaled = [sewing.plan.outlines[f].moved(0, 0, k) for f in section.order]
    return [o.turned(0, (0.0, 0.0), mirror=True) for o in scaled]


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
