"""The fewest partial seams by trying every order of sewing: the check on the quick planner."""

from functools import cache
from itertools import pairwise

from quiltgeom.geometry.planar import PlanarMap

EXACT_PATCHES = 9
"""All 3^9 ways of halving groups of 9 patches are tried in a fraction of a second."""


def fewest_partials(plan: PlanarMap, faces: tuple[int, ...]) -> int:
    """Fewest corners, over every binary order of joining ``faces``, where a seam runs on but the
    join turns. Exponential: meant for up to :data:`EXACT_PATCHES` patches.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> from quiltgeom.geometry.planar import planar_map
    >>> logs = [(0, 0, 2, 1), (2, 0, 1, 2), (1, 2, 2, 1), (0, 1, 1, 2), (1, 1, 1, 1)]
    >>> fewest_partials(planar_map([rectangle(*r) for r in logs]), tuple(range(5)))
    1
    """
    pivots = set(plan.pivots)
    bit = {f: 1 << i for i, f in enumerate(faces)}
    seams = [
        (e, bit[edge.faces[0]] | bit[edge.faces[1]])
        for e, edge in enumerate(plan.edges)
        if len(edge.faces) == 2 and all(f in bit for f in edge.faces)
    ]

    @cache
    def connected(group: int) -> bool:
        found = group & -group
        while True:
            wider = found
            for _, pair in seams:
                if pair & group == pair and pair & wider:
                    wider |= pair
            if wider == found:
                return found == group
            found = wider

    @cache
    def cost(group: int) -> float:
        if group & (group - 1) == 0:
            return 0
        best = float("inf")
        low = group & -group
        rest = group ^ low
        part = rest
        while True:  # every way to leave the lowest patch on one side
            part = (part - 1) & rest
            one, two = part | low, group ^ part ^ low
            if two and connected(one) and connected(two):
                turns = _turns(
                    plan,
                    [e for e, pair in seams if pair & one and pair & two and pair & group == pair],
                    pivots,
                )
                if turns < best:
                    best = min(best, turns + cost(one) + cost(two))
            if part == 0:
                return best

    return int(cost((1 << len(faces)) - 1))


def _turns(plan: PlanarMap, edges: list[int], pivots: set[int]) -> float:
    """Corners where the shared seam turns without need; infinite if it falls into pieces."""
    at: dict[int, list[int]] = {}
    for e in edges:
        for v in plan.edges[e].ends:
            at.setdefault(v, []).append(e)
    ends = [v for v, es in at.items() if len(es) == 1]
    if len(ends) != 2 or any(len(es) > 2 for es in at.values()):
        return float("inf")
    walked, v = [next(iter(at[ends[0]]))], ends[0]
    while len(walked) < len(edges):
        v = plan.edges[walked[-1]].other(v)
        on = [e for e in at[v] if e != walked[-1]]
        if not on:
            return float("inf")
        walked.append(on[0])
    total, v = 0, ends[0]
    for e, f in pairwise(walked):
        v = plan.edges[e].other(v)
        total += f not in plan.smooth[v, e] and v not in pivots
    return total
