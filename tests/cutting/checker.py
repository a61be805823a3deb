"""An independent judge of cutting plans: shapely and arithmetic, nothing of the solver."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import shapely
from shapely.geometry import box

Box = tuple[float, float, float, float]


def faults(
    boxes: Sequence[Box],
    wanted: Counter[tuple[float, float]],
    width: float,
    length: float,
    *,
    may_turn: bool,
    stages: int = 4,
) -> list[str]:
    """Everything wrong with boxes (x, y, w, h) as a plan on one cloth; empty when nothing is."""
    out = []
    polygons = [box(x, y, x + w, y + h) for x, y, w, h in boxes]
    cloth = box(0, 0, width, length)
    outside = [b for b, p in zip(boxes, polygons, strict=True) if not cloth.covers(p)]
    if outside:
        out.append(f"outside the cloth: {outside[:3]}")
    if polygons:
        union = shapely.union_all(polygons).area
        if abs(union - sum(p.area for p in polygons)) > 1e-6:
            out.append("pieces overlap")
    sizes = Counter((w, h) for _, _, w, h in boxes)
    if may_turn:

        def fold(c: Counter[tuple[float, float]]) -> Counter[tuple[float, float]]:
            total: Counter[tuple[float, float]] = Counter()
            for (w, h), n in c.items():
                total[min(w, h), max(w, h)] += n
            return total

        sizes, wanted = fold(sizes), fold(wanted)
    if sizes != wanted:
        out.append(f"cut {sizes - wanted} too many, {wanted - sizes} too few")
    if min(_stages(list(boxes), 1), _stages(list(boxes), 0)) > stages:
        out.append(f"not cut by edge-to-edge cuts in {stages} stages")
    return out


def _stages(boxes: list[Box], axis: int, depth: int = 0) -> int:
    """Stages of edge-to-edge cuts, the first square to ``axis``; 99 if there are none."""
    if len(boxes) == 1:
        return 1  # whatever is around it is trimmed off
    if depth > 8:
        return 99
    parts: list[list[Box]] = []
    reach = -1.0
    for b in sorted(boxes, key=lambda b: b[axis]):
        if b[axis] >= reach - 1e-9:
            parts.append([])
        parts[-1].append(b)
        reach = max(reach, b[axis] + b[2 + axis])
    if len(parts) == 1:
        if depth and _same(boxes):
            return 99
        return 99 if depth > 6 else _skip(boxes, axis, depth)
    return 1 + max(_stages(p, 1 - axis, depth + 1) if len(p) > 1 else 0 for p in parts)


def _skip(boxes: list[Box], axis: int, depth: int) -> int:
    """No cut this way: the other way may still go (a stage without a cut)."""
    other = 1 - axis
    ends = sorted(boxes, key=lambda b: b[other])
    reach = ends[0][other] + ends[0][2 + other]
    for b in ends[1:]:
        if b[other] >= reach - 1e-9:
            return 1 + _stages(boxes, other, depth + 1)
        reach = max(reach, b[other] + b[2 + other])
    return 99


def _same(boxes: list[Box]) -> bool:
    return len(set(boxes)) == 1
