"""What changes in the tree of joins once it is found: partial seams are begun early and finished
late, and runs of a row that are worth making first become units.

The planner takes a stuck group apart along a line that turns once at a corner where another seam
runs on. Sewn in that order the last patch would have to be set in. Turned round, nothing is: the
patch is sewn to its first neighbour only, from that corner on; then the seam that runs on at the
corner can be sewn in one straight line over both; the rest of the patch's seam is closed last.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from quiltgeom.geometry.congruence import ShapeCache
from quiltgeom.geometry.planar import PlanarMap
from quiltgeom.piecing.plan_tree import Join, Node, join_along
from quiltgeom.piecing.splits import Chain


def as_sewn(plan: PlanarMap, node: Node) -> Node:
    """The tree with every partial seam begun early and closed late, wherever that makes all the
    other seams straight; what cannot be turned round so stays as it is."""
    if not node.parts:
        return node
    node = replace(node, parts=tuple(as_sewn(plan, p) for p in node.parts))
    if len(node.parts) != 2 or len(node.joins) != 1 or len(node.joins[0].chains) != 1:
        return node
    chain = node.joins[0].chains[0]
    if chain.pivots or len(chain.partials) != 1 or any(plan.edges[e].bulge for e in chain.edges):
        return node
    for unit, patch in (node.parts, node.parts[::-1]):
        found = _turned_round(plan, chain, unit, patch)
        if found:
            return found
    return node


def _turned_round(plan: PlanarMap, chain: Chain, unit: Node, patch: Node) -> Node | None:
    corner = chain.partials[0]
    at = chain.vertices.index(corner)
    # the two straight parts of the turned line, walked away from the corner
    one = Chain(chain.edges[:at][::-1], chain.vertices[: at + 1][::-1])
    two = Chain(chain.edges[at:], chain.vertices[at:])
    members = set(unit.faces)
    for opened, leg in ((one, two), (two, one)):
        for seam in plan.smooth[corner, leg.edges[0]][:1]:
            if all(f in members for f in plan.edges[seam].faces):
                made = _begun(plan, unit, patch, seam, opened, leg)
                if made:
                    return replace(made[0], closes=(*made[0].closes, made[1]))
    return None


def _begun(
    plan: PlanarMap, node: Node, patch: Node, seam: int, opened: Chain, leg: Chain
) -> tuple[Node, Join] | None:
    """The unit with the patch sewn on just before ``seam``, and what is left to close."""
    for k, part in enumerate(node.parts):
        if part.parts and all(f in part.faces for f in plan.edges[seam].faces):
            made = _begun(plan, part, patch, seam, opened, leg)
            return made and (_with_part(node, k, made[0], patch), made[1])
    where = next((k for k, j in enumerate(node.joins) for c in j.chains if seam in c.edges), -1)
    if where < 0 or len(node.joins) != len(node.parts) - 1 or len(node.joins[where].chains) != 1:
        return None
    near = _face_across(plan, opened.edges[0], patch)
    k = where if near in node.parts[where].faces else where + 1
    mine, other = set(node.parts[k].faces), set(node.parts[2 * where + 1 - k].faces)
    along = (near in mine and _face_across(plan, e, patch) in mine for e in opened.edges)
    run = sum(1 for _ in takewhile(bool, along))
    if not 0 < run < len(opened.edges) or not all(
        _face_across(plan, e, patch) in other for e in leg.edges
    ):
        return None
    begun = Chain(opened.edges[:run], opened.vertices[: run + 1], (), (opened.vertices[run],))
    first = Node(
        tuple(sorted((*node.parts[k].faces, *patch.faces))),
        (node.parts[k], patch),
        (join_along(plan, begun),),
    )
    joins = list(node.joins)
    joins[where] = join_along(plan, _longer(node.joins[where].chains[0], leg))
    rest = Chain(opened.edges[run:], opened.vertices[run:])
    return replace(_with_part(node, k, first, patch), joins=tuple(joins)), join_along(plan, rest)


def _with_part(node: Node, k: int, part: Node, patch: Node) -> Node:
    """A unit of which part k has grown by the patch."""
    faces = {f for p in (*node.parts, patch) for f in p.faces}
    return replace(
        node, faces=tuple(sorted(faces)), parts=(*node.parts[:k], part, *node.parts[k + 1 :])
    )


def _face_across(plan: PlanarMap, edge: int, patch: Node) -> int:
    """The face across an edge from the patch."""
    return next(f for f in plan.edges[edge].faces if f not in patch.faces)


def _longer(chain: Chain, leg: Chain) -> Chain:
    """A seam that ends where a leg begins, run on along it."""
    edges, vertices = chain.edges, chain.vertices
    if vertices[0] == leg.vertices[0]:
        edges, vertices = edges[::-1], vertices[::-1]
    return Chain((*edges, *leg.edges), (*vertices, *leg.vertices[1:]))


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
