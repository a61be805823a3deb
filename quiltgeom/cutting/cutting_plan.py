"""The cutting plan of a whole quilt: per fabric what to buy, what to cut, and where it lies."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial

from quiltgeom.checks import brief
from quiltgeom.cutting.as_cut import CutPatch, assemble, cut_patches
from quiltgeom.cutting.as_sewn import as_sewn
from quiltgeom.cutting.buying.cloth_sizes import Cloths, as_cloths
from quiltgeom.cutting.buying.terms import Terms, Widths, usable_widths, width_of
from quiltgeom.cutting.fabric_plan import FabricPlan, PlacedUnit
from quiltgeom.cutting.letters import Letters
from quiltgeom.cutting.methods.stripsets import StripSet
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.one_fabric import FabricSearch
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solver.budget import Budget, Progress
from quiltgeom.cutting.solver.solve import EFFORT
from quiltgeom.cutting.wanted import CutList, Wanted, variants, wanted_units
from quiltgeom.errors import QuiltValueError
from quiltgeom.model.fabric import Fabric, undeclared_note
from quiltgeom.model.quilt import Quilt

__all__ = ["CutPlan", "FabricPlan", "PlacedUnit", "Wanted", "cut_plan", "plan_list", "wanted_units"]


@dataclass(frozen=True, repr=False)
class CutPlan:
    """The cutting plan of a quilt, fabric by fabric.

    Attributes:
        quilt: what it makes.
        fabrics: one plan per role.
        binding_role: role of the binding, ``""`` without one.
        options: the maker's choices.
        sets: strip sets that are sewn from some of the strips.
        trims: what is trimmed when it is sewn, in words; see
            ``quiltgeom.piecing.seam_check.sews_together.with_trims``.
        ways: ways of cutting that were tried beside the options, where cloth was scarce.
    """

    quilt: Quilt
    fabrics: tuple[FabricPlan, ...]
    binding_role: str
    options: CutOptions = field(default_factory=CutOptions)
    sets: tuple[StripSet, ...] = ()
    trims: tuple[str, ...] = ()
    ways: tuple[str, ...] = ()

    def __repr__(self) -> str:
        cloths = ", ".join(f"{f.role}: {f.ruler.text(f.length)}" for f in self.fabrics)
        return brief(f"CutPlan {self.quilt.pattern or self.quilt.name}, {cloths}")

    @property
    def binding_strips(self) -> int:
        """Number of strips (or squares, on the bias) of the binding."""
        return sum(
            p.unit.method in ("binding", "bias binding") for f in self.fabrics for p in f.placed
        )

    @cached_property
    def letters(self) -> Letters:
        """Of all that is cut, with the sizes to which this plan cuts it."""
        units = (p.unit for f in self.fabrics for p in f.placed)
        known = self.fabrics[0].letters
        return replace(known, sewn={**known.sewn, **as_sewn(self.quilt, units, self.options.seam)})

    @property
    def notes(self) -> tuple[str, ...]:
        """For every cloth that is kept upright only because nobody declared it: how to."""
        return tuple(undeclared_note(f.role, f.name) for f in self.fabrics if not f.declared)

    @property
    def fits(self) -> bool:
        """Whether every fabric that is at hand is enough."""
        return all(f.have is None or f.status == "fits" for f in self.fabrics)

    def as_cut(self) -> tuple[Quilt, dict[int, tuple[float, float]]]:
        """The quilt as this plan makes it: how each cloth lies, and its place on the cloth.

        Returns:
            The quilt with the plan's lies, and by piece index the point of the cloth at the
            middle of the patch (inches, print upright). Strips joined end to end become their
            lengths: the first keeps its number, the others come last.
        """
        return assemble(self.quilt, self.patches)

    @cached_property
    def patches(self) -> tuple[CutPatch, ...]:
        """Every patch with its place on the cloth, fabric by fabric, in cutting order."""
        rows = (cut_patches(self.quilt, f.placed) for f in self.fabrics)
        return tuple(p for row in rows for p in row)


def cut_plan(
    quilt: Quilt,
    fabrics: Mapping[str, Fabric],
    *,
    width: Widths = None,
    have: Mapping[str, tuple[float, float] | Cloths] | None = None,
    binding_role: str | None = None,
    seconds: float | None = None,
    effort: int = EFFORT,
    options: CutOptions | None = None,
    terms: Terms | None = None,
    fussy: Collection[str] = (),
    progress: Progress | None = None,
    budget: Budget | None = None,
    whole: bool = True,
) -> CutPlan:
    """Plan the cutting of a quilt, binding included.

    Args:
        quilt: the laid-out quilt.
        fabrics: by role; a role without one is cloth without direction.
        width: usable width of the cloth to buy, inches: of all, or by role (40, or 100 cm, for
            those left out, unless ``"*"`` says otherwise).
        have: by role, cloth at hand as ``(length along the selvage, width across)``, inches, or
            several such pieces, before straightening and washing.
        binding_role: fabric of the binding (default ``accent``, else the last role); ``""``
            leaves the binding out.
        seconds: time limit for all fabrics together; None: none, and the same plan on every
            machine.
        effort: searches per fabric; see :func:`~quiltgeom.cutting.solver.solve.shortest`.
        options: methods and other choices of the maker.
        terms: how the shop sells cloth, and what straightening and washing take, of cloth at hand,
            too.
        fussy: roles whose patches are centred on the motif of their fabric, where its repeat is
            known and the cloth is in one piece.
        progress: called very often with the share that is done and the role that is being planned;
            where it returns ``True``, each fabric has the best plan so far, and its bound.
        budget: instead of ``seconds`` and ``progress``: a part of a larger one.
        whole: plan every fabric; ``False``: none after the first that is not to be cut from the
            cloth at hand.

    Raises:
        QuiltKeyError: a role that the quilt does not have.
        QuiltValueError: a method for a role with nothing to be cut that way; cloth of which nothing
            can be used; a patch that is wider than the cloth to buy.

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1)
    >>> plan = cut_plan(quilt, {})
    >>> sum(len(p.unit.members) for f in plan.fabrics for p in f.placed) >= len(quilt)
    True
    """
    budget, options = budget or Budget(seconds, progress=progress), options or CutOptions()
    ruler = options.ruler
    terms = replace(terms, ruler=ruler) if terms else Terms.usual(ruler)
    given = {role: as_cloths(c) for role, c in (have or {}).items()}
    cloths = {role: tuple(map(terms.cloth, c)) for role, c in given.items()}
    widths = usable_widths(width, quilt, terms)
    best: CutPlan | None = None
    tried: list[CutPlan] = []
    units = partial(wanted_units, quilt, fabrics, width=widths, cloths=cloths)
    units = partial(units, binding_role=binding_role, fussy=fussy)
    for some in variants(quilt, options, cloths):
        try:
            wanted = units(options=some.options, narrow=some.narrow)
        except QuiltValueError:
            if best is None:
                raise
            continue  # nothing is to be cut that way
        count, made = len(wanted.ways), {}
        scarce = [f.role for f in best.fabrics if f.status != "fits"] if best else []
        order = sorted(wanted.ways, key=lambda r: (r not in scarce, r not in given))
        for k, role in enumerate(order):
            part, manner = budget.part(k, count, role), some.options.manner
            cloth = fabrics.get(role), wanted, cloths.get(role, ()), terms
            found = FabricSearch(role, *cloth, effort, manner, part).plan()
            sold = None if role in given else width_of(width, role, ruler)
            made[role] = replace(found, given=given.get(role, ()), sold=sold)
            if role in given and found.status != "fits" and (role in scarce or not whole):
                break
        planned = tuple(made[r] for r in wanted.ways if r in made)
        plan = CutPlan(
            quilt, planned, wanted.binding_role, some.options, wanted.sets, ways=(some.words,)
        )
        tried.append(plan)
        if best is None or (len(made) == count and _fitting(plan) > _fitting(best)):
            best = plan
        if best.fits or budget.stopped:
            break
    if best is None:
        raise QuiltValueError("cutting: found no fabric; accepted: a quilt with patches")
    return _with_findings(best, tried)


def _with_findings(best: CutPlan, tried: Sequence[CutPlan]) -> CutPlan:
    """The plan, with all that was tried; what one variant leaves open is not proved."""
    unproved = {f.role for plan in tried for f in plan.fabrics if not f.proved}
    return replace(
        best,
        ways=tuple(w for plan in tried for w in plan.ways if w),
        fabrics=tuple(replace(f, proved=f.proved and f.role not in unproved) for f in best.fabrics),
    )


def _fitting(plan: CutPlan) -> int:
    return sum(f.status == "fits" for f in plan.fabrics)


def plan_list(
    role: str,
    fabric: Fabric | None,
    units: Sequence[CutUnit],
    *,
    width: float | None = None,
    cloths: tuple[float, float] | Cloths = (),
    seconds: float | None = None,
    effort: int = EFFORT,
    terms: Terms | None = None,
    letters: Letters | None = None,
) -> FabricPlan:
    """Plan one list of rectangles on one fabric, whoever made the list.

    Args:
        role: what it is for; the name of the fabric, if there is none.
        fabric: for its name, the way of its print and its repeat.
        units: the rectangles.
        width: of cloth to buy, inches.
        cloths: cloth at hand as of :func:`cut_plan`; none: it is bought.
        seconds, effort, terms: as of :func:`cut_plan`; the rectangles are cut by the ruler of the
            terms.
        letters: of the rectangles.

    >>> plan_list("aprons", None, [CutUnit("rectangle", 80, 80)] * 4).buy
    13.5
    """
    terms, given = terms or Terms(), as_cloths(cloths)
    width = width or terms.ruler.width
    usable = tuple(map(terms.cloth, given))
    across = max((c.width for c in usable), default=terms.across(width))
    lists = {role: [CutList(list(units))]}
    wanted = Wanted(lists, lists, {role: across}, (), "", letters or Letters())
    search = FabricSearch(role, fabric, wanted, usable, terms, effort, "auto", Budget(seconds))
    return replace(search.plan(), given=given, sold=None if given else width)
