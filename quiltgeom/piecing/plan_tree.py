"""The tree of joins: what a sewing plan is made of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from quiltgeom.geometry.congruence import ShapeCache
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.planar import PlanarMap
from quiltgeom.piecing.splits import Chain

SeamClass = Literal["straight", "partial", "set-in", "curved"]


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

    @property
    def opens(self) -> tuple[int, ...]:
        """Of :attr:`partials` those at an end of the seam: it is begun here and closed later. (At
        any other one the seam turns, where no order of sewing could be found that begins it.)"""
        return tuple(
            v for c in self.chains for v in c.partials if v in (c.vertices[0], c.vertices[-1])
        )

    @property
    def is_line(self) -> bool:
        """Whether it is one straight line."""
        return (
            self.kind in ("straight", "partial")
            and len(self.chains) == 1
            and (len(self.opens) == len(self.partials))
        )


def join_along(plan: PlanarMap, *chains: Chain) -> Join:
    """The join along seam lines, of the hardest kind of anything in them."""
    edges = [plan.edges[e] for c in chains for e in c.edges]
    kind: SeamClass = "straight"
    if any(e.bulge for e in edges):
        kind = "curved"
    elif any(c.pivots for c in chains):
        kind = "set-in"
    elif any(c.partials for c in chains):
        kind = "partial"
    return Join(kind, chains, sum(e.length for e in edges))


@dataclass(frozen=True)
class Node:
    """A unit: one patch, or parts sewn one after the other.

    Attributes:
        faces: numbers of the patches in it, ascending.
        parts: units it is made of, in sewing order; none for a single patch.
        joins: join k sews part k + 1 to parts 0 to k; one fewer than parts.
        closes: seams left part open before, finished once all parts are joined.
    """

    faces: tuple[int, ...]
    parts: tuple[Node, ...] = ()
    joins: tuple[Join, ...] = ()
    closes: tuple[Join, ...] = ()

    def walk(self) -> Iterator[Node]:
        """All units, the first sewn first."""
        for part in self.parts:
            yield from part.walk()
        yield self

    def all_joins(self) -> Iterator[Join]:
        """All joins, the first sewn first."""
        for node in self.walk():
            yield from node.joins


@dataclass(frozen=True)
class SewingPlan:
    """How a set of patches goes together.

    Attributes:
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
        return tuple(self.root.all_joins())

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
