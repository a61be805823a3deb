"""A quick, exact test of a cover: all edges inside must cancel, in opposite directions."""

import math
from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache

from quiltgeom.geometry.outline import Outline, arc_of
from quiltgeom.tolerance import SAME_LINE_RAD, SAME_POINT

_PER_UNIT = round(1 / SAME_POINT)
_DOWN, _ACROSS = (0, round(1 / SAME_LINE_RAD)), (round(1 / SAME_LINE_RAD), 0)


def covers_exactly(shapes: Sequence[Outline], boundary: Outline) -> bool:
    """Whether the shapes cover the boundary once everywhere, judged by their edges.

    Walk round every shape clockwise and round the boundary the other way. The cover is exact
    just when on every line (and circle) the walks cancel. An edge from p to q adds +1 on its
    line from p and takes it away from q on, whichever way the line runs; so all that is needed is
    that the sums at each (line, point) are zero. T-junctions need no special care. True is a
    proof to within the tolerance; False may also mean rounding at the edge of it, and calls for
    the slow test.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> halves = [rectangle(0, 0, 1, 2), rectangle(1, 0, 1, 2)]
    >>> covers_exactly(halves, rectangle(0, 0, 2, 2)), covers_exactly(halves[:1] * 2, halves[0])
    (True, False)
    """
    sums: defaultdict[tuple[int, ...], int] = defaultdict(int)
    sweeps: defaultdict[tuple[int, ...], float] = defaultdict(float)
    for shape in shapes:
        if not _simple(shape):
            return False
        _walk(shape, 1, sums, sweeps)
    _walk(boundary, -1, sums, sweeps)
    return not any(sums.values()) and all(abs(v) < SAME_LINE_RAD for v in sweeps.values())


def _walk(
    shape: Outline,
    sign: int,
    sums: defaultdict[tuple[int, ...], int],
    sweeps: defaultdict[tuple[int, ...], float],
) -> None:
    line: tuple[int, ...]
    points = shape.points
    keys = [(round(x * _PER_UNIT), round(y * _PER_UNIT)) for x, y in points]
    p, p_key = points[-1], keys[-1]
    for q, q_key, bulge in zip(points, keys, (shape.bulges[-1], *shape.bulges), strict=False):
        if bulge:
            arc = arc_of(p, q, bulge)
            line = (
                round(arc.cx * _PER_UNIT),
                round(arc.cy * _PER_UNIT),
                round(arc.radius * _PER_UNIT),
            )
            sweeps[line] += sign * arc.sweep
        elif p_key == q_key:
            continue
        elif p[0] == q[0]:
            line = _DOWN
        elif p[1] == q[1]:
            line = _ACROSS
        else:
            dx, dy = q[0] - p[0], q[1] - p[1]
            fine = 1 / (SAME_LINE_RAD * math.hypot(dx, dy))
            line = (round(dx * fine), round(dy * fine))
            if line < (0, 0):  # one name for both ways along a line
                line = (-line[0], -line[1])
        sums[line + p_key] += sign
        sums[line + q_key] -= sign
        p, p_key = q, q_key


def _simple(shape: Outline) -> bool:
    """Whether no edges cross: sure for three corners, or if all corners turn the same way."""
    if not shape.is_straight:
        return _simple_form(_form(shape))
    points = shape.points
    if len(points) == 3:
        return True
    four = len(points) == 4  # four corners that all turn one way cannot go round twice
    total = 0.0
    x0, y0 = points[-2]
    x1, y1 = points[-1]
    for x2, y2 in points:
        ax, ay, bx, by = x1 - x0, y1 - y0, x2 - x1, y2 - y1
        cross = ax * by - ay * bx
        if cross < 0:
            return bool(shape.polygon.is_valid)
        if not four:
            total += math.atan2(cross, ax * bx + ay * by)
        x0, y0, x1, y1 = x1, y1, x2, y2
    return total < 3 * math.pi


def _form(shape: Outline) -> tuple[tuple[float, float, float], ...]:
    """The outline moved so that it begins at the origin and leaves it along the x axis."""
    (x0, y0), (x1, y1) = shape.points[:2]
    length = math.hypot(x1 - x0, y1 - y0)
    c, s = ((x1 - x0) / length, (y1 - y0) / length) if length else (1.0, 0.0)  # a corner twice
    return tuple(
        (round(c * (x - x0) + s * (y - y0), 9), round(c * (y - y0) - s * (x - x0), 9), round(b, 12))
        for (x, y), b in zip(shape.points, shape.bulges, strict=True)
    )


@lru_cache(maxsize=4096)
def _simple_form(form: tuple[tuple[float, float, float], ...]) -> bool:
    """Whether no edges of a curved outline cross; a block holds many turned copies of few forms."""
    outline = Outline(tuple((x, y) for x, y, _ in form), tuple(b for *_, b in form))
    return bool(outline.polygon.is_valid)
