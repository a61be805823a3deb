"""The sewing plan of a block: the tree of joins, last seam at the root.

A group of patches is taken apart along seam lines that run from edge to edge without a bend, as
long as there are any. Doing so never costs an extra bent seam later: restrict any order of sewing
to one of the two parts, and every inner corner of that part is still closed by the same two
seams. So straight blocks are always found straight, and bent seams are asked for only where no
unbent line is left:

* at an inner corner where no seam runs on (a *pivot*) every order of sewing turns: a set-in seam;
* where a seam does run on but cannot be sewn in one go, a partial seam: as few as a search finds.
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import islice

import numpy as np
import shapely

from quiltgeom.geometry.congruence import ShapeCache
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.planar import PlanarMap, planar_map
from quiltgeom.model.block import Block
from quiltgeom.piecing.exact import EXACT_PATCHES, fewest_partials
from quiltgeom.piecing.plan_tree import Join, Node, SeamClass, SewingPlan, join_along
from quiltgeom.piecing.splits import Region, Split, seam_angle, take_off_one
from quiltgeom.piecing.tree_changes import as_sewn, grouped
from quiltgeom.tolerance import SMOOTH_RAD

__all__ = ["Join", "Node", "SeamClass", "SewingPlan", "plan_block", "plan_outlines"]

_QUARTER = math.pi / 2
_EFFORT = 2000
"""Patches in stuck groups looked into before the search for fewer partial seams gives up."""
_SMALL = 40
"""In stuck groups of up to so many patches lines with two partial seams are tried as well."""
_TIED = 16
"""Splits with one partial seam among which one that is begun early is looked for."""
_DENTED = 6
"""Set-in splits, the most balanced ones, of which the one with the least dented parts is taken."""


def plan_block(block: Block) -> SewingPlan:
    """The sewing plan of a block, lengths in grid units.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> plan = plan_block(load_blocks().get("churn-dash"))
    >>> plan.seam_class, len(plan.joins), len(plan.root.parts)
    ('straight', 16, 3)
    """
    return plan_outlines([p.outline for p in block.patches], [p.role for p in block.patches])


def plan_outlines(outlines: Sequence[Outline], labels: Sequence[str] = ()) -> SewingPlan:
    """The sewing plan of patches that touch without gap or overlap; as :func:`plan_block`.

    Args:
        labels: fabric of each; units in equal fabrics are then taken apart the same way.
    """
    return _planned(tuple(outlines), tuple(labels))


@lru_cache(maxsize=256)
def _planned(outlines: tuple[Outline, ...], labels: tuple[str, ...]) -> SewingPlan:
    plan = planar_map(outlines)
    planner = _Planner(plan, outlines, labels)
    root = planner.node(tuple(range(len(outlines))))
    root = grouped(as_sewn(plan, root), planner.shapes, plan)
    return SewingPlan(plan, outlines, root, planner.proven, labels, planner.shapes)


class _Planner:
    def __init__(self, plan: PlanarMap, outlines: Sequence[Outline], labels: Sequence[str]) -> None:
        self.map = plan
        self.shapes = ShapeCache(outlines, labels)
        middles = [o.polygon.centroid for o in outlines]
        self.centres = [(float(c.x), float(c.y)) for c in middles]
        self.areas = [o.area for o in outlines]
        self.outlines = outlines
        self.corners = [np.array(o.points) for o in outlines]
        self.splits: dict[tuple[int, ...], Split] = {}
        self.costs: dict[tuple[int, ...], int] = {}
        self.nodes: dict[tuple[int, ...], Node] = {}
        self.effort = 0
        self.proven = True

    def node(self, faces: tuple[int, ...]) -> Node:
        """The tree of a connected group of faces."""
        if len(faces) == 1:
            return Node(faces)
        if faces not in self.nodes:
            self.cost(faces)
            split = self._begun_early(faces, self.splits[faces])
            parts = tuple(self.node(part) for part in split.parts)
            self.nodes[faces] = Node(faces, parts, _joins(self.map, split))
        return self.nodes[faces]

    def cost(self, faces: tuple[int, ...]) -> int:
        """Fewest partial seams found; remembers the split."""
        if len(faces) == 1:
            return 0
        if faces not in self.costs:
            region = Region(self.map, faces)
            split = self._unforced(region)
            if split:
                self.splits[faces] = split
                self.costs[faces] = sum(self.cost(p) for p in split.parts)
            else:
                self.costs[faces] = self._forced(region)
        return self.costs[faces]

    def _unforced(self, region: Region) -> Split | None:
        """The best split that forces no partial seam."""
        groups = region.straight_groups()
        if groups:
            made = [s for s in (region.split(*g) for g in groups) if s]
            best = min(self._straight_score(s) for s in made)
            tied = [s for s in made if self._straight_score(s) == best]
            return self._borders_first(self._ordered(self._same_hand(tied)))
        unbent = list(region.halvings(region.chords)) or region.ring_splits()
        if unbent:
            return min(unbent, key=self._balance)
        if not region.has_pivot:  # every bend would be a partial seam
            return None
        for fewest in (True, False):
            bent = region.bent(fewest=fewest, partials=0)
            made = list(region.halvings(bent))
            if made or not bent:
                fewest_bends = min((s.chains[0].bends for s in made), default=0)
                made = sorted(
                    (s for s in made if s.chains[0].bends == fewest_bends), key=self._balance
                )[:_DENTED]
                return min(made, key=lambda s: (self._dents(s), self._balance(s)), default=None)
        return None

    def _borders_first(self, split: Split) -> Split:
        """Strips at the ends of a row of pieced parts are borders. They come off by themselves if
        what they frame then falls into rows the other way, or if their ends are mitred."""
        strips = [len(p) == 1 for p in split.parts]
        if len(strips) < 3 or False not in strips:
            return split
        first, last = strips.index(False), strips[::-1].index(False)
        mitred = [self._mitred(split.parts[i]) for i in (0, -1)]
        if not (first and last and self._rows_across(split, first, last)):
            first, last = int(mitred[0]), int(mitred[1])
        if (not first and not last) or len(strips) - first - last < 2:
            return split
        end = len(strips) - last
        inner = tuple(sorted(f for p in split.parts[first:end] for f in p))
        chains = (*split.chains[:first], *split.chains[len(split.chains) - last :])
        return Split(chains, (*split.parts[:first], inner, *split.parts[end:]))

    def _rows_across(self, split: Split, first: int, last: int) -> bool:
        middle = split.parts[first : len(split.parts) - last]
        inner = Region(self.map, [f for p in middle for f in p])
        angle = seam_angle(self.map, split.chains[0])
        return any(seam_angle(self.map, g[0]) != angle for g in inner.straight_groups())

    def _mitred(self, part: tuple[int, ...]) -> bool:
        """Whether a part is one long trapezoid."""
        if len(part) > 1 or len(self.outlines[part[0]].points) != 4:
            return False
        x0, y0, x1, y1 = self.outlines[part[0]].bounds
        long = max(x1 - x0, y1 - y0) > 4 * min(x1 - x0, y1 - y0)
        return long and self.areas[part[0]] < 0.9999 * (x1 - x0) * (y1 - y0)

    def _forced(self, region: Region) -> int:
        """The split with the fewest partial seams, found by trying."""
        self.effort += len(region.faces)
        few = 2 if len(region.faces) <= _SMALL else 1
        chains = region.bent(partials=few) or region.bent()
        chains.sort(key=lambda c: (len(c.partials), c.bends, c.edges))
        best = math.inf
        for split in islice(region.halvings(chains), 80):
            if best < math.inf and self.effort > _EFFORT:
                break
            total = self._partials(split)
            if total < best:
                best, self.splits[region.faces] = total, split
            if best <= 1:
                break
        if best == math.inf:
            self.splits[region.faces] = split = take_off_one(self.map, region)
            best = self._partials(split)
        if best > 1 and not (
            len(region.faces) <= EXACT_PATCHES and fewest_partials(self.map, region.faces) == best
        ):
            self.proven = False
        return int(best)

    def _partials(self, split: Split) -> int:
        """Partial seams in a split and in all that its parts are taken apart into."""
        return sum(len(c.partials) for c in split.chains) + sum(map(self.cost, split.parts))

    def _begun_early(self, faces: tuple[int, ...], split: Split) -> Split:
        """Of splits with equally few partial seams one of which all can be begun early."""
        if len(split.chains) > 1 or not split.chains[0].partials or self._opens(faces, split):
            return split
        region, cost = Region(self.map, faces), self.costs[faces]
        others = region.halvings(region.bent(partials=1))
        for other in islice(others, _TIED if self.effort <= _EFFORT else 0):
            if self._partials(other) == cost and self._opens(faces, other):
                return other
        return split

    def _opens(self, faces: tuple[int, ...], split: Split) -> bool:
        parts = tuple(self.node(part) for part in split.parts)
        made = as_sewn(self.map, Node(faces, parts, _joins(self.map, split)))
        return all(len(j.opens) == len(j.partials) for j in made.all_joins())

    def _straight_score(self, split: Split) -> tuple[object, ...]:
        angle = seam_angle(self.map, split.chains[0]) or 0.0
        bias = abs(math.remainder(angle, _QUARTER)) > SMOOTH_RAD
        return (bias, *self._balance(split)[:1], -len(split.parts))

    def _same_hand(self, tied: list[Split]) -> Split:
        """Of equally good splits the one that looks the same however the unit is turned; if that
        does not tell, horizontal before vertical."""

        def rank(split: Split) -> tuple[object, ...]:
            hands = sum(self.shapes.hand(p) for p in split.parts if len(p) > 1)
            return (-hands, seam_angle(self.map, split.chains[0]) or 0.0)

        return tied[0] if len(tied) == 1 else min(tied, key=rank)

    def _dents(self, split: Split) -> float:
        """By how much the parts fall short of convex: a dented unit is awkward to sew on to."""
        total = 0.0
        for part in split.parts:
            hull = shapely.convex_hull(
                shapely.multipoints(np.concatenate([self.corners[f] for f in part]))
            )
            total += shapely.area(hull) - sum(self.areas[f] for f in part)
        return round(max(total, 0.0), 6)

    def _balance(self, split: Split) -> tuple[object, ...]:
        """Share of the patches in the largest part; then something fixed."""
        biggest = max(len(p) for p in split.parts) / sum(len(p) for p in split.parts)
        return (round(biggest, 9), split.parts)

    def _ordered(self, split: Split) -> Split:
        """Parts in order across parallel seams: top to bottom, or left to right."""
        angle = seam_angle(self.map, split.chains[0]) or 0.0
        nx, ny = math.sin(angle), -math.cos(angle)
        if ny < -SMOOTH_RAD or (abs(ny) <= SMOOTH_RAD and nx < 0):
            nx, ny = -nx, -ny

        def along(item: Sequence[int]) -> float:
            weight = sum(self.areas[f] for f in item)
            total = 0.0
            for f in item:
                x, y = self.centres[f]
                total += (nx * x + ny * y) * self.areas[f]
            return total / weight

        points = self.map.points
        chains = sorted(
            split.chains,
            key=lambda c: nx * points[c.vertices[0]][0] + ny * points[c.vertices[0]][1],
        )
        return Split(tuple(chains), tuple(sorted(split.parts, key=along)))


def _joins(plan: PlanarMap, split: Split) -> tuple[Join, ...]:
    """One join per seam of a row; one for everything else."""
    if len(split.parts) - 1 == len(split.chains):
        return tuple(join_along(plan, chain) for chain in split.chains)
    return (join_along(plan, *split.chains),)
