"""Where a group of patches can come apart: seam lines from edge to edge, straight or bent."""

import heapq
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.planar import PlanarMap
from quiltgeom.tolerance import SMOOTH_RAD


@dataclass(frozen=True, slots=True)
class Chain:
    """A seam line across a region, sewn in one go.

    Attributes:
        vertices: corner numbers in order, one more than edges (a closed ring repeats the first).
        pivots: corners where it turns because no seam runs on there (set-in seam).
        partials: corners where it turns although another seam runs on (partial seam).
    """

    edges: tuple[int, ...]
    vertices: tuple[int, ...]
    pivots: tuple[int, ...] = ()
    partials: tuple[int, ...] = ()

    @property
    def bends(self) -> int:
        """Number of turns."""
        return len(self.pivots) + len(self.partials)


@dataclass(frozen=True, slots=True)
class Split:
    """One way to take a region apart: chains sewn last, and the parts (face numbers) in order."""

    chains: tuple[Chain, ...]
    parts: tuple[tuple[int, ...], ...]


class Region:
    """A connected group of faces of a map, and the seam lines inside it."""

    def __init__(self, plan: PlanarMap, faces: Iterable[int]) -> None:
        self.map = plan
        self.faces = tuple(sorted(faces))
        members = set(self.faces)
        rim: set[int] = set()
        inside: set[int] = set()
        for face in self.faces:
            for e in plan.loops[face]:
                if all(f in members for f in plan.edges[e].faces) and len(plan.edges[e].faces) == 2:
                    inside.add(e)
                else:
                    rim.add(e)
        self.inside = inside
        self.rim_vertices = {v for e in rim for v in plan.edges[e].ends}

    def _at(self, vertex: int) -> list[int]:
        return [e for e in self.map.around[vertex] if e in self.inside]

    @property
    def has_pivot(self) -> bool:
        """Whether a set-in seam turns at a corner inside the region."""
        inner = {v for e in self.inside for v in self.map.edges[e].ends} - self.rim_vertices
        return not inner.isdisjoint(self.map.pivots)

    @cached_property
    def chords(self) -> tuple[Chain, ...]:
        """Every seam line from rim to rim (or closed on itself) without a bend."""
        found: dict[frozenset[int], Chain] = {}
        for v in sorted(self.rim_vertices):
            for e in self._at(v):
                chain = self._follow(v, e)
                if chain:
                    found.setdefault(frozenset(chain.edges), chain)
        used = {e for key in found for e in key}
        for e in sorted(self.inside - used):
            if self.map.edges[e].bulge or not found:
                chain = self._follow(self.map.edges[e].ends[0], e)
                if chain and chain.vertices[0] == chain.vertices[-1]:
                    found.setdefault(frozenset(chain.edges), chain)
        return tuple(found.values())

    def _follow(self, start: int, edge: int) -> Chain | None:
        vertices, edges, seen = [start], [edge], {start}
        while True:
            v = self.map.edges[edges[-1]].other(vertices[-1])
            vertices.append(v)
            closed = v == start and start not in self.rim_vertices
            if closed and edge in self.map.smooth[v, edges[-1]]:
                return Chain(tuple(edges), tuple(vertices))
            if v in self.rim_vertices and v not in seen:
                return Chain(tuple(edges), tuple(vertices))
            on = self.map.smooth[v, edges[-1]]
            if v in seen or not on:
                return None
            seen.add(v)
            edges.append(on[0])

    def split(self, *chains: Chain) -> Split | None:
        """Take the region apart along chains; None if they do not part it."""
        cut = {e for chain in chains for e in chain.edges}
        left = set(self.faces)
        parts: list[tuple[int, ...]] = []
        while left:
            seed = min(left)
            left.discard(seed)
            part, queue = [seed], [seed]
            while queue:
                for e in self.map.loops[queue.pop()]:
                    if e in self.inside and e not in cut:
                        for f in self.map.edges[e].faces:
                            if f in left:
                                left.discard(f)
                                part.append(f)
                                queue.append(f)
            parts.append(tuple(sorted(part)))
        return Split(tuple(chains), tuple(parts)) if len(parts) > 1 else None

    def halvings(self, chains: Iterable[Chain]) -> Iterator[Split]:
        """The region in two parts, along each of the chains that part it so."""
        return (s for s in map(self.split, chains) if s and len(s.parts) == 2)

    def straight_groups(self) -> list[list[Chain]]:
        """Straight chords that part the region, parallel ones together."""
        groups: dict[float, list[Chain]] = {}
        for chain in self.chords:
            angle = seam_angle(self.map, chain)
            if angle is None or self.split(chain) is None:
                continue
            key = next(
                (k for k in groups if abs(math.remainder(k - angle, math.pi)) < SMOOTH_RAD), angle
            )
            groups.setdefault(key, []).append(chain)
        return list(groups.values())

    def ring_splits(self) -> list[Split]:
        """For a region with a hole: pairs of unbent lines from the rim to the hole."""
        slits = [c for c in self.chords if self.split(c) is None]
        found = []
        for a, b in combinations(slits[:12], 2):
            if not set(a.vertices) & set(b.vertices):
                made = self.split(a, b)
                if made and len(made.parts) == 2:
                    found.append(made)
        return found

    def bent(self, *, fewest: bool = False, partials: int | None = None) -> list[Chain]:
        """For every pair of places on the rim the line between them with the fewest partial
        seams, then the fewest bends; if ``fewest``, only lines with the fewest of all; with at
        most so many ``partials``."""
        found: dict[frozenset[int], Chain] = {}
        most = len(self.faces) if partials is None else partials
        limit = (most, 10 * len(self.map.edges))
        for v in sorted(self.rim_vertices):
            for e in self._at(v):
                for chain in self._search(v, e, limit):
                    found.setdefault(frozenset(chain.edges), chain)
                    if fewest:
                        limit = min(limit, (len(chain.partials), chain.bends))
        return [c for c in found.values() if (len(c.partials), c.bends) <= limit]

    def _search(self, start: int, edge: int, limit: tuple[int, int]) -> list[Chain]:
        """Dijkstra over directed edges; cost = (partial seams, bends, length), up to a limit."""
        pivots = set(self.map.pivots)
        first = self.map.edges[edge].other(start)
        back: dict[tuple[int, int], tuple[int, int] | None] = {}
        heap: list[tuple[int, int, float, int, int, tuple[int, int] | None]] = [
            (0, 0, self.map.edges[edge].length, edge, first, None)
        ]
        done: list[Chain] = []
        reached: set[int] = set()
        while heap:
            partials, bends, length, e, v, parent = heapq.heappop(heap)
            if (partials, bends) > limit:
                break
            if (e, v) in back:
                continue
            back[e, v] = parent
            if v in self.rim_vertices:
                if v != start and v not in reached:
                    reached.add(v)
                    chain = self._trace(start, (e, v), back)
                    if chain:
                        done.append(chain)
                continue
            smooth = self.map.smooth[v, e]
            for f in self._at(v):
                w = self.map.edges[f].other(v)
                if f == e or (f, w) in back or w == start:
                    continue
                bend = f not in smooth
                turns = partials + (bend and v not in pivots), bends + bend
                heapq.heappush(heap, (*turns, length + self.map.edges[f].length, f, w, (e, v)))
        return done

    def _trace(
        self, start: int, last: tuple[int, int], back: dict[tuple[int, int], tuple[int, int] | None]
    ) -> Chain | None:
        states: list[tuple[int, int]] = []
        state: tuple[int, int] | None = last
        while state is not None:
            states.append(state)
            state = back[state]
        states.reverse()
        vertices = [start, *(v for _, v in states)]
        if len(set(vertices)) != len(vertices):
            return None
        return self.chain_of([e for e, _ in states], vertices)

    def chain_of(self, edges: list[int], vertices: list[int]) -> Chain:
        """A chain with its bends found."""
        pivots = set(self.map.pivots)
        turns = [
            v
            for v, e, f in zip(vertices[1:], edges, edges[1:], strict=False)
            if f not in self.map.smooth[v, e]
        ]
        return Chain(
            tuple(edges),
            tuple(vertices),
            tuple(v for v in turns if v in pivots),
            tuple(v for v in turns if v not in pivots),
        )


