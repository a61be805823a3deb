"""What must be cut for a quilt, before anybody looks for a plan."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from quiltgeom.cutting.choose import choose_units
from quiltgeom.cutting.fabric_plan import demand_of, eighths_down
from quiltgeom.cutting.fussy import fussy_units, motif_lattice
from quiltgeom.cutting.items import Demand, eighths
from quiltgeom.cutting.letters import Letters, cut_letters
from quiltgeom.cutting.on_hand import Cloths
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.stripsets import StripSet
from quiltgeom.cutting.unit import CutUnit
from quiltgeom.cutting.widths import WIDTH, Widths, width_of
from quiltgeom.cutting.yardage import bias_square, binding, binding_length
from quiltgeom.errors import QuiltKeyError
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt

__all__ = ["Wanted", "spare_strip", "wanted_units"]


@dataclass(frozen=True)
class Wanted:
    """What must be cut, before anybody looks for a plan.

    Attributes:
        units: rectangles by role, those of the binding last.
        short: the same for roles whose strips along the cloth can be more and shorter.
        widths: usable width of the cloth by role, inches.
        sets, binding_role, binding_strips: see :class:`~quiltgeom.cutting.plan.CutPlan`.
        letters: of all that is cut, the same for all lists and plans.
    """

    units: dict[str, list[CutUnit]]
    widths: dict[str, float]
    sets: tuple[StripSet, ...]
    binding_role: str
    binding_strips: int
    short: dict[str, list[CutUnit]]
    letters: Letters

    def lists(self, role: str) -> list[list[CutUnit]]:
        """The ways of cutting a role that are to be planned."""
        return [self.units[role], *([self.short[role]] if role in self.short else [])]

    def demands(self, role: str, direction: Direction) -> list[Demand]:
        """The same as the solver takes them."""
        return [demand_of(units, direction) for units in self.lists(role)]


def wanted_units(
    quilt: Quilt,
    fabrics: Mapping[str, Fabric],
    *,
    width: Widths = WIDTH,
    cloths: Mapping[str, Cloths] | None = None,
    binding_role: str | None = None,
    options: CutOptions | None = None,
    fussy: Collection[str] = (),
    narrow: bool = False,
) -> Wanted:
    """The rectangles to cut for a quilt and its binding; see
    :func:`~quiltgeom.cutting.plan.cut_plan`.

    Strips are as long as the widest cloth at hand is wide, or, if ``narrow``, the narrowest.
    """
    cloths, options = cloths or {}, options or CutOptions()
    roles = [r for r, n in quilt.count_by_role.items() if n]
    if binding_role is None:
        binding_role = "accent" if "accent" in roles else roles[-1]
    for role in [*cloths, *([binding_role] if binding_role else [])]:
        if role not in roles:
            raise QuiltKeyError(f"fabric: found role {role!r}; accepted: {', '.join(roles)}")
    pick = min if narrow else max
    widths = {r: pick((w for _, w in cloths.get(r, ())), default=width_of(width, r))
              for r in roles}  # fmt: skip
    ways = {r: fabrics[r].direction for r in roles if r in fabrics}
    windows: dict[str, list[CutUnit]] = {}
    for role in (r for r in roles if r in fussy and r in fabrics and len(cloths.get(r, ())) < 2):
        if motif_lattice(fabrics[role]):
            windows[role] = fussy_units(quilt, role, seam=options.seam)
    skip = {m.piece for us in windows.values() for u in us for m in u.members}
    chosen = choose_units(quilt, ways, widths, options, skip=skip)
    bound = _binding(quilt, widths[binding_role], options) if binding_role else []

    def whole(units: Mapping[str, list[CutUnit]], role: str) -> list[CutUnit]:
        last = (bound if role == binding_role else []) + spare_strip(widths[role], options.spare)
        return windows.get(role, []) + units[role] + last

    short: dict[str, list[CutUnit]] = {}
    if any(u.method == "slanted strip" for units in chosen.units.values() for u in units):
        others = choose_units(quilt, ways, widths, options, skip=skip, short=True).units
        short = {r: whole(others, r) for r in roles if others[r] != chosen.units[r]}
    units = {r: whole(chosen.units, r) for r in roles}
    return Wanted(units, widths, chosen.sets, binding_role, len(bound), short,
                  cut_letters(quilt, units))  # fmt: skip


def spare_strip(cloth: float, spare: float) -> list[CutUnit]:
    """A strip so wide right across the cloth, inches, that nothing is made of; none for 0."""
    if not spare:
        return []
    return [CutUnit("spare strip", eighths_down(cloth), eighths(spare), fixed=True)]


def _binding(quilt: Quilt, cloth: float, options: CutOptions) -> list[CutUnit]:
    """Straight strips across the cloth (binding shows a finger's width of its print), or squares
    for continuous bias strips."""
    strip = options.binding_strip
    made = binding(quilt.width, quilt.height, cloth=cloth, strip=strip, diagonal=True)
    if options.binding == "straight":
        return [CutUnit("binding", eighths_down(cloth), eighths(strip))] * made.strips
    need = binding_length(quilt.width, quilt.height)
    side = bias_square(need, strip, seams=True, seam=options.seam)
    number = 1
    while side > cloth:
        number += 1
        side = bias_square(need / number, strip, seams=True, seam=options.seam)
    return [CutUnit("bias binding", eighths(side), eighths(side))] * number
