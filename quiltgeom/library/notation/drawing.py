"""A drawing in progress: patches in some frame, before they become a block."""

import math
from dataclasses import dataclass, field

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.model.block import Patch
from quiltgeom.tolerance import SAME_POINT

MOST_PATCHES = 2000
"""Of one block: 1600 squares of a field of forty by forty, and some. Copies of copies grow quickly
(a unit of units of units), and nobody sews that."""


@dataclass
class Drawing:
    """What a set of cells, a table of patches or a generator draws.

    Attributes:
        width, height: size of the frame in grid units.
        patches: the patches.
        labels: one per patch, how a finding names it (``"cell 2 of row 1 (NE)"``).
        boundary: outline where it is not the full rectangle.
        tile: two vectors by which copies of the outline fill the plane.
    """

    width: float
    height: float
    patches: list[Patch] = field(default_factory=list)
    labels: list[str] = field(default_factory=list)
    boundary: Outline | None = None
    tile: tuple[Point, Point] | None = None

    def add(self, outline: Outline, role: str, part: str, turn_deg: float = 0.0) -> None:
        """Append one patch."""
        self.patches.append(Patch(outline, role, part, turn_deg))

    def poly(self, role: str, part: str, *points: Point, turn_deg: float = 0.0) -> None:
        """Append one straight-edged patch; a point repeated at once is left out."""
        kept = [p for k, p in enumerate(points) if math.dist(p, points[k - 1]) > SAME_POINT]
        self.patches.append(Patch(Outline(tuple(kept)), role, part, turn_deg))

    def around(self, first: int) -> None:
        """Repeat the patches from number ``first`` on, turned by quarters about the centre."""
        drawn, centre = self.patches[first:], (self.width / 2, self.height / 2)
        self.patches += [
            Patch(p.outline.turned(angle, centre), p.role, p.part, p.turn_deg + angle)
            for angle in (90.0, 180.0, 270.0)
            for p in drawn
        ]


def fitted(
    drawing: Drawing, x: float, y: float, scale: float, quarter: int = 0, mirror: bool = False
) -> list[Patch]:
    """The patches of a drawing, mirrored, turned by quarters, scaled, and put at ``(x, y)``.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> unit = Drawing(2, 1)
    >>> unit.add(rectangle(0, 0, 1, 1), "accent", "square")
    >>> fitted(unit, 5, 0, 2, quarter=1)[0].outline.bounds
    (5.0, 0.0, 7.0, 2.0)
    """
    w, h = drawing.width, drawing.height
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter % 4]
    m = -1 if mirror else 1
    dx = x + scale * (w if quarter % 2 == 0 else h) / 2
    dy = y + scale * (h if quarter % 2 == 0 else w) / 2
    a, b, cc, d = scale * c * m, scale * s * m, -scale * s, scale * c
    out = []
    for p in drawing.patches:
        points = tuple(
            (dx + a * (px - w / 2) + cc * (py - h / 2), dy + b * (px - w / 2) + d * (py - h / 2))
            for px, py in p.outline.points
        )
        bulges = p.outline.bulges if m > 0 else tuple(-v for v in p.outline.bulges)
        shape = Outline.image(points, bulges, p.outline.area * scale * scale, mirrored=mirror)
        turn = ((-p.turn_deg if mirror else p.turn_deg) + 90.0 * quarter) % 360.0
        out.append(Patch(shape, p.role, p.part, turn))
    return out
