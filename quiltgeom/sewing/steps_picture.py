"""The steps of sewing as pictures: the parts of every unit side by side, numbered, with arrows
that say which way each seam is pressed."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from quiltgeom.geometry.outline import Point, rectangle
from quiltgeom.piecing.sewing_plan import Join, Node, SewingPlan
from quiltgeom.piecing.steps import Step, Steps
from quiltgeom.render.scene import Fill, Item, Path, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import text_items, text_width, wrap_text
from quiltgeom.sewing.explode import apart, seam_middle

Paint = Callable[[int], Sequence[Fill]]
"""By patch number, how it looks: fills in the plan's own coordinates, cloth as it is sewn in."""

Towards = Mapping[tuple[int, int], int]
"""Pressing directions as in :class:`quiltgeom.piecing.pressing.Pressing`."""

CELL = (2.35, 2.8)
"""Inches for one step on a sheet: picture and text."""
SMALL_CELL = (1.86, 2.1)
"""The same where there are many steps."""
_SIDE = 1.9
_INK = "#333333"
_MARK = "#b3261e"


@dataclass(frozen=True)
class StepPicture:
    """One step to set on a page.

    Attributes:
        scene: the picture alone, ``side`` inches square.
    """

    number: int
    text: str
    scene: Scene


def plain_paint(plan: SewingPlan, colour: Callable[[int], str]) -> Paint:
    """Every patch in one colour."""
    return lambda face: [Fill(path_of(plan.outlines[face]), Solid(colour(face)))]


def step_pictures(
    plan: SewingPlan,
    steps: Steps,
    paint: Paint,
    towards: Towards | None = None,
    side: float = _SIDE,
) -> list[StepPicture]:
    """A picture and a text for every step, in sewing order.

    Args:
        paint: filling of each patch.
        towards: pressing directions of :func:`quiltgeom.piecing.pressing.press`; drawn as arrows.
        side: width and height of each picture, inches.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.piecing.sewing_plan import plan_block
    >>> from quiltgeom.piecing.steps import sewing_steps
    >>> block = load_blocks().get("churn-dash")
    >>> plan = plan_block(block)
    >>> steps = sewing_steps(plan, [p.role for p in block.patches])
    >>> made = step_pictures(plan, steps, plain_paint(plan, lambda face: "#cccccc"))
    >>> made[0].text, made[0].scene.width
    ('Sew A + B: half-square triangles, make 4.', 1.9)
    """
    return [
        StepPicture(s.number, s.text, _picture(plan, steps, s, paint, towards or {}, side))
        for s in steps
    ]


