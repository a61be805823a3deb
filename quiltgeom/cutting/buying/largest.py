"""The largest version of a pattern that the given cloth makes."""

import itertools
import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

from quiltgeom.cutting.buying.cloth_sizes import Cloths, as_cloths
from quiltgeom.cutting.buying.terms import Terms, Widths, usable_widths
from quiltgeom.cutting.buying.yardage import binding_length
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.fabric_plan import demand_of
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solver.bounds import prove_impossible
from quiltgeom.cutting.solver.budget import Budget, Progress
from quiltgeom.cutting.wanted import Variant, usual_binding, variants, wanted_units
from quiltgeom.errors import QuiltError
from quiltgeom.geometry.outline import Outline
from quiltgeom.layout.quilt_layout import block_step, finished_size, lay_out
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt
from quiltgeom.tolerance import COVER_AREA, SLIVER

Have = Mapping[str, tuple[float, float] | Cloths]

_SHARES = 6
"""A version may take a sixth of the time that is left."""

_PROOF = 10**9
"""Work of a proof that one version cannot be cut."""


@dataclass(frozen=True)
class Largest:
    """The largest version found, and what is known of larger ones.

    Attributes:
        plan: of the largest version that was found to fit.
        larger: number of larger versions.
        proved: how many of those are proved not to fit.
    """

    plan: CutPlan
    larger: int
    proved: int

    @property
    def sentence(self) -> str:
        """What is known, for people."""
        ruler = self.plan.options.ruler
        step = ruler.text(block_step(ruler))
        sizes = (
            f"larger sizes (blocks in steps of {step}, up to two rows and columns more or fewer)"
        )
        if self.proved == self.larger:
            every = f"all {self.larger} {sizes} are proved not to fit"
            return (
                f"The largest that this cloth makes: {every}, however strips are joined and "
                "triangles are cut."
            )
        return (
            f"The largest found: {self.proved} of {self.larger} {sizes} are proved not to fit, for "
            f"{self.larger - self.proved} no plan was found and no proof that there is none."
        )


def largest_version(
    pattern: Pattern,
    fabrics: Mapping[str, Fabric],
    have: Have,
    *,
    least: float = 0.5,
    most: float = 1.5,
    width: Widths = None,
    options: CutOptions | None = None,
    terms: Terms | None = None,
    binding_role: str | None = None,
    fussy: Collection[str] = (),
    seconds: float | None = None,
    effort: int = 2,
    tries: int = 40,
    near: int | None = None,
    progress: Progress | None = None,
) -> Largest | None:
    """The version with the largest top that cuts from the cloth at hand, binding included.

    Versions have blocks in quarter inches (half centimetres) and up to two rows and columns more
    or fewer than usual. Searches by halving first (smaller tops as a rule take less cloth), then
    looks at every larger version, nearest first: a proof that it cannot be cut, or a plan that is
    better.

    Args:
        pattern: the pattern.
        fabrics: by role (for the direction of the print).
        have: by role, cloth at hand; roles left out are bought.
        least, most: smallest and largest block as shares of the usual one.
        width: usable width of cloth that is bought, of all or by role.
        options, terms, binding_role, fussy: as of :func:`~quiltgeom.cutting.cutting_plan.cut_plan`.
        seconds, progress: of the whole search; see there, too.
        effort: per plan; see there, too.
        tries: at most so many larger versions are planned for which there is no proof at once.
        near: look at no more than so many larger versions, the nearest; None: at all of them.

    Returns:
        The plan that fits and what is known of larger versions; None if none was found.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> pattern = load_patterns().get("sail-loft")
    >>> cloth = {role: (5.0, 10.0) for role in pattern.roles}
    >>> largest_version(pattern, {}, cloth) is None
    True
    """
    options = options or CutOptions()
    ruler = options.ruler
    terms = replace(terms, ruler=ruler) if terms else Terms.usual(ruler)
    budget = Budget(seconds, progress=progress)
    how = width, options, terms, binding_role, fussy
    search = _Search(pattern, fabrics, have, *how, budget, effort)
    search.collect(least, most)
    low, high, best = 0, len(search.versions), None
    while low < high and not budget.over:
        middle = (low + high) // 2
        plan = search.plan(middle)
        if plan is not None:
            best, high = (middle, plan), middle
        else:
            low = middle + 1
    if best is None:
        return None
    place, plan = best
    for k in range(place - 1, -1 if near is None else max(-1, place - 1 - near), -1):
        if budget.over:
            break
        if k in search.proved or k in search.open:
            continue
        found = search.plan(k, more=tries > 0)
        tries -= k not in search.proved
        if found is not None:
            place, plan = k, found
    proved = {k for k in search.proved if k < place}
    return Largest(plan, search.too_large + place, search.too_large + len(proved))


@dataclass(frozen=True)
class _Version:
    rows: int
    columns: int
    size: float
    area: float


@lru_cache(maxsize=4096)
def _is_convex(outline: Outline) -> bool:
    polygon = outline.polygon
    return bool(polygon.convex_hull.area - polygon.area < COVER_AREA)


