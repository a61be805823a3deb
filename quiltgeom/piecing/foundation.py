"""Foundation (paper) piecing: on how many papers a block can be sewn, and in which order.

A *section* is a group of patches that can be sewn to one paper in numbered order: each new patch
joins everything sewn before it along one straight seam from edge to edge, is flipped open and
pressed. Two counts are given:

* ``strict``: every numbered piece is a single patch; finished sections are then sewn together;
* ``with_bases``: a section may start from a unit that was pieced before (its base counts as so
  many sections itself). Where it is smaller, that is how the block is usually sewn.
"""

from dataclasses import dataclass

import shapely

from quiltgeom.piecing.sewing_plan import SewingPlan
from quiltgeom.piecing.splits import Region

_GROUPS = 1000
"""Groups of patches looked into before the search settles for the best found."""


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
        self.known_splits: dict[tuple[int, ...], list[tuple[tuple[int, ...], ...]]] = {}
        self.peeled: dict[tuple[int, ...], tuple[tuple[int, ...], tuple[int, ...]]] = {}
        self.costs: dict[tuple[int, ...], int] = {}
        self.halves: dict[tuple[int, ...], tuple[tuple[int, ...], ...]] = {}
        self.loose: dict[tuple[int, ...], int] = {}
        self.gave_up = False

    def splits(self, faces: tuple[int, ...]) -> list[tuple[tuple[int, ...], ...]]:
        if faces not in self.known_splits:
            region = Region(self.map, faces)
            made = [s.parts for s in map(region.split, region.chords) if s]
            self.known_splits[faces] = [p for p in made if len(p) == 2]
        return self.known_splits[faces]

    def peel(self, faces: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """(what is left, patches taken off, last sewn first). Any order gives the same rest."""
        if faces not in self.peeled:
            rest, off = faces, []
            while len(rest) > 1:
                single = next((p for p in self.splits(rest) if 1 in (len(p[0]), len(p[1]))), None)
                if single is None:
                    break
                small, rest = sorted(single, key=lambda p: (len(p), -self._off_centre(p, faces), p))
                off.append(small[0])
            self.peeled[faces] = (rest, tuple(off))
        return self.peeled[faces]

    def _off_centre(self, part: tuple[int, ...], faces: tuple[int, ...]) -> float:
        """Of the last two patches the one nearer the middle of the section is where it begins."""
        if len(part) > 1:
            return 0.0
        middle = shapely.union_all([self.outlines[f].polygon for f in faces]).centroid
        return round(float(self.outlines[part[0]].polygon.centroid.distance(middle)), 9)

    def strict(self, faces: tuple[int, ...]) -> int:
        """Fewest sections of single patches."""
        if faces not in self.costs:
            if len(self.peel(faces)[0]) == 1:
                self.costs[faces] = 1
            else:
                options = self._options(faces, self.costs)
                best = None
                for parts in options:
                    total = 0
                    for part in parts:
                        total += self.strict(part)
                        if best is not None and total >= best:
                            break
                    if best is None or total < best:
                        best, self.halves[faces] = total, parts
                    if best == 2:
                        break
                self.costs[faces] = best or len(faces)
        return self.costs[faces]

    def with_bases(self, faces: tuple[int, ...]) -> int:
        """Fewest sections where one may start on a pieced unit."""
        if faces not in self.loose:
            rest, off = self.peel(faces)
            if len(rest) == 1:
                self.loose[faces] = 1
            elif off:
                self.loose[faces] = min(self.strict(faces), 1 + self.with_bases(rest))
            else:
                options = self._options(faces, self.loose)
                self.loose[faces] = min(sum(self.with_bases(p) for p in parts) for parts in options)
        return self.loose[faces]

    def _options(
        self, faces: tuple[int, ...], known: dict[tuple[int, ...], int]
    ) -> list[tuple[tuple[int, ...], ...]]:
        """Ways to halve a group; beyond the limit only the sewing plan's own."""
        options = sorted(self.splits(faces), key=lambda p: max(len(p[0]), len(p[1])))
        if len(known) > _GROUPS:
            self.gave_up = True
            return options[:1]
        return options

    def sections(self, faces: tuple[int, ...]) -> list[Section]:
        rest, off = self.peel(faces)
        self.strict(faces)
        if len(rest) == 1:
            return [Section((*rest, *reversed(off)))]
        return [s for part in self.halves[faces] for s in self.sections(part)]
