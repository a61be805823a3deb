"""Pages about one block: the faults of its file, and a drawing sheet for the classroom."""

import math
from collections.abc import Sequence

from quiltgeom.documents.sheet import LETTER
from quiltgeom.geometry.cover import CoverFault
from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.library.block_facts import describe_block
from quiltgeom.model.block import Block
from quiltgeom.piecing.sewing_plan import Node, plan_block
from quiltgeom.render.mockup import block_scene, role_colour
from quiltgeom.render.scene import (
    Fill,
    Item,
    Layer,
    Scene,
    Solid,
    Stroke,
    line_path,
    path_of,
    region_path,
)
from quiltgeom.render.text import text_items, wrap_text
from quiltgeom.tolerance import SAME_POINT

_SPREAD = 0.2  # what the whole block grows by when it is taken apart, as a share

_WARNING = {"gap": "#d4006a", "overlap": "#e07b00", "outside": "#7a1fd0"}


def fault_scene(block: Block, faults: Sequence[CoverFault], size: float = 6.0) -> Scene:
    """The block in pale colours with every gap (pink), overlap (orange) and part that sticks out
    (violet) over it, numbered; below it, what each number is and where.

    Args:
        size: width of the block on the picture, inches.
    """
    boxes = [block.boundary.bounds, *(f.geometry.bounds for f in faults)]
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    k, edge = size / (x1 - x0), 0.3
    dx, dy = edge - x0 * k, edge - y0 * k
    bottom = edge + (y1 - y0) * k
    page = Scene(size + 2 * edge, bottom + 0.35 + 0.2 * max(1, len(faults)), title=block.name)
    drawn = block_scene(block, block.width * k)
    page = page.with_scene(drawn, dx, dy)
    veil = Fill(path_of(block.boundary).moved(dx, dy, k), Solid("#ffffff", 0.55))
    marks: list[Item] = [veil]
    words: list[Item] = []
    for number, fault in enumerate(faults, 1):
        colour, path = _WARNING[fault.kind], region_path(fault.geometry).moved(dx, dy, k)
        marks += [Fill(path, Solid(colour)), Stroke(path, 0.03, colour)]
        x, y = dx + fault.at[0] * k, dy + fault.at[1] * k
        marks += text_items(str(number), x, y + 0.06, 12, font="Bold", anchor="middle")
        line = (
            f"{number}  {fault.kind} of {fault.area:.4g} square units around "
            f"({fault.at[0]:.4g}, {fault.at[1]:.4g})"
        )
        words += text_items(line, edge, bottom + 0.1 + 0.2 * number, 9, colour=colour)
    if not faults:
        words += text_items("covers its outline exactly", edge, bottom + 0.3, 9)
    return page.with_items(*marks, *words, label="faults")


def drawing_sheet(block: Block, paper: tuple[float, float] = LETTER) -> Scene:
    """One page to draw from: the block as lines on its graph grid, large; below it shaded, and
    taken apart into its units.

    The grid has one square per grid unit and finer lines at halves, numbered along the sides.
    """
    width, height = paper
    margin = 0.7
    page = Scene(width, height, title=f"{block.name}: drawing sheet")
    head: list[Item] = [*text_items(block.name, margin, margin + 0.15, 20, font="Bold")]
    facts = wrap_text(describe_block(block), width - 2 * margin, 9)
    head += text_items(facts, margin, margin + 0.42, 9)
    page = page.with_items(*head, label="head")
    top = margin + 0.75 + 0.16 * (len(facts) - 1)
    shape = block.height / block.width
    large = min(width - 2 * margin - 0.5, (height - top - margin - 0.6) / (shape * 1.62))
    page = page.with_scene(_on_grid(block, large), margin + 0.35, top)
    y = top + large * shape + 0.55
    wide = 1 + _SPREAD
    small = min((width - 2 * margin - 0.4) / (1 + wide), (height - margin - y) / (shape * wide))
    page = page.with_scene(block_scene(block, small), margin, y + small * shape * _SPREAD / 2)
    return page.with_scene(_apart(block, small), width - margin - small * wide, y)


def _on_grid(block: Block, size: float) -> Scene:
    """Line drawing over a graph grid with numbers along the left and the top."""
    k = size / block.width
    scene = Scene(size, block.height * k)
    lines: list[Item] = []
    for along, across in ((block.width, block.height), (block.height, block.width)):
        step = max(1, math.ceil(along / 16))
        sideways = across is block.width and along is block.height and bool(lines)
        for i in range(2 * math.floor(along / step + SAME_POINT) + 1):
            at, end = i * step / 2 * k, across * k
            ends = [(0.0, at), (end, at)] if sideways else [(at, 0.0), (at, end)]
            weight = 0.008 if i % 2 == 0 else 0.004
            lines.append(Stroke(line_path(ends), weight, "#7fa6c9"))
            if i % 2 == 0:
                x, y = (-0.08, at + 0.04) if sideways else (at, -0.07)
                anchor = "end" if sideways else "middle"
                lines += text_items(str(i // 2 * step), x, y, 7, anchor=anchor, colour="#55708a")  # type: ignore[arg-type]
    for patch in block.patches:
        lines.append(Stroke(path_of(patch.outline).moved(0, 0, k), 0.022))
    return Scene(scene.width, scene.height, (Layer(tuple(lines), label="grid"),))


def _apart(block: Block, size: float) -> Scene:
    """The block taken apart as it is sewn: what is joined last stands farthest apart, the patches
    of one unit close together; nothing is changed in size."""
    k = size / block.width
    wide = 1 + _SPREAD
    items: list[Item] = []
    shifts = _shifts(plan_block(block).root, [p.outline for p in block.patches])
    for patch, (sx, sy) in zip(block.patches, shifts, strict=True):
        dx, dy = sx * k + size * _SPREAD / 2, sy * k + block.height * k * _SPREAD / 2
        path = path_of(patch.outline).moved(dx, dy, k)
        items.append(Fill(path, Solid(role_colour(patch.role, block.roles))))
        items.append(Stroke(path, 0.01))
    return Scene(size * wide, block.height * k * wide, (Layer(tuple(items), label="apart"),))


def _shifts(root: Node, outlines: Sequence[Outline]) -> list[Point]:
    """How far each patch moves, grid units: at every joining the parts draw back from their
    common middle, by less the earlier they are joined."""
    out = [(0.0, 0.0)] * len(outlines)
    centres = [o.polygon.centroid for o in outlines]

    def middle(faces: Sequence[int]) -> Point:
        whole = sum(outlines[f].area for f in faces)
        return (
            sum(centres[f].x * outlines[f].area for f in faces) / whole,
            sum(centres[f].y * outlines[f].area for f in faces) / whole,
        )

    def spread(node: Node, by: float) -> None:
        x, y = middle(node.faces)
        for part in node.parts:
            px, py = middle(part.faces)
            for f in part.faces:
                out[f] = (out[f][0] + by * (px - x), out[f][1] + by * (py - y))
            spread(part, by * 0.6)

    spread(root, _SPREAD)
    return out
