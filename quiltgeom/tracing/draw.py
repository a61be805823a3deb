"""A template as things to draw: cutting line, seam line, grain arrow, dots, notches, label."""

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import LineString, Polygon, box

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.geometry.placement import Placement
from quiltgeom.render.scene import Fill, Item, Path, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import Font, text_items, text_width
from quiltgeom.tolerance import COVER_AREA, SAME_POINT
from quiltgeom.tracing.build import Template

CUT_WIDTH = 0.02
"""Inches; no other line on a page has this width."""
SEAM_WIDTH = 0.012
DASH = (0.12, 0.07)
LABEL_POINTS = 12.0
"""Readable at arm's length in a class."""
_LINE = LABEL_POINTS / 72 * 1.25
_INK = "#000000"


class Placed:
    """A template turned by quarter turns and moved to its place on a page."""

    def __init__(self, template: Template, x: float, y: float, quarter: int = 0) -> None:
        self.template = template
        turned = template.cut.placed(Placement(turn=6 * quarter))
        x0, y0, *_ = turned.bounds
        self.placement = Placement(x - x0, y - y0, turn=6 * quarter)
        self.quarter = quarter

    @property
    def cut(self) -> Outline:
        """Cutting outline on the page."""
        return self.template.cut.placed(self.placement)

    @property
    def seam(self) -> Outline:
        """Finished outline on the page."""
        return self.template.seam.placed(self.placement)

    def points(self, points: Sequence[Point]) -> list[Point]:
        """Points of the template, on the page."""
        return [(float(x), float(y)) for x, y in self.placement.apply(points)]


def label_lines(template: Template) -> list[str]:
    """What is written on a template."""
    lines = [template.label, template.role, f"cut {template.count}"]
    if template.reversed:
        lines.append(f"+ {template.reversed} reversed")
    return lines


def label_outside(template: Template) -> bool:
    """Whether the shape is too small for its label, upright or on its side: it stands below."""
    lines = label_lines(template)
    sides = (Placed(template, 0, 0, quarter).seam.polygon for quarter in (0, 1))
    return any(_label_box(side, lines) is None for side in sides)


def outside_width(template: Template) -> float:
    """Width of a label that stands below its shape, inches."""
    return text_width(_one_line(label_lines(template)), LABEL_POINTS)


def _one_line(lines: Sequence[str]) -> str:
    return " ".join([lines[0] + ":", *lines[1:]])


def template_items(placed: Placed, *, room: Polygon | None = None) -> list[Item]:
    """Everything drawn for a template; the first item is its closed cutting line.

    Args:
        room: where label and arrows may go, on the page; inside the seam line if not given.
    """
    room = placed.seam.polygon if room is None else room
    template, cut, seam = placed.template, placed.cut, placed.seam
    items: list[Item] = [Stroke(path_of(cut), CUT_WIDTH, _INK)]
    if cut.area - seam.area > COVER_AREA:
        dash = () if template.window else DASH
        items.append(Stroke(path_of(seam), SEAM_WIDTH, _INK, dash=dash))
    items += [Fill(_disc(p, 0.03), Solid(_INK)) for p in placed.points(template.dots)]
    for (x, y), angle in template.notches:
        ends = [(x, y), (x + 0.14 * math.cos(angle), y + 0.14 * math.sin(angle))]
        at, inner = placed.points(ends)
        items.append(Stroke(line_path([at, inner]), SEAM_WIDTH, _INK))
    return items + _label(placed, room) + _grain(placed, room)


def _disc(p: Point, r: float) -> Path:
    x, y = p
    ring: list[tuple[str, tuple[float, ...]]] = [("M", (x + r, y))]
    ring.append(("A", (x, y, r, 0.0, 2 * math.pi - SAME_POINT, x + r, y)))
    return Path((*ring, ("Z", ())))


def _label(placed: Placed, room: Polygon) -> list[Item]:
    lines = label_lines(placed.template)
    found = _label_box(room, lines)
    if found is None:
        x0, _, _, y1 = placed.cut.bounds
        return list(text_items(_one_line(lines), x0, y1 + 0.2, LABEL_POINTS))
    x0, y0, x1, _ = found
    items: list[Item] = []
    for k, line in enumerate(lines):
        font: Font = "Bold" if k == 0 else "Regular"
        at = (x0 + x1) / 2, y0 + (k + 0.8) * _LINE
        items += text_items(line, *at, LABEL_POINTS, font=font, anchor="middle")
    return items


