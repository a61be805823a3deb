"""Units before rows: runs of parts in a row that are worth making first."""

from collections.abc import Sequence
from dataclasses import replace

from quiltgeom.geometry.congruence import ShapeCache
from quiltgeom.geometry.planar import PlanarMap
from quiltgeom.piecing.plan_tree import Node


def grouped(root: Node, shapes: ShapeCache, plan: PlanarMap) -> Node:
    """Runs of a row that are made elsewhere as a unit become that unit, and so do runs that make
    a square out of slimmer parts several times over (the paws of a bear's paw): units first, then
    rows. A run of equal parts is not cut out of a longer one."""
    made = [n.faces for n in root.walk() if n.parts]
    units, sizes = {shapes.key(f) for f in made}, {shapes.size(f) for f in made}
    again = _squarer_runs(root, shapes, plan)
    units, sizes = units | set(again), sizes | set(again.values())

    def regroup(node: Node) -> Node:
        parts, joins = [regroup(p) for p in node.parts], list(node.joins)
        for size in range(len(parts) - 1, 1, -1) if _is_row(node) else ():
            k = 0
            while k + size <= len(parts) and len(parts) > size:
                faces = _faces(parts[k : k + size])
                if (
                    shapes.size(faces) in sizes
                    and not _goes_on(parts, k, size, shapes)
                    and shapes.key(faces) in units
                ):
                    unit = Node(faces, tuple(parts[k : k + size]), tuple(joins[k : k + size - 1]))
                    parts[k : k + size], joins[k : k + size - 1] = [unit], []
                k += 1
        return replace(node, parts=tuple(parts), joins=tuple(joins))

    return regroup(root)


def _is_row(node: Node) -> bool:
    return len(node.parts) > 2 and len(node.parts) == len(node.joins) + 1


def _faces(parts: Sequence[Node]) -> tuple[int, ...]:
    return tuple(sorted(f for p in parts for f in p.faces))


def _squarer_runs(
    root: Node, shapes: ShapeCache, plan: PlanarMap
) -> dict[tuple[int, int, int], tuple[int, float]]:
    """Key and size of runs of pieced parts in rows that make a square none of the parts is, and
    occur more than once, not counting those that overlap."""
    found: dict[tuple[int, int, int], int] = {}
    size_of: dict[tuple[int, int, int], tuple[int, float]] = {}
    for node in filter(_is_row, root.walk()):
        slim = [_squareness(plan, p.faces) for p in node.parts]
        taken: dict[tuple[int, int, int], int] = {}
        for size in range(2, len(node.parts)):
            for k in range(len(node.parts) - size + 1):
                run = node.parts[k : k + size]
                faces = _faces(run)
                if not all(p.parts for p in run) or (
                    _squareness(plan, faces) < max(0.9, 1.1 * max(slim[k : k + size]))
                ):
                    continue
                key = shapes.key(faces)
                if taken.get(key, -1) < k:
                    found[key], taken[key] = found.get(key, 0) + 1, k + size - 1
                    size_of[key] = shapes.size(faces)
    return {key: size_of[key] for key, count in found.items() if count > 1}


def _squareness(plan: PlanarMap, faces: Sequence[int]) -> float:
    """Shorter by longer side of the upright box round some patches."""
    xs, ys = zip(*[plan.points[v] for f in faces for v in plan.corners[f]], strict=True)
    wide, tall = max(xs) - min(xs), max(ys) - min(ys)
    return float(min(wide, tall) / max(wide, tall))


def _goes_on(parts: Sequence[Node], k: int, size: int, shapes: ShapeCache) -> bool:
    """Whether ``size`` parts from ``k`` on are all equal, and so is the part before or after."""
    around = [shapes.shape(p.faces) for p in parts[max(0, k - 1) : k + size + 1]]
    run = around[k > 0 : (k > 0) + size]
    return len(around) > size and len(set(run)) == 1 and around.count(run[0]) > size
