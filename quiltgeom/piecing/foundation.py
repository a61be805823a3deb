"""Foundation (paper) piecing: on how many papers a block can be sewn, and in which order.

A *section* is a group of patches that can be sewn to one paper in numbered order: each new patch
joins everything sewn before it along one straight seam from edge to edge, is flipped open and
pressed. Two counts are given:

* ``strict``: every numbered piece is a single patch; finished sections are then sewn together;
* ``with_bases``: a section may start from a unit that was pieced before (its base counts as so
  many sections itself). Where it is smaller, that is how the block is usually sewn.
"""

from dataclasses import dataclass
from functools import cache

import shapely

from quiltgeom.piecing.sewing_plan import SewingPlan
from quiltgeom.piecing.splits import Region

_GROUPS = 1000
"""Groups of patches looked into before the search takes the best found."""
_Faces = tuple[int, ...]
"""Numbers of patches, ascending."""


@dataclass(frozen=True)
class Section:
    """One paper.

    Attributes:
        order: patch numbers in the order in which they are sewn to it.
        base: patch numbers of the unit pieced before, on which it starts; none for most.
    """

    order: tuple[int, ...]
    base: tuple[int, ...] = ()


@dataclass(frozen=True)
class Foundation:
    """How a block is divided for foundation piecing.

    Attributes:
        sections: the fewest papers with single patches only, in the order of joining.
        with_bases: the fewest papers if a section may start on a pieced unit.
        proven: whether both counts are known to be the fewest.
    """

    sections: tuple[Section, ...]
    strict: int
    with_bases: int
    proven: bool


def foundation_sections(plan: SewingPlan) -> Foundation | None:
    """Sections for a block of straight seams; None where set-in, partial or curved seams rule
    foundations out.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.piecing.sewing_plan import plan_block
    >>> [foundation_sections(plan_block(load_blocks().get(k))).strict
    ...  for k in ("churn-dash", "ohio-star", "courthouse-steps")]
    [3, 5, 1]
    """
    if plan.seam_class != "straight":
        return None
    search = _Search(plan)
    faces = plan.root.faces
    strict = search.strict(faces)
    bases = min(strict, search.with_bases(faces))
    return Foundation(tuple(search.sections(faces)), strict, bases, not search.gave_up)


class _Search:
    def __init__(self, plan: SewingPlan) -> None:
        self.map, self.outlines = plan.map, plan.outlines
        self.splits, self.peel = cache(self._splits), cache(self._peel)
        self.strict, self.with_bases = cache(self._strict), cache(self._with_bases)
        self.halves: dict[_Faces, tuple[_Faces, ...]] = {}
        self.gave_up = False

    def _splits(self, faces: _Faces) -> list[tuple[_Faces, ...]]:
        region = Region(self.map, faces)
        return [s.parts for s in region.halvings(region.chords)]

    def _peel(self, faces: _Faces) -> tuple[_Faces, _Faces]:
        """(what is left, patches taken off, last sewn first). Any order gives the same rest."""
        rest, off = faces, []
        while len(rest) > 1:
            single = next((p for p in self.splits(rest) if 1 in (len(p[0]), len(p[1]))), None)
            if single is None:
                break
            small, rest = sorted(single, key=lambda p: (len(p), -self._off_centre(p, faces), p))
            off.append(small[0])
        return rest, tuple(off)

    def _off_centre(self, part: _Faces, faces: _Faces) -> float:
        """Of the last two patches the one nearer the middle of the section is where it begins."""
        if len(part) > 1:
            return 0.0
        middle = shapely.union_all([self.outlines[f].polygon for f in faces]).centroid
        return round(float(self.outlines[part[0]].polygon.centroid.distance(middle)), 9)

    def _strict(self, faces: _Faces) -> int:
        """Fewest sections of single patches."""
        if len(self.peel(faces)[0]) == 1:
            return 1
        best = None
        for parts in self._options(faces, self.strict.cache_info().currsize):
            total = 0
            for part in parts:
                total += self.strict(part)
                if best is not None and total >= best:
                    break
            if best is None or total < best:
                best, self.halves[faces] = total, parts
            if best == 2:
                break
        return best or len(faces)

    def _with_bases(self, faces: _Faces) -> int:
        """Fewest sections where one may start on a pieced unit."""
        rest, off = self.peel(faces)
        if len(rest) == 1:
            return 1
        if off:
            return min(self.strict(faces), 1 + self.with_bases(rest))
        options = self._options(faces, self.with_bases.cache_info().currsize)
        return min(sum(map(self.with_bases, parts)) for parts in options)

    def _options(self, faces: _Faces, known: int) -> list[tuple[_Faces, ...]]:
        """Ways to halve a group; beyond the limit only the sewing plan's own."""
        options = sorted(self.splits(faces), key=lambda p: max(len(p[0]), len(p[1])))
        if known > _GROUPS:
            self.gave_up = True
            return options[:1]
        return options

    def sections(self, faces: _Faces) -> list[Section]:
        rest, off = self.peel(faces)
        self.strict(faces)
        if len(rest) == 1:
            return [Section((*rest, *reversed(off)))]
        return [s for part in self.halves[faces] for s in self.sections(part)]