def steps_scene(
    plan: SewingPlan, steps: Steps, paint: Paint, *, title: str, towards: Towards | None = None
) -> Scene:
    """All steps in reading order on one sheet, as large as it needs to be.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.piecing.sewing_plan import plan_block
    >>> from quiltgeom.piecing.steps import sewing_steps
    >>> block = load_blocks().get("churn-dash")
    >>> plan = plan_block(block)
    >>> steps = sewing_steps(plan, [p.role for p in block.patches])
    >>> paint = plain_paint(plan, lambda face: "#cccccc")
    >>> scene = steps_scene(plan, steps, paint, title=block.name)
    >>> scene.width > 6
    True
    """
    cells = [step_cell(p) for p in step_pictures(plan, steps, paint, towards)]
    columns = min(3, max(1, len(cells)))
    rows = math.ceil(len(cells) / columns)
    heading = text_width(title, 18, "Bold") + 0.6
    width = max(columns * CELL[0] + 0.4, heading)
    scene = Scene(width, rows * CELL[1] + 1.05, title=f"{title}: order of sewing")
    scene = scene.with_items(*text_items(title, 0.3, 0.45, 18, font="Bold"), label="title")
    for k, cell in enumerate(cells):
        scene = scene.with_scene(cell, 0.2 + k % columns * CELL[0], 0.7 + k // columns * CELL[1])
    dots = any(j.pivots for s in steps for j in s.node.joins)
    words = legend(0.3, scene.height - 0.15, arrows=bool(towards), dots=dots)
    return scene.with_items(*words, label="legend")


def step_cell(picture: StepPicture, size: tuple[float, float] = CELL) -> Scene:
    """A picture with its number and text, ``size`` inches large."""
    scene = Scene(*size).with_scene(picture.scene, (size[0] - picture.scene.width) / 2, 0.05)
    number = text_items(f"{picture.number}", 0.06, 0.24, 14, font="Bold")
    lines = wrap_text(picture.text, size[0] - 0.2, 10)
    words = text_items(lines, 0.1, picture.scene.height + 0.25, 10)
    return scene.with_items(*number, *words, label=f"step-{picture.number}")


def legend(x: float, y: float, *, arrows: bool = True, dots: bool = False) -> list[Item]:
    """What the marks mean."""
    items: list[Item] = []
    if arrows:
        items += [*_arrow((x + 0.02, y - 0.05), (1.0, 0.0), 0.26)]
        items += text_items("press the seam this way", x + 0.36, y, 9)
        x += 2.2
    if dots:
        items += _dot((x, y - 0.04))
        items += text_items("stop here, needle down, and turn", x + 0.12, y, 9)
    return items


def _picture(
    plan: SewingPlan, steps: Steps, step: Step, paint: Paint, towards: Towards, side: float
) -> Scene:
    node = step.node
    x0, y0, x1, y1 = _moved_box(plan, node, (0.0, 0.0))
    span = max(x1 - x0, y1 - y0)
    shifts = apart(plan, node, span * min(0.12, 0.5 / len(node.parts)))
    moved = [_moved_box(plan, p, s) for p, s in zip(node.parts, shifts, strict=True)]
    x0, y0, x1, y1 = (f(b[i] for b in moved) for i, f in enumerate((min, min, max, max)))
    k = (side - 0.24) / max(x1 - x0, y1 - y0)
    dx, dy = side / 2 - (x0 + x1) / 2 * k, side / 2 - (y0 + y1) / 2 * k
    frame = _Frame(k, dx, dy, shifts, side)
    cloth: list[Item] = []
    tags: list[Item] = []
    for n, part in enumerate(node.parts):
        for face in part.faces:
            cloth += frame.patch(plan, paint, face, n)
        wide, tall = (k * (moved[n][i + 2] - moved[n][i]) for i in (0, 1))
        x, y = frame.at(_middle(plan, part), n)
        if max(wide, tall) < 0.36:  # too small to be written on: the label stands beside it
            level = np.ptp([s[1] for s in shifts]) < np.ptp([s[0] for s in shifts])
            x, y = (x, y + tall / 2 + 0.11) if level else (x + wide / 2 + 0.12, y)
        words = steps.tag(part.faces)
        tags += tag(words, x, y) if words else ()
    marks = _marks(plan, step, frame, towards)
    return Scene(side, side, title=f"step {step.number}").with_items(*cloth, *marks, *tags)


@dataclass(frozen=True)
class _Frame:
    """Scale and shift of a picture, and how far each part is moved first."""

    k: float
    dx: float
    dy: float
    shifts: Sequence[Point]
    side: float

    def at(self, p: Point, part: int) -> Point:
        """A point of a part, on the picture."""
        sx, sy = self.shifts[part]
        return (p[0] + sx) * self.k + self.dx, (p[1] + sy) * self.k + self.dy

    def patch(self, plan: SewingPlan, paint: Paint, face: int, part: int) -> list[Item]:
        """A patch with a fine line round it."""
        (x, y), k = self.at((0.0, 0.0), part), self.k
        items: list[Item] = [fill.moved(x, y, k) for fill in paint(face)]
        return [*items, Stroke(path_of(plan.outlines[face]).moved(x, y, k), 0.008, _INK)]


def _marks(plan: SewingPlan, step: Step, frame: _Frame, towards: Towards) -> list[Item]:
    """Arrows across the seams, dots where a set-in seam turns."""
    node, items = step.node, list[Item]()
    row = len(node.joins) == len(node.parts) - 1
    for n, join in enumerate(node.joins):
        one, two = (n, n + 1) if row else (0, 1)
        for v in join.pivots:
            for part in (one, two):
                items += _dot(frame.at(plan.map.points[v], part))
        if join.opens:
            items += _open_mark(plan, join, frame, one, two)
        if (step.number, n) in towards:
            to = two if towards[step.number, n] == n + 1 else one
            items += _press_arrow(plan, node, join, frame, one, two, to)
    for closing in node.closes:
        items += _finish_mark(plan, closing, frame, node)
    return items


def _open_mark(plan: SewingPlan, join: Join, frame: _Frame, one: int, two: int) -> list[Item]:
    """A dashed line where a partial seam is left open, on both edges, and the words."""
    chain = join.chains[0]
    end = plan.map.points[join.opens[0]]
    far = chain.vertices[0] if chain.vertices[-1] == join.opens[0] else chain.vertices[-1]
    start = plan.map.points[far]
    length = math.dist(start, end)
    a = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    items: list[Item] = []
    for part in (one, two):
        items += _dashed([frame.at(a, part), frame.at(end, part)])
    (x0, y0), (x1, y1) = frame.at(end, one), frame.at(end, two)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    aside = 0.06 + abs(ux) * text_width("leave open", 8, "Semibold") / 2
    return items + _words(
        "leave open", (x0 + x1) / 2 + aside * ux, (y0 + y1) / 2 + aside * uy, frame.side
    )


def _finish_mark(plan: SewingPlan, closing: Join, frame: _Frame, node: Node) -> list[Item]:
    """The seam that was left open, to be finished."""
    edge = plan.map.edges[closing.chains[0].edges[0]]
    part = next(
        n for n, p in enumerate(node.parts) if edge.faces[0] in p.faces or edge.faces[1] in p.faces
    )
    ends = [frame.at(plan.map.points[v], part) for v in closing.chains[0].vertices]
    (x0, y0), (x1, y1) = ends[0], ends[-1]
    level = abs(x1 - x0) > abs(y1 - y0)
    x, y = (x0 + x1) / 2 + (0.0 if level else 0.4), (y0 + y1) / 2 - (0.14 if level else 0.0)
    return _dashed(ends) + _words("then finish", x, y, frame.side)


def _dashed(points: list[Point]) -> list[Item]:
    line = line_path(points)
    return [Stroke(line, 0.05, "#ffffff"), Stroke(line, 0.03, _MARK, dash=(0.06, 0.04))]


def _first_end(plan: SewingPlan, join: Join) -> int:
    """The left or upper end of a seam."""
    ends = join.chains[0].vertices[0], join.chains[0].vertices[-1]
    return min(ends, key=lambda v: tuple(round(c, 6) for c in plan.map.points[v]))


def _words(text: str, x: float, y: float, side: float) -> list[Item]:
    """A few words on a light ground, inside the picture."""
    wide = text_width(text, 8, "Semibold") / 2 + 0.03
    x = min(max(x, wide + 0.01), side - wide - 0.01)
    ground = path_of(rectangle(x - wide, y - 0.075, 2 * wide, 0.15))
    return [
        Fill(ground, Solid("#ffffff", 0.9)),
        *text_items(text, x, y + 0.04, 8, font="Semibold", anchor="middle", colour=_MARK),
    ]


def _press_arrow(
    plan: SewingPlan, node: Node, join: Join, frame: _Frame, one: int, two: int, to: int
) -> list[Item]:
    """An arrow across the gap between two parts, towards one of them."""
    long = join.length * frame.k
    share = 0.28 if long > 0.7 else 0.14
    if join.opens and join.opens[0] == _first_end(plan, join):
        share = 1 - share  # not where it is left open
    spot, (nx, ny) = seam_middle(plan, join, share)
    a, b = frame.at(spot, one), frame.at(spot, two)
    if join.chains[0].vertices[0] == join.chains[0].vertices[-1]:  # a ring: the inner one is first
        sizes = [
            max(np.ptp(plan.outlines[f].polyline, axis=0)[0] for f in p.faces) for p in node.parts
        ]
        outer = two if sizes[two] >= sizes[one] else one
        a = b = frame.at(spot, outer)
        sign = 1.0 if to == outer else -1.0
        length = 0.24
    else:
        ahead = (b[0] - a[0]) * nx + (b[1] - a[1]) * ny
        sign = math.copysign(1.0, ahead) * (1 if to == two else -1)
        length = min(0.3, max(0.12, abs(ahead) + 0.12))
    x, y = (a[0] + b[0]) / 2 - sign * nx * length / 2, (a[1] + b[1]) / 2 - sign * ny * length / 2
    return _arrow((x, y), (sign * nx, sign * ny), length)


def _arrow(start: Point, direction: Point, length: float) -> list[Item]:
    """A small arrow with a light rim: seen on any cloth."""
    (x, y), (ux, uy) = start, direction
    tip = (x + ux * length, y + uy * length)
    size = min(0.1, 0.55 * length)
    neck = (x + ux * (length - size), y + uy * (length - size))
    dx, dy = ux * 0.55 * size, uy * 0.55 * size
    head = [tip, (neck[0] - dy, neck[1] + dx), (neck[0] + dy, neck[1] - dx)]
    shaft, wings = line_path([start, neck]), line_path(head, closed=True)
    rim: list[Item] = [Stroke(shaft, 0.07, "#ffffff"), Stroke(wings, 0.4 * size, "#ffffff")]
    return [*rim, Stroke(shaft, 0.28 * size, _MARK), Fill(wings, Solid(_MARK))]


def _disc(p: Point, radius: float) -> Path:
    disc = shapely.Point(p).buffer(radius, quad_segs=8)
    return line_path(shapely.get_coordinates(disc)[:-1], closed=True)


def _dot(p: Point) -> list[Item]:
    ring = _disc(p, 0.035)
    return [Stroke(ring, 0.03, "#ffffff"), Fill(ring, Solid("#000000"))]


def _middle(plan: SewingPlan, node: Node) -> Point:
    """A point well inside the unit, for its label."""
    shape = shapely.union_all([plan.outlines[f].polygon for f in node.faces])
    if shape.contains(shape.centroid.buffer(0.12 * math.sqrt(shape.area))):
        return shape.centroid.x, shape.centroid.y
    circle = shapely.maximum_inscribed_circle(shape, tolerance=0.05 * math.sqrt(shape.area))
    x, y = shapely.get_coordinates(circle)[0]
    return float(x), float(y)


def _moved_box(plan: SewingPlan, node: Node, shift: Point) -> tuple[float, float, float, float]:
    left, top, right, bottom = zip(*(plan.outlines[f].bounds for f in node.faces), strict=True)
    x, y = shift
    return min(left) + x, min(top) + y, max(right) + x, max(bottom) + y


def tag(text: str, x: float, y: float, points: float = 9.0) -> Sequence[Item]:
    """A label on a white disc: readable on any cloth."""
    r = max(0.09 * points / 9, text_width(text, points, "Bold") / 2 + 0.03)
    return [
        Fill(_disc((x, y), r), Solid("#ffffff", 0.9)),
        *text_items(text, x, y + 0.005 * points, points, font="Bold", anchor="middle"),
    ]
