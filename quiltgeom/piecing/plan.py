"""The sewing plan of a block: the tree of joins, last seam at the root.

A group of patches is taken apart along seam lines that run from edge to edge without a bend, as
long as there are any. Doing so never costs an extra bent seam later: restrict any order of sewing
to one of the two parts, and every inner corner of that part is still closed by the same two
seams. So straight blocks are always found straight, and bent seams are asked for only where no
unbent line is left:

* at an inner corner where no seam runs on (a *pivot*) every order of sewing turns: a set-in seam;
* where a seam does run on but cannot be sewn in one go, a partial seam: as few as a search finds.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
import shapely

from quiltgeom.geometry.outline import Outline
from quiltgeom.model.block import Block
from quiltgeom.piecing.congruence import ShapeCache
from quiltgeom.piecing.exact import EXACT_PATCHES, fewest_partials
from quiltgeom.piecing.planar import PlanarMap, planar_map
from quiltgeom.piecing.seams import Chain, Region, Split, seam_angle, shed

__all__ = ["Join", "Node", "SeamClass", "SewingPlan", "plan_block", "plan_outlines"]

SeamClass = Literal["straight", "partial", "set-in", "curved"]
_QUARTER = math.pi / 2
_SEARCH = 300
"""Stuck groups of patches looked into before the search for fewer partial seams gives up."""


_DENTED = 6
"""Set-in splits, the most balanced ones, of which the one with the least dented parts is taken."""


@dataclass(frozen=True)
class Join:
    """One joining of two units.

    Attributes:
        kind: the hardest thing about it.
        chains: the seam line (two of them where a ring is closed).
        length: inches or grid units, as the outlines.
    """

    kind: SeamClass
    chains: tuple[Chain, ...]
    length: float

    @property
    def pivots(self) -> tuple[int, ...]:
        """Corners at which a set-in seam turns."""
        return tuple(v for c in self.chains for v in c.pivots)

    @property
    def partials(self) -> tuple[int, ...]:
        """Corners at which a seam is left part open and finished later."""
        return tuple(v for c in self.chains for v in c.partials)


@dataclass(frozen=True)
class Node:
    """A unit: one patch, or parts sewn one after the other.

    Attributes:
        faces: numbers of the patches in it, ascending.
        parts: units it is made of, in sewing order; none for a single patch.
        joins: join k sews part k + 1 to parts 0 to k; one fewer than parts.
    """

    faces: tuple[int, ...]
    parts: tuple[Node, ...] = ()
    joins: tuple[Join, ...] = ()

    def walk(self) -> Iterator[Node]:
        """All units, the first sewn first."""
        for part in self.parts:
            yield from part.walk()
        yield self


@dataclass(frozen=True)
class SewingPlan:
    """How a set of patches goes together.

    Attributes:
        map: the planar map of the patches.
        outlines: finished patches, as given.
        root: the tree.
        proven: whether no order of sewing has fewer partial seams.
        labels: fabric of each patch, if they were given.
        shapes: shapes of its units in these fabrics, as far as they were looked at.
    """

    map: PlanarMap
    outlines: tuple[Outline, ...]
    root: Node
    proven: bool
    labels: tuple[str, ...] = ()
    shapes: ShapeCache | None = field(default=None, compare=False, repr=False)

    @cached_property
    def joins(self) -> tuple[Join, ...]:
        """All joins, the first sewn first."""
        return tuple(j for node in self.root.walk() for j in node.joins)

    @cached_property
    def set_in(self) -> int:
        """Number of set-in corners."""
        return sum(len(j.pivots) for j in self.joins)

    @cached_property
    def partial(self) -> int:
        """Number of partial seams."""
        return sum(len(j.partials) for j in self.joins)

    @cached_property
    def curved(self) -> int:
        """Number of joins along a curve."""
        return sum(j.kind == "curved" for j in self.joins)

    @property
    def seam_class(self) -> SeamClass:
        """The hardest kind of seam in it: curved, set-in, partial or straight."""
        if self.curved:
            return "curved"
        return "set-in" if self.set_in else "partial" if self.partial else "straight"


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
        outlines: finished patches.
        labels: fabric of each; units in equal fabrics are then taken apart the same way.
    """
    plan = planar_map(outlines)
    planner = _Planner(plan, outlines, labels)
    root = planner.node(tuple(range(len(outlines))))
    return SewingPlan(plan, tuple(outlines), _grouped(root, planner.shapes), planner.proven,
                      tuple(labels), planner.shapes)  # fmt: skip


def _grouped(root: Node, shapes: ShapeCache) -> Node:
    """Runs of a row that are made elsewhere as a unit become that unit: units first, then rows.
    A run of equal parts is not cut out of a longer one."""
    made = [n.faces for n in root.walk() if n.parts]
    units, sizes = {shapes.key(f) for f in made}, {shapes.size(f) for f in made}

    def regroup(node: Node) -> Node:
        parts, joins = [regroup(p) for p in node.parts], list(node.joins)
        row = len(parts) == len(joins) + 1
        for size in range(len(parts) - 1, 1, -1) if row and len(parts) > 2 else ():
            k = 0
            while k + size <= len(parts) and len(parts) > size:
                faces = tuple(sorted(f for p in parts[k : k + size] for f in p.faces))
                if (shapes.size(faces) in sizes and not _goes_on(parts, k, size, shapes)
                        and shapes.key(faces) in units):  # fmt: skip
                    unit = Node(faces, tuple(parts[k : k + size]), tuple(joins[k : k + size - 1]))
                    parts[k : k + size], joins[k : k + size - 1] = [unit], []
                k += 1
        return Node(node.faces, tuple(parts), tuple(joins))

    return regroup(root)


