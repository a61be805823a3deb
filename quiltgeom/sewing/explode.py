"""Units drawn apart: how far each part moves away from the seams that will join it."""

import math
from collections.abc import Sequence

import numpy as np

from quiltgeom.geometry.outline import Point, arc_of
from quiltgeom.piecing.sewing_plan import Join, Node, SewingPlan


def apart(plan: SewingPlan, node: Node, gap: float) -> list[Point]:
    """Shift of each part of a unit so that neighbours stand ``gap`` apart, the unit centred.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> from quiltgeom.piecing.sewing_plan import plan_outlines
    >>> plan = plan_outlines([rectangle(x, 0, 1, 1) for x in range(3)])
    >>> apart(plan, plan.root, 0.5)
    [(-0.5, 0.0), (0.0, 0.0), (0.5, 0.0)]
    """
    corners = [np.concatenate([plan.outlines[f].polyline for f in p.faces]) for p in node.parts]
    return _arranged(plan, node, gap, corners)


def exploded(
    plan: SewingPlan, node: Node, gap: float, rows: Node | None = None
) -> dict[int, Point]:
    """Shift of every patch when a unit and all units in it are drawn apart; what lies in each of
    the ``rows`` moves apart only a third as far, so that rows are seen as rows.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> from quiltgeom.piecing.sewing_plan import plan_outlines
    >>> plan = plan_outlines([rectangle(x, y, 1, 1) for y in (0, 1) for x in (0, 1)])
    >>> exploded(plan, plan.root, 1.0)
    {0: (-0.5, -0.5), 1: (0.5, -0.5), 2: (-0.5, 0.5), 3: (0.5, 0.5)}
    """
    if not node.parts:
        return {node.faces[0]: (0.0, 0.0)}
    within = gap / 3 if rows and node.faces == rows.faces else gap
    node = _flat(node)
    inner = [exploded(plan, part, within, rows) for part in node.parts]
    corners = [
        np.concatenate([plan.outlines[f].polyline + np.array(shift) for f, shift in moved.items()])
        for moved in inner
    ]
    shifts = _arranged(plan, node, gap, corners)
    return {
        f: (x + dx, y + dy)
        for moved, (dx, dy) in zip(inner, shifts, strict=True)
        for f, (x, y) in moved.items()
    }


def _flat(node: Node) -> Node:
    """Parts that are set in one after the other (a mitred border) move away from one middle."""
    if _is_row(node) or len(node.parts) != 2:
        return node
    parts: list[Node] = []
    joins: list[Join] = []
    for part in node.parts:
        inner = _flat(part) if part.parts and not _is_row(part) else None
        mitre = part.parts and len(part.parts) == 2 and all(not p.parts for p in part.parts)
        if inner:
            parts += inner.parts
            joins += inner.joins
        elif mitre:
            parts += part.parts
            joins += part.joins
        else:
            parts.append(part)
    return Node(node.faces, tuple(parts), (*joins, *node.joins))


def _is_row(node: Node) -> bool:
    """Whether all seams are straight lines side by side."""
    return len(node.joins) == len(node.parts) - 1 and all(j.is_line for j in node.joins)


def _arranged(
    plan: SewingPlan, node: Node, gap: float, corners: Sequence[np.ndarray]
) -> list[Point]:
    if _is_row(node):
        return _in_a_row(plan, node, gap, corners)
    if any(c.vertices[0] == c.vertices[-1] for j in node.joins for c in j.chains):
        return _side_by_side(gap, corners)
    return _from_the_middle(plan, node, gap, corners)


def _in_a_row(
    plan: SewingPlan, node: Node, gap: float, corners: Sequence[np.ndarray]
) -> list[Point]:
    nx, ny = seam_middle(plan, node.joins[0])[1]
    extents = [c @ np.array((nx, ny)) for c in corners]
    if extents[0].mean() > extents[-1].mean():
        nx, ny, extents = -nx, -ny, [-r for r in extents]
    shifts, edge = [0.0], float(extents[0].max())
    for r in extents[1:]:
        shifts.append(edge + gap - float(r.min()))
        edge += gap + float(np.ptp(r))
    middle = (shifts[0] + shifts[-1]) / 2
    return [((s - middle) * nx + 0.0, (s - middle) * ny + 0.0) for s in shifts]


