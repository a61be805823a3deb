"""What must be cut for a quilt, before anybody looks for a plan."""

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from quiltgeom.cutting.buying.cloth_sizes import Cloths
from quiltgeom.cutting.buying.terms import Widths, width_of
from quiltgeom.cutting.fabric_plan import unit_key
from quiltgeom.cutting.letters import Letters, cut_letters
from quiltgeom.cutting.methods.choose import Chosen, choose_units, tallest_first
from quiltgeom.cutting.methods.constants import has_trade_constants
from quiltgeom.cutting.methods.cut_shapes import TURNS
from quiltgeom.cutting.methods.fussy import fussy_units, motif_lattice
from quiltgeom.cutting.methods.joins import (
    Joins,
    binding_units,
    easy_joins,
    longest_strips,
    strip_units,
    thrifty_joins,
)
from quiltgeom.cutting.methods.stripsets import StripSet
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.options import CutOptions
from quiltgeom.errors import QuiltKeyError
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.units import Ruler


@dataclass(frozen=True)
class CutList:
    """Everything that is cut from one fabric, one way of cutting it.

    Attributes:
        units: rectangles, those of the binding last.
        words: where strips are joined and which way they lie, and the same of the binding; ``""``
            for what there is not.
    """

    units: list[CutUnit]
    words: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class Wanted:
    """What must be cut, before anybody looks for a plan.

    Attributes:
        ways: by role, the accepted ways of cutting it, those with the fewest joins first.
        easy: by role, the ways that are easy to cut; last those with slanted strips that are
            longer than a ruler, for which the cloth is opened.
        widths: usable width of the cloth by role, inches.
        sets, binding_role: see :class:`~quiltgeom.cutting.cutting_plan.CutPlan`.
        letters: of all that is cut, the same for all ways.
    """

    ways: dict[str, list[CutList]]
    easy: dict[str, list[CutList]]
    widths: dict[str, float]
    sets: tuple[StripSet, ...]
    binding_role: str
    letters: Letters

    @property
    def units(self) -> dict[str, list[CutUnit]]:
        """The rectangles by role, in the way with the fewest joins."""
        return {role: ways[0].units for role, ways in self.ways.items()}


def wanted_units(
    quilt: Quilt,
    fabrics: Mapping[str, Fabric],
    *,
    width: Widths = None,
    cloths: Mapping[str, Cloths] | None = None,
    binding_role: str | None = None,
    options: CutOptions | None = None,
    fussy: Collection[str] = (),
    narrow: bool = False,
) -> Wanted:
    """The rectangles to cut for a quilt and its binding, in every way that is accepted; see
    :func:`~quiltgeom.cutting.cutting_plan.cut_plan`.

    Strips are as long as the widest cloth at hand is wide, or, if ``narrow``, the narrowest.
    """
    cloths, options = cloths or {}, options or CutOptions()
    roles = [r for r, n in quilt.count_by_role.items() if n]
    if binding_role is None:
        binding_role = usual_binding(roles)
    for role in [*cloths, *([binding_role] if binding_role else [])]:
        if role not in roles:
            raise QuiltKeyError(f"fabric: found role {role!r}; accepted: {', '.join(roles)}")
    pick = min if narrow else max
    widths = {
        r: pick((w for _, w in cloths.get(r, ())), default=width_of(width, r, options.ruler))
        for r in roles
    }
    ways = {r: fabrics[r].direction for r in roles if r in fabrics}
    windows: dict[str, list[CutUnit]] = {}
    for role in (r for r in roles if r in fussy and r in fabrics and len(cloths.get(r, ())) < 2):
        if motif_lattice(fabrics[role]):
            windows[role] = fussy_units(quilt, role, options)
    skip = {m.piece for us in windows.values() for u in us for m in u.members}
    shared = _Shared(quilt, options, ways, binding_role, windows)
    choose = partial(choose_units, quilt, ways, widths, options, skip=skip)
    chosen, others = choose(), list[Chosen]()
    if any(u.method == "slanted strip" for units in chosen.units.values() for u in units):
        others = [choose(short=most) for most in (math.inf, options.ruler.reach)]
    lists: dict[str, list[CutList]] = {}
    easy: dict[str, list[CutList]] = {}
    for role in roles:
        length = max((n for n, _ in cloths.get(role, ())), default=math.inf)
        size = widths[role], length
        joins, simple = shared.joins(role, chosen, size)
        both = [(some, 4 if some in others else None) for some in (chosen, *others[:1])]
        thrifty = [(some, j) for some, most in both for j in joins[:most]]
        easy_ways = [(some, j) for some in others[::-1] or [chosen] for j in simple]
        lists[role] = _different(shared.whole(role, *way, size) for way in thrifty)
        easy[role] = _different(shared.whole(role, *way, size) for way in easy_ways)
    first = {r: ways[0].units for r, ways in lists.items()}
    letters = cut_letters(quilt, first, seam=options.seam)
    return Wanted(lists, easy, widths, chosen.sets, binding_role, letters)