def _label_box(polygon: Polygon, lines: Sequence[str]) -> tuple[float, float, float, float] | None:
    """Where the label fits inside the seam line, as near the middle as it goes."""
    w = max(text_width(line, LABEL_POINTS, "Bold") for line in lines) + 0.06
    h = _LINE * len(lines)
    circle = shapely.maximum_inscribed_circle(polygon, tolerance=0.02)
    middles = [shapely.get_point(circle, 0), polygon.centroid]
    for c in middles:
        for dy in (0.0, 0.1, -0.1, 0.2, -0.2):
            spot = (c.x - w / 2, c.y + dy - h / 2, c.x + w / 2, c.y + dy + h / 2)
            if polygon.contains(box(*spot).buffer(0.03, join_style="mitre")):
                return spot
    return None


def _grain(placed: Placed, polygon: Polygon) -> list[Item]:
    """A double-headed arrow along the lengthwise grain, clear of the label; the print's up."""
    lines = label_lines(placed.template)
    label = _label_box(polygon, lines)
    room = polygon.buffer(-0.06)
    if label:
        room = room.difference(box(*label).buffer(0.05))
    angle = math.radians(placed.template.grain_deg + 90 * placed.quarter)
    best = _longest(room, polygon, angle)
    items: list[Item] = []
    if best and math.dist(*best) > 0.3:
        items += _arrow(*best, both=True)
    if placed.template.up_deg is not None:
        up = math.radians(placed.template.up_deg + 90 * placed.quarter - 90)
        line = _longest(room, polygon, up, spare=0.22 if best else 0.0, taken=best)
        if line:
            a, b = line
            forward = (b[0] - a[0]) * math.cos(up) + (b[1] - a[1]) * math.sin(up)
            a, b = (a, b) if forward > 0 else (b, a)
            items += _arrow(a, b, both=False)
            items += text_items("up", b[0] + 0.07, b[1] + 0.1, 9)
    return items


def _longest(
    room: shapely.Geometry,
    polygon: Polygon,
    angle: float,
    *,
    spare: float = 0.0,
    taken: tuple[Point, Point] | None = None,
) -> tuple[Point, Point] | None:
    """The longest line in a direction inside ``room``, at most 3 inches, clear of another one."""
    c = polygon.centroid
    ux, uy = math.cos(angle), math.sin(angle)
    if taken and spare:
        room = room.difference(LineString(taken).buffer(spare))
    best: tuple[float, float, tuple[Point, Point]] | None = None
    for k in range(-24, 25):
        off = k * 0.125
        x, y = c.x - uy * off, c.y + ux * off
        ray = LineString([(x - 60 * ux, y - 60 * uy), (x + 60 * ux, y + 60 * uy)])
        for part in shapely.get_parts(room.intersection(ray)):
            if part.geom_type != "LineString" or part.length < 0.25:
                continue
            length = min(part.length * 0.9, 3.0)
            rank = (round(length, 6), -abs(off))
            if best is None or rank > best[:2]:
                m = part.interpolate(0.5, normalized=True)
                dx, dy = ux * length / 2, uy * length / 2
                best = (*rank, ((m.x - dx, m.y - dy), (m.x + dx, m.y + dy)))
    return best[2] if best else None


def _arrow(a: Point, b: Point, *, both: bool) -> list[Item]:
    items: list[Item] = [Stroke(line_path([a, b]), SEAM_WIDTH, _INK)]
    for tip, tail in ((b, a), (a, b))[: 2 if both else 1]:
        back = math.atan2(tail[1] - tip[1], tail[0] - tip[0])
        wings = [
            (tip[0] + 0.1 * math.cos(back + s), tip[1] + 0.1 * math.sin(back + s))
            for s in (0.45, -0.45)
        ]
        items.append(Fill(line_path([tip, *wings], closed=True), Solid(_INK)))
    return items