def _goes_on(parts: Sequence[Node], k: int, size: int, shapes: ShapeCache) -> bool:
    """Whether ``size`` parts from ``k`` on are all equal, and so is the part before or after."""
    around = [shapes.shape(p.faces) for p in parts[max(0, k - 1) : k + size + 1]]
    run = around[k > 0 : (k > 0) + size]
    return len(around) > size and len(set(run)) == 1 and around.count(run[0]) > size


class _Planner:
    def __init__(
        self, plan: PlanarMap, outlines: Sequence[Outline], labels: Sequence[str]
    ) -> None:
        self.map = plan
        self.shapes = ShapeCache(outlines, labels)
        middles = [o.polygon.centroid for o in outlines]
        self.centres = [(float(c.x), float(c.y)) for c in middles]
        self.areas = [o.area for o in outlines]
        self.outlines = outlines
        self.corners = [np.array(o.points) for o in outlines]
        self.splits: dict[tuple[int, ...], Split] = {}
        self.costs: dict[tuple[int, ...], int] = {}
        self.searched = 0
        self.proven = True

    def node(self, faces: tuple[int, ...]) -> Node:
        """The tree of a connected group of faces."""
        if len(faces) == 1:
            return Node(faces)
        self.cost(faces)
        split = self.splits[faces]
        parts = tuple(self.node(part) for part in split.parts)
        return Node(faces, parts, _joins(self.map, split))

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
        unbent = [s for s in (region.split(c) for c in region.chords) if s and len(s.parts) == 2]
        unbent = unbent or region.ring_splits()
        if unbent:
            return min(unbent, key=self._balance)
        for fewest in (True, False):
            bent = [c for c in region.bent(fewest=fewest) if not c.partials]
            made = [s for s in map(region.split, bent) if s and len(s.parts) == 2]
            if made or not bent:
                fewest_bends = min((s.chains[0].bends for s in made), default=0)
                made = sorted((s for s in made if s.chains[0].bends == fewest_bends),
                              key=self._balance)[:_DENTED]  # fmt: skip
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
        self.searched += 1
        chains = sorted(region.bent(), key=lambda c: (len(c.partials), c.bends, c.edges))
        splits = [s for s in (region.split(c) for c in chains) if s and len(s.parts) == 2]
        if not splits:
            splits = [shed(self.map, region)]
        best = math.inf
        for split in splits[: 80 if self.searched < _SEARCH else 1]:
            total = sum(len(c.partials) for c in split.chains) + sum(map(self.cost, split.parts))
            if total < best:
                best, self.splits[region.faces] = total, split
            if best <= 1:
                break
        if best > 1 and not (
            len(region.faces) <= EXACT_PATCHES and fewest_partials(self.map, region.faces) == best
        ):
            self.proven = False
        return int(best)

    def _straight_score(self, split: Split) -> tuple[object, ...]:
        angle = seam_angle(self.map, split.chains[0]) or 0.0
        bias = abs(math.remainder(angle, _QUARTER)) > 1e-6
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
            hull = shapely.convex_hull(shapely.multipoints(np.concatenate([self.corners[f]
                                                                           for f in part])))
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
        if ny < -1e-9 or (abs(ny) <= 1e-9 and nx < 0):
            nx, ny = -nx, -ny

        def along(item: Sequence[int]) -> float:
            weight = sum(self.areas[f] for f in item)
            total = 0.0
            for f in item:
                x, y = self.centres[f]
                total += (nx * x + ny * y) * self.areas[f]
            return total / weight

        points = self.map.points
        chains = sorted(split.chains, key=lambda c: nx * points[c.vertices[0]][0]
                        + ny * points[c.vertices[0]][1])  # fmt: skip
        return Split(tuple(chains), tuple(sorted(split.parts, key=along)))


def _joins(plan: PlanarMap, split: Split) -> tuple[Join, ...]:
    """One join per seam of a row; one for everything else."""
    if len(split.parts) - 1 == len(split.chains):
        return tuple(_join(plan, (chain,)) for chain in split.chains)
    return (_join(plan, split.chains),)


def _join(plan: PlanarMap, chains: tuple[Chain, ...]) -> Join:
    edges = [plan.edges[e] for c in chains for e in c.edges]
    kind: SeamClass = "straight"
    if any(e.bulge for e in edges):
        kind = "curved"
    elif any(c.pivots for c in chains):
        kind = "set-in"
    elif any(c.partials for c in chains):
        kind = "partial"
    return Join(kind, chains, sum(e.length for e in edges))