@dataclass
class _Search:
    """Versions of a pattern, largest first, with what is known of each."""

    pattern: Pattern
    fabrics: Mapping[str, Fabric]
    have: Have
    width: Widths
    options: CutOptions
    terms: Terms
    binding_role: str | None
    fussy: Collection[str]
    budget: Budget
    effort: int
    versions: list[_Version] = field(default_factory=list)
    too_large: int = 0
    proved: set[int] = field(default_factory=set)
    open: set[int] = field(default_factory=set)

    @cached_property
    def cloths(self) -> dict[str, Cloths]:
        """What can be used of the cloth at hand, one or several pieces alike."""
        use = self.terms.cloth
        return {role: tuple(map(use, as_cloths(given))) for role, given in self.have.items()}

    def collect(self, least: float, most: float) -> None:
        """All versions but those whose patches and allowances alone are more than the cloth."""
        p = self.pattern
        step = block_step(self.options.ruler)
        low, high = (round(p.block_size * share / step) for share in (least, most))
        for rows, columns in itertools.product(
            range(max(1, p.rows - 2), p.rows + 3), range(max(1, p.columns - 2), p.columns + 3)
        ):
            try:
                one = lay_out(p, rows=rows, columns=columns, block_size=p.block_size)
            except QuiltError:  # the pattern has no such version
                continue
            sums = self._sums(one)
            for k in range(max(1, low), high + 1):
                size = k * step
                w, h = finished_size(p, rows, columns, size)
                if self._plainly_too_large(sums, size / p.block_size, w, h):
                    self.too_large += 1
                else:
                    self.versions.append(_Version(rows, columns, size, w * h))
        self.versions.sort(key=lambda v: (-v.area, -v.size, -v.rows))

    def _sums(self, quilt: Quilt) -> dict[str, tuple[float, float, int]]:
        """By role, area of the patches; edges and number of the convex ones among them."""
        sums: dict[str, tuple[float, float, int]] = {}
        for piece in quilt:
            area, edge, n = sums.get(piece.role, (0.0, 0.0, 0))
            outline = piece.patch.outline
            if _is_convex(outline):
                edge, n = edge + outline.perimeter * piece.placement.scale, n + 1
            sums[piece.role] = (area + piece.area, edge, n)
        return sums

    def _plainly_too_large(
        self, sums: Mapping[str, tuple[float, float, int]], times: float, w: float, h: float
    ) -> bool:
        """However they are cut, patches lie two allowances apart: a convex one takes at least all
        that is within one allowance of it, A + P s + pi s^2 (of others A is counted, which is
        less). The binding takes its length times its width."""
        seam, bound = self.options.seam, self.binding_role
        if bound is None:
            bound = usual_binding([*sums])
        for role, cloths in self.cloths.items():
            area, edge, n = sums.get(role, (0.0, 0.0, 0))
            need = area * times**2 + edge * times * seam + math.pi * seam**2 * n
            if role == bound:
                need += binding_length(w, h) * self.options.binding_strip
            if need > sum(length * across for length, across in cloths) + SLIVER:
                return True
        return False

    def plan(self, k: int, *, more: bool = True) -> CutPlan | None:
        """A plan of this version that fits; else None, and perhaps a proof that there is none.

        Without ``more`` only the quick proofs are tried.
        """
        v = self.versions[k]
        try:
            quilt = lay_out(self.pattern, rows=v.rows, columns=v.columns, block_size=v.size)
        except QuiltError:
            self.proved.add(k)
            return None
        given = {r: c for r, c in self.have.items() if quilt.count_by_role.get(r)}
        cloths = {r: self.cloths[r] for r in given}
        if all(self._proved(quilt, cloths, v) for v in variants(quilt, self.options, cloths)):
            self.proved.add(k)
            return None
        if not more:
            self.open.add(k)
            return None
        made = cut_plan(
            quilt,
            self.fabrics,
            width=self.width,
            have=given,
            binding_role=self.binding_role,
            effort=self.effort,
            options=self.options,
            terms=self.terms,
            fussy=self.fussy,
            budget=self.budget.part(0, _SHARES),
            whole=False,
        )
        if any(f.status == "impossible" for f in made.fabrics):
            self.proved.add(k)
        elif not made.fits:
            self.open.add(k)
        return made if made.fits else None

    def _proved(self, quilt: Quilt, given: Mapping[str, Cloths], some: Variant) -> bool:
        """Whether a quick proof tells that one choice of methods does not do, however strips are
        joined."""
        try:
            wanted = wanted_units(
                quilt,
                self.fabrics,
                width=usable_widths(self.width, quilt, self.terms),
                cloths=given,
                binding_role=self.binding_role,
                options=some.options,
                fussy=self.fussy,
                narrow=some.narrow,
            )
        except QuiltError:
            if not some.words:
                raise
            return True  # nothing is to be cut that way
        for role, cloths in given.items():
            way = self.fabrics[role].direction if role in self.fabrics else "non-directional"
            down = self.options.ruler.down
            sizes = [(down(w), down(n)) for n, w in cloths]
            budget = self.budget.part(0, _SHARES, work=_PROOF)
            every = [demand_of(w.units, way) for w in wanted.ways[role]]
            if all(prove_impossible(d, sizes, rounds=1, budget=budget) for d in every):
                return True
        return False