def connected_parts(plan: PlanarMap) -> tuple[tuple[int, ...], ...]:
    """Patch numbers of each group of patches that touch along edges."""
    every = range(len(plan.loops))
    split = Region(plan, every).split(Chain((), ())) if plan.loops else None
    return split.parts if split else (tuple(every),) if plan.loops else ()


def seam_angle(plan: PlanarMap, chain: Chain) -> float | None:
    """Direction of a straight chain, radians in [0, pi); None if it bends or curves."""
    if chain.bends or any(plan.edges[e].bulge for e in chain.edges):
        return None
    angle = plan.edges[chain.edges[0]].leave[0] % math.pi
    return 0.0 if math.pi - angle < SMOOTH_RAD else angle


def take_off_one(plan: PlanarMap, region: Region) -> Split:
    """Last resort: take off one patch that leaves the rest connected, along all of its seams."""
    for face in region.faces:
        rest = [f for f in region.faces if f != face]
        if Region(plan, rest).split(Chain((), ())) is None:
            edges = [e for e in plan.loops[face] if e in region.inside]
            chains = _runs(plan, region, face, edges)
            return Split(chains, (tuple(rest), (face,)))
    raise QuiltValueError(  # a connected group always has a patch that can be taken off
        f"sewing plan: found {len(region.faces)} patches that do not all touch along edges; "
        "accepted: patches that form one piece"
    )


def _runs(plan: PlanarMap, region: Region, face: int, edges: list[int]) -> tuple[Chain, ...]:
    """The seams of a face as connected runs, in order round it."""
    loop, corners = plan.loops[face], plan.corners[face]
    wanted = set(edges)
    start = next((k for k, e in enumerate(loop) if e not in wanted), 0)
    runs: list[tuple[list[int], list[int]]] = []
    open_run = False
    for k in [(start + i) % len(loop) for i in range(len(loop))]:
        if loop[k] in wanted:
            if not open_run:
                runs.append(([], [corners[k]]))
            runs[-1][0].append(loop[k])
            runs[-1][1].append(corners[(k + 1) % len(loop)])
        open_run = loop[k] in wanted
    return tuple(region.chain_of(e, v) for e, v in runs)
