"""The cheapest of several bolts for every fabric of a quilt."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from quiltgeom.cutting.buying.offers import Bolt, Offer
from quiltgeom.cutting.buying.terms import Widths, width_of
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.fabric_plan import FabricPlan
from quiltgeom.cutting.options import CutOptions
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.units import INCHES


def cheapest_plan(
    quilt: Quilt,
    fabrics: Mapping[str, Fabric],
    bolts: Mapping[str, Sequence[Bolt]],
    *,
    width: Widths = None,
    have: Mapping[str, Any] | None = None,
    seconds: float | None = None,
    options: CutOptions | None = None,
    **cutting: Any,
) -> CutPlan:
    """Plan every role on every width that there is of it, and take the cheapest.

    Price times length to buy decides; of equal ones the less cloth, then the narrower. As methods
    may join fabrics, the whole plan is counted again at the widths chosen, and no plan that was
    looked at on the way is cheaper.

    Args:
        bolts: by role, or ``"*"`` for every role without bolts of its own. A role without any is
            bought at its ``width``; one with cloth at hand is not bought.
        seconds: time limit; the plans share it.
        quilt, fabrics, width, have, options, cutting: as of
            :func:`~quiltgeom.cutting.cutting_plan.cut_plan`.

    Returns:
        The plan; its fabrics' ``offers`` say what every bolt would cost.

    Raises:
        QuiltKeyError: bolts for a role that the quilt does not have.
        QuiltValueError: pieces wider than the widest bolt.

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1)
    >>> plan = cheapest_plan(quilt, {}, {"*": [Bolt(42, 12), Bolt(60, 12)]}, effort=1)
    >>> [f.sold for f in plan.fabrics], len(plan.fabrics[0].offers)
    ([42, 42, 60], 2)
    """
    choices = _choices(quilt, bolts, have or {})
    number = 2 + sum(len(c) - 1 for c in choices.values())
    share = None if seconds is None else seconds / number

    def planned(chosen: Mapping[str, Bolt]) -> CutPlan:
        ruler = options.ruler if options else INCHES
        widths = {r: width_of(width, r, ruler) for r in quilt.roles}
        how = cutting | {"width": widths | {r: b.width for r, b in chosen.items()}}
        return cut_plan(quilt, fabrics, have=have, seconds=share, options=options, **how)

    widest = {role: max(found) for role, found in choices.items()}
    tried = [(widest, planned(widest))]
    offers: dict[str, list[Offer]] = {}
    for role, found in choices.items():
        for bolt in found:
            chosen = widest | {role: bolt}
            try:
                plan = tried[0][1] if bolt == widest[role] else planned(chosen)
                tried.append((chosen, plan))
                offer = _offer(_fabric(plan, role), bolt)
            except QuiltValueError as e:
                offer = Offer(bolt, None, float("inf"), str(e).partition("; accepted")[0])
            offers.setdefault(role, []).append(offer)
    cheapest = {role: min(found, key=lambda o: o.key).bolt for role, found in offers.items()}
    tried.append((cheapest, planned(cheapest)))
    chosen, best = min(tried, key=lambda s: _total(*s))
    return replace(best, fabrics=tuple(_with(f, offers.get(f.role), chosen) for f in best.fabrics))


def _choices(
    quilt: Quilt, bolts: Mapping[str, Sequence[Bolt]], have: Mapping[str, Any]
) -> dict[str, list[Bolt]]:
    """The bolts of every role that is bought: of equal widths the cheaper."""
    roles = [r for r, n in quilt.count_by_role.items() if n]
    for role in bolts:
        if role != "*" and role not in quilt.roles:
            raise QuiltKeyError(f"bolt: found role {role!r}; accepted: {', '.join(roles)}")
    out = {}
    for role in (r for r in roles if r not in have):
        found = {b.width: b for b in sorted(bolts.get(role) or bolts.get("*") or (), reverse=True)}
        if found:
            out[role] = sorted(found.values())
    return out


def _fabric(plan: CutPlan, role: str) -> FabricPlan:
    return next(f for f in plan.fabrics if f.role == role)


def _offer(fabric: FabricPlan, bolt: Bolt) -> Offer:
    return Offer(bolt, fabric.buy, fabric.terms.cost(bolt.price, fabric.buy))


def _total(chosen: Mapping[str, Bolt], plan: CutPlan) -> tuple[float, ...]:
    keys = [_offer(_fabric(plan, r), b).key for r, b in chosen.items()]
    return tuple(round(sum(k), 6) for k in zip(*keys, strict=True))


def _with(
    fabric: FabricPlan, offers: Sequence[Offer] | None, chosen: Mapping[str, Bolt]
) -> FabricPlan:
    """The fabric with its offers: of the bolt that is taken, as this plan has it."""
    if not offers:
        return fabric
    mine = _offer(fabric, chosen[fabric.role])
    others = sorted((o for o in offers if o.bolt != mine.bolt), key=lambda o: o.key)
    return replace(fabric, offers=(mine, *others))