def usual_binding(roles: Sequence[str]) -> str:
    """The role that binds a quilt unless its maker says otherwise."""
    return "accent" if "accent" in roles else roles[-1]


def _different(lists: Iterable[CutList]) -> list[CutList]:
    """Lists of other rectangles than those before them."""
    known: dict[object, CutList] = {}
    for one in lists:
        known.setdefault(tuple(sorted(map(unit_key, one.units))), one)
    return list(known.values())


@dataclass(frozen=True)
class _Shared:
    """What all ways of cutting a quilt have in common."""

    quilt: Quilt
    options: CutOptions
    directions: Mapping[str, Direction]
    binding_role: str
    windows: Mapping[str, list[CutUnit]]

    def way(self, role: str) -> Direction:
        return self.directions.get(role, "non-directional")

    def joins(
        self, role: str, chosen: Chosen, cloth: tuple[float, float]
    ) -> tuple[list[Joins], list[Joins]]:
        """The ways of joining its strips and its binding, and those that are easy; without those
        whose binding would be no longer than it is wide, if there are others."""
        bound = role == self.binding_role and self.options.binding == "straight"
        strip = self.options.binding_strip if bound else 0.0
        longest = longest_strips(chosen.strips[role], self.way(role), self.options)
        turn = len(TURNS[self.way(role)]) == 4
        ways = thrifty_joins(cloth, self.options, turn=turn, longest=longest, binding=strip)
        useful = [j for j in ways if not bound or j.bound > strip]
        easy = easy_joins(cloth, longest[0], self.options)
        return useful or ways, [j for j in easy if not bound or j.bound > strip]

    def whole(self, role: str, chosen: Chosen, joins: Joins, cloth: tuple[float, float]) -> CutList:
        """All that is cut from a fabric, one way."""
        strips = strip_units(chosen.strips[role], self.way(role), joins, self.options)
        own = tallest_first([*chosen.units[role], *strips])
        bound = []
        if role == self.binding_role:
            bound = binding_units(self.quilt, joins, self.options, cloth[0])
        straight = bound and self.options.binding == "straight"
        ruler = self.options.ruler
        strip_words = joins.strips_text(ruler) if strips else ""
        binding_words = joins.binding_text(ruler) if straight else ""
        spare = spare_strip(cloth[0], self.options.spare, ruler)
        units = [*self.windows.get(role, []), *own, *bound, *spare]
        return CutList(units, (strip_words, binding_words))


def spare_strip(cloth: float, spare: float, ruler: Ruler) -> list[CutUnit]:
    """A strip so wide right across the cloth, inches, that nothing is made of; none for 0."""
    if not spare:
        return []
    return [CutUnit("spare strip", ruler.down(cloth), ruler.up(spare), fixed=True, ruler=ruler)]


@dataclass(frozen=True, slots=True)
class Variant:
    """One choice of methods.

    Attributes:
        options: the maker's, or others.
        narrow: strips no longer than the narrowest of several cloths is wide.
        words: what is different, for people; ``""`` for the maker's own choices.
    """

    options: CutOptions
    narrow: bool = False
    words: str = ""


def variants(quilt: Quilt, options: CutOptions, cloths: Mapping[str, Cloths]) -> Iterator[Variant]:
    """The maker's choices; after them, for cloth at hand, others that may need less: strips for
    the narrowest cloth, exact constants, corners folded over wherever that can be, or nowhere.

    (Triangles two, four or eight at a time never need less cloth than squares cut once: a pair of
    squares gives as many triangles of both fabrics, and the larger squares hold no more than the
    small ones side by side.)

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("sail-loft"))
    >>> [v.words for v in variants(quilt, CutOptions(), {})]
    ['']
    """
    yield Variant(options)
    if not cloths:
        return
    if any(len({w for _, w in c}) > 1 for c in cloths.values()):
        yield Variant(options, True, "strips as long as the narrowest cloth is wide")
    if options.rule == "trade" and has_trade_constants(options.seam):
        yield Variant(replace(options, rule="exact"), words="triangles by the exact constants")
    triangles = any(len(p.patch.outline.points) == 3 for p in quilt)
    sliced = any(r.cut == "strip" for r in quilt.roles.values())
    changes = {"flip": triangles, "squares": triangles or sliced}
    free = [r for r, n in quilt.count_by_role.items() if n and options.method(r) == "auto"]
    for method, words in (("flip", "corners folded over"), ("squares", "patch by patch")):
        methods = {**options.methods, **dict.fromkeys(free, method)}
        if free and changes[method]:
            yield Variant(replace(options, methods=methods), words=words)