def _side_by_side(gap: float, corners: Sequence[np.ndarray]) -> list[Point]:
    """A disc cannot be pulled out of its ring: the parts lie beside each other."""
    shifts: list[Point] = []
    edge = 0.0
    level = float(np.concatenate(corners)[:, 1].mean())
    for c in corners:
        middle = (float(c[:, 1].min()) + float(c[:, 1].max())) / 2
        shifts.append((edge - float(c[:, 0].min()), level - middle))
        edge += float(np.ptp(c[:, 0])) + gap
    return shifts


def _from_the_middle(
    plan: SewingPlan, node: Node, gap: float, corners: Sequence[np.ndarray]
) -> list[Point]:
    """The largest part stays; every other one moves out of the corner it is set into."""
    areas = [sum(plan.outlines[f].area for f in p.faces) for p in node.parts]
    stays = areas.index(max(areas))
    base = corners[stays]
    shifts: list[Point] = []
    for k, part in enumerate(node.parts):
        if k == stays:
            shifts.append((0.0, 0.0))
            continue
        box = corners[k]
        (mx, my), square = _seam_point(plan, node, part)
        cx, cy = (box.min(axis=0) + box.max(axis=0)) / 2
        dx, dy = float(cx - mx), float(cy - my)
        if square:
            side = math.copysign(1.0, dx * square[0] + dy * square[1])
            dx, dy = side * square[0], side * square[1]
        if max(np.ptp(box, axis=0)) > 4 * min(np.ptp(box, axis=0)):  # a strip moves off sideways
            dx, dy = (0.0, dy) if np.ptp(box[:, 0]) > np.ptp(box[:, 1]) else (dx, 0.0)
        far = math.hypot(dx, dy) or 1.0
        ux, uy = dx / far, dy / far
        clear = gap
        if not dx or not dy:
            clear += float((base @ (ux, uy)).max() - (box @ (ux, uy)).min())
        shifts.append((ux * clear, uy * clear))
    return shifts


def _seam_point(plan: SewingPlan, node: Node, part: Node) -> tuple[Point, Point | None]:
    """The middle of the seam by which a part is sewn on, and the direction square to it there if
    it is one line: the part moves away that way, or else from that point."""
    mine = {v for f in part.faces for v in plan.map.corners[f]}
    best, most = node.joins[0], -1
    for join in node.joins:
        shared = sum(v in mine for c in join.chains for v in c.vertices)
        best, most = (join, shared) if shared > most else (best, most)
    if not best.pivots and len(best.chains) == 1:
        return seam_middle(plan, best)
    corners = [plan.map.points[v] for c in best.chains for v in c.pivots or c.vertices if v in mine]
    mx, my = np.mean(np.array(corners), axis=0)
    return (float(mx), float(my)), None


def seam_middle(plan: SewingPlan, join: Join, share: float = 0.5) -> tuple[Point, Point]:
    """The point ``share`` of the way along a seam, from its left or upper end, and the direction
    square to it there."""
    stretch: list[tuple[int, int]] = []
    for c in join.chains:
        start, end = (plan.map.points[c.vertices[i]] for i in (0, -1))
        back = (round(end[0] - start[0], 6), round(end[1] - start[1], 6)) < (0, 0)
        stretch += (
            list(zip(c.edges[::-1], c.vertices[:0:-1], strict=True))
            if back
            else list(zip(c.edges, c.vertices[:-1], strict=True))
        )
    target = share * sum(plan.map.edges[e].length for e, _ in stretch)
    for e, v in stretch:
        edge = plan.map.edges[e]
        if target <= edge.length or (e, v) == stretch[-1]:
            part = min(target / edge.length, 1.0)
            break
        target -= edge.length
    (x0, y0), (x1, y1) = plan.map.points[v], plan.map.points[edge.other(v)]
    if edge.bulge:  # along the arc: turn the chord by half of what is left of the sweep
        arc = arc_of((x0, y0), (x1, y1), edge.bulge if edge.ends[0] == v else -edge.bulge)
        angle = arc.start + part * arc.sweep
        return arc.point(angle), (math.cos(angle), math.sin(angle))
    length = math.dist((x0, y0), (x1, y1))
    at = (x0 + part * (x1 - x0), y0 + part * (y1 - y0))
    return at, (-(y1 - y0) / length, (x1 - x0) / length)
