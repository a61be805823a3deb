"""Partial seams as they are sewn: the first patch goes on early, part of its seam stays open, the
others follow along their whole edges, and the open part is finished last.

The planner takes a stuck group apart along a line that turns once at a corner where another seam
runs on. Sewn in that order the last patch would have to be set in. Turned round, nothing is: the
patch is sewn to its first neighbour only, from that corner on; then the seam that runs on at the
corner can be sewn in one straight line over both; the rest of the patch's seam is closed last.
"""

from dataclasses import replace
from itertools import takewhile

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
