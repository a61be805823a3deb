"""Where the tips of a patch are cut off, so that it meets its neighbour end to end.

Two patches are laid right sides together and sewn; the patch with the sharper corner sticks out
past the other. Its tip is cut off along the neighbour's cutting line, so that the two cut edges
end at the same point and nothing has to be guessed. Where both corners are sharp the tips are cut
along the outer cutting line that the sewn pair will have. Which patch meets which one first is the
order of sewing: trimming each patch by itself gives ends that do not meet.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.geometry.outline import Outline, Point, arc_of
from quiltgeom.piecing.sewing_plan import SewingPlan
from quiltgeom.piecing.splits import Chain
from quiltgeom.tolerance import SAME_CORNER, SAME_POINT, SMOOTH_RAD


@dataclass(frozen=True, slots=True)
class Trim:
    """A cut across the tip of a patch.

    Attributes:
        face: the patch.
        corner: the corner of the finished patch.
        start, end: two points of the cutting line across the tip.
    """

    face: int
    corner: Point
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class SeamEnd:
    """The end of a seam where it is sewn for the first time.

    Attributes:
        corner: number of the corner.
        edge: last stretch of the seam.
        faces: the two patches.
        angles: corner angle of the two units there (radians).
        alone: whether each patch is its unit's only one at the corner.
        others: by unit, the edge on its rim that leaves the corner beside the seam.
    """

    corner: int
    edge: int
    faces: tuple[int, int]
    angles: tuple[float, float]
    alone: tuple[bool, bool]
    others: tuple[int, int]


def seam_ends(plan: SewingPlan) -> list[SeamEnd]:
    """Both ends of every straight stretch of seam, in sewing order."""
    out: list[SeamEnd] = []
    for node in plan.root.walk():
        for k, join in enumerate(node.joins):
            before = {f for part in node.parts[: k + 1] for f in part.faces}
            after = set(node.parts[k + 1].faces)
            for chain in join.chains:
                out += _ends(plan, chain, before, after)
        for chain in (c for join in node.closes for c in join.chains):
            one, two = plan.map.edges[chain.edges[-1]].faces
            out += _ends(plan, chain, {one}, {two})[-1:]  # its other end was sewn before
    return out


def _ends(plan: SewingPlan, chain: Chain, before: set[int], after: set[int]) -> list[SeamEnd]:
    out = []
    for v, e in ((chain.vertices[0], chain.edges[0]), (chain.vertices[-1], chain.edges[-1])):
        edge = plan.map.edges[e]
        one = next((f for f in edge.faces if f in before), None)
        two = next((f for f in edge.faces if f in after), None)
        if edge.bulge or one is None or two is None or chain.vertices[0] == chain.vertices[-1]:
            continue
        angle_one, many_one = _unit_angle(plan, v, before)
        angle_two, many_two = _unit_angle(plan, v, after)
        others = _rim_edge(plan, v, before, e), _rim_edge(plan, v, after, e)
        angles, alone = (angle_one, angle_two), (many_one == 1, many_two == 1)
        out.append(SeamEnd(v, e, (one, two), angles, alone, others))
    return out


def _unit_angle(plan: SewingPlan, v: int, unit: set[int]) -> tuple[float, int]:
    """Corner angle of a unit, and how many of its patches touch the corner."""
    faces = {f for e in plan.map.around[v] for f in plan.map.edges[e].faces if f in unit}
    total = 0.0
    for f in faces:
        at = plan.map.corners[f].index(v)
        out = plan.map.edges[plan.map.loops[f][at]].direction(v)
        back = plan.map.edges[plan.map.loops[f][at - 1]].direction(v)
        total += (back - out) % (2 * math.pi)
    return total, len(faces)


def _rim_edge(plan: SewingPlan, v: int, unit: set[int], seam: int) -> int:
    rim = [
        e
        for e in plan.map.around[v]
        if e != seam and sum(f in unit for f in plan.map.edges[e].faces) == 1
    ]
    return rim[0] if rim else seam


def trims(plan: SewingPlan, allowance: float) -> list[Trim]:
    """All tips to cut off, for one allowance (in the plan's units).

    >>> from quiltgeom.geometry.outline import Outline
    >>> from quiltgeom.piecing.sewing_plan import plan_outlines
    >>> halves = [Outline(((0, 0), (2, 0), (0, 2))), Outline(((2, 0), (2, 2), (0, 2)))]
    >>> len(trims(plan_outlines(halves), 0.25))
    4
    >>> trims(plan_outlines(halves), 0)
    []
    """
    if allowance <= 0:
        return []
    return [t for end in seam_ends(plan) for t in _trims_at(plan, end, allowance)]


def _trims_at(plan: SewingPlan, end: SeamEnd, allowance: float) -> list[Trim]:
    if max(end.angles) > math.pi - SMOOTH_RAD:
        return []
    own = [_overhang(plan, end, k, allowance) for k in (0, 1)]
    if own[0] is None or own[1] is None:
        return []
    overhang = min(own[0], own[1])
    if all(t < math.pi / 2 - SMOOTH_RAD for t in end.angles):  # the outer cutting line of the pair
        overhang = min(overhang, *(allowance * math.tan(t / 2) for t in end.angles))
    corner = plan.map.points[end.corner]
    ux, uy = _past(plan, end)
    tilt = 2 * math.atan2(allowance, overhang)  # the line that also touches the allowance's circle
    start = (
        corner[0] + allowance / math.sin(tilt) * ux,
        corner[1] + allowance / math.sin(tilt) * uy,
    )
    out = []
    for k, face in enumerate(end.faces):
        if not end.alone[k] or (own[k] or 0.0) < overhang + SAME_POINT:
            continue
        side = _outward(plan, face, end)
        nx, ny = side * -uy, side * ux
        slope = allowance / math.tan(tilt)
        stop = (start[0] + slope * ux + allowance * nx, start[1] + slope * uy + allowance * ny)
        out.append(Trim(face, corner, start, stop))
    return out


def _past(plan: SewingPlan, end: SeamEnd) -> Point:
    """Direction of the seam past its end."""
    direction = plan.map.edges[end.edge].direction(end.corner)
    return -math.cos(direction), -math.sin(direction)


def _overhang(plan: SewingPlan, end: SeamEnd, k: int, allowance: float) -> float | None:
    """How far past the corner the cut edge of a unit runs if its tip is left long: to its own
    other cutting line, which may be an arc; None if that arc does not come so far."""
    mitre = allowance / math.tan(end.angles[k] / 2)
    edge = plan.map.edges[end.others[k]]
    if not edge.bulge:
        return mitre
    corner, (ux, uy) = plan.map.points[end.corner], _past(plan, end)
    far = plan.map.points[edge.other(end.corner)]
    arc = arc_of(corner, far, edge.bulge if edge.ends[0] == end.corner else -edge.bulge)
    side = _outward(plan, end.faces[k], end)
    dx, dy = arc.cx - corner[0], arc.cy - corner[1]
    leave = edge.direction(end.corner)
    within = (math.cos(leave) - ux) * dx + (math.sin(leave) - uy) * dy > 0  # unit inside the circle
    radius = arc.radius + (allowance if within else -allowance)
    along, across = ux * dx + uy * dy, side * (ux * dy - uy * dx)
    rest = radius * radius - (allowance - across) ** 2
    if radius <= 0 or rest < 0:
        return None
    spots = (along - math.sqrt(rest), along + math.sqrt(rest))
    return min(spots, key=lambda x: abs(x - mitre))


def _outward(plan: SewingPlan, face: int, end: SeamEnd) -> int:
    """Which way is out of the patch across the seam, for the direction past the corner."""
    at = plan.map.loops[face].index(end.edge)
    # clockwise on paper (y down): out lies to the left of the walk
    return -1 if plan.map.corners[face][at] != end.corner else 1


def trim_tips(cut: Outline, seam: Outline, cuts: Sequence[Trim]) -> Outline:
    """The cutting outline with its tips cut off; ``cut`` is ``seam`` moved outward, edge by edge.

    A cut that would reach past the next corner is left undone.
    """
    if len(cut.points) != len(seam.points):
        return cut  # a capped cusp: its curves are matched by their notches
    lines = {}
    for k, p in enumerate(seam.points):
        for c in cuts:
            if math.dist(p, c.corner) < SAME_CORNER:
                lines[k] = c
    ends = {k: found for k, line in lines.items() if (found := _across(cut, k, line))}
    edges = [(p, q, b) for p, q, b in cut.edges()]
    points: list[Point] = []
    bulges: list[float] = []
    for k, (p, _, bulge) in enumerate(edges):
        points += [ends[k][0][0], ends[k][1][0]] if k in ends else [p]
        start = ends[k][1][1] if k in ends else 0.0
        after = (k + 1) % len(edges)
        stop = ends[after][0][1] if after in ends else 1.0
        if stop <= start:
            return cut
        bulges += [0.0] if k in ends else []
        bulges.append(math.tan(math.atan(bulge) * (stop - start)) if bulge else 0.0)
    made = Outline(tuple(points), tuple(bulges))
    return made if made.polygon.is_valid and made.area < cut.area else cut


def _across(
    cut: Outline, k: int, line: Trim
) -> tuple[tuple[Point, float], tuple[Point, float]] | None:
    """Where a line crosses the two edges at corner k: point, and share of the edge before it."""
    edges = list(cut.edges())
    before = _crossing(*edges[k - 1], line, from_end=True)
    after = _crossing(*edges[k], line, from_end=False)
    return (before, after) if before and after else None


def _crossing(
    p: Point, q: Point, bulge: float, line: Trim, *, from_end: bool
) -> tuple[Point, float] | None:
    """The crossing of an edge with a line that lies nearest to one of its ends."""
    (x0, y0), (x1, y1) = line.start, line.end
    length = math.dist(line.start, line.end)
    nx, ny = (y1 - y0) / length, (x0 - x1) / length
    level = nx * x0 + ny * y0
    found: list[tuple[float, Point]] = []
    if not bulge:
        one, two = nx * p[0] + ny * p[1] - level, nx * q[0] + ny * q[1] - level
        if abs(one - two) > SAME_POINT:
            t = one / (one - two)
            found.append((t, (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]))))
    else:
        arc = arc_of(p, q, bulge)
        off = (nx * arc.cx + ny * arc.cy - level) / arc.radius
        turn = math.atan2(ny, nx)
        for sign in (1.0, -1.0) if abs(off) < 1 else ():
            angle = turn + sign * math.acos(-off)
            t = ((angle - arc.start) * math.copysign(1, arc.sweep)) % (2 * math.pi)
            found.append((t / abs(arc.sweep), arc.point(angle)))
    near = [(t, at) for t, at in found if (1e-3 < t < 1.0 if from_end else 0.0 < t < 0.999)]
    if not near:
        return None
    t, at = max(near) if from_end else min(near)
    return at, t
