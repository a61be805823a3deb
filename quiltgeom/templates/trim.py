"""Where the tips of a patch are cut off, so that it meets its neighbour end to end.

Two patches are laid right sides together and sewn; the patch with the sharper corner sticks out
past the other. Its tip is cut off along the neighbour's cutting line, so that the two cut edges
end at the same point and nothing has to be guessed. Where both corners are sharp the tips are cut
along the outer cutting line that the sewn pair will have. Which patch meets which one first is the
order of sewing: trimming each patch by itself gives ends that do not meet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.geometry.outline import Outline, Point
from quiltgeom.piecing.plan import SewingPlan
from quiltgeom.piecing.seams import Chain

__all__ = ["Trim", "seam_ends", "trim_tips", "trims"]

_STRAIGHT = math.pi - 1e-6


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
    """

    corner: int
    edge: int
    faces: tuple[int, int]
    angles: tuple[float, float]
    alone: tuple[bool, bool]


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
        out.append(SeamEnd(v, e, (one, two), (angle_one, angle_two),
                           (many_one == 1, many_two == 1)))  # fmt: skip
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


def trims(plan: SewingPlan, allowance: float) -> list[Trim]:
    """All tips to cut off, for one allowance (in the plan's units).

    >>> from quiltgeom.geometry.outline import Outline
    >>> from quiltgeom.piecing.plan import plan_outlines
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
    a, b = end.angles
    if max(a, b) > _STRAIGHT:
        return []
    # distance past the corner of the end of the cut edge, if cut along ...
    options = [(allowance / math.tan(t / 2), allowance / math.sin(t), 1 / math.tan(t))
               for t in end.angles]  # ... each patch's own other cutting line  # fmt: skip
    if a < math.pi / 2 - 1e-9 and b < math.pi / 2 - 1e-9:
        options += [(allowance * math.tan(t / 2), allowance / math.sin(t), -1 / math.tan(t))
                    for t in end.angles]  # ... the outer cutting line of the pair  # fmt: skip
    reach, at_seam, slope = min(options)
    edge, corner = plan.map.edges[end.edge], plan.map.points[end.corner]
    direction = edge.direction(end.corner)
    ux, uy = -math.cos(direction), -math.sin(direction)  # past the corner
    out = []
    for face, angle, alone in zip(end.faces, end.angles, end.alone, strict=True):
        if not alone or allowance / math.tan(angle / 2) < reach + 1e-9:
            continue
        side = _outward(plan, face, end)
        nx, ny = side * -uy, side * ux
        start = (corner[0] + at_seam * ux, corner[1] + at_seam * uy)
        stop = (start[0] + slope * ux + nx, start[1] + slope * uy + ny)
        out.append(Trim(face, corner, start, stop))
    return out


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
            if math.dist(p, c.corner) < 1e-7:
                lines[k] = c
    points: list[Point] = []
    bulges: list[float] = []
    count = len(cut.points)
    for k, p in enumerate(cut.points):
        before, after = cut.points[k - 1], cut.points[(k + 1) % count]
        straight = not cut.bulges[k - 1] and not cut.bulges[k]
        ends = _across(before, p, after, lines[k]) if k in lines and straight else None
        if ends:
            points += ends
            bulges += [0.0, cut.bulges[k]]
        else:
            points.append(p)
            bulges.append(cut.bulges[k])
    made = Outline(tuple(points), tuple(bulges))
    return made if made.polygon.is_valid and made.area < cut.area else cut


def _across(before: Point, tip: Point, after: Point, cut: Trim) -> list[Point] | None:
    found = []
    for far in (before, after):
        dx, dy = far[0] - tip[0], far[1] - tip[1]
        ex, ey = cut.end[0] - cut.start[0], cut.end[1] - cut.start[1]
        cross = dx * ey - dy * ex
        if abs(cross) < 1e-12:
            return None
        t = ((cut.start[0] - tip[0]) * ey - (cut.start[1] - tip[1]) * ex) / cross
        if not 0 < t < 0.999:
            return None
        found.append((tip[0] + t * dx, tip[1] + t * dy))
    return found
