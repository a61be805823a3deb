"""What a plan leaves of cloth on hand, written into the index of it."""

import hashlib
import json
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from quiltgeom.cutting.buying.cloth_sizes import ClothSize
from quiltgeom.cutting.cutting_plan import CutPlan, FabricPlan
from quiltgeom.cutting.listing import plan_data
from quiltgeom.cutting.order import leftovers
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.model.fabric import Fabric
from quiltgeom.onhand import put_back as on_hand
from quiltgeom.onhand.index import OnHand, Swatch, open_index
from quiltgeom.outputs.manifest import digest


def put_back(
    plan: CutPlan, fabrics: Mapping[str, Fabric], place: str | Path
) -> tuple[on_hand.CutCloth, ...]:
    """Write what a plan from cloth at hand leaves in place of what was there; see
    :func:`quiltgeom.onhand.put_back.put_back`.

    A role's swatch is the one of its picture (by path, or by its bytes), or of its fabric's name.

    Returns:
        Each swatch with what was cut and what is left.

    Raises:
        QuiltValueError: nothing is cut from cloth at hand, or it is not enough.
        QuiltKeyError: a fabric that the index does not have.
    """
    used = [f for f in plan.fabrics if f.have is not None]
    if not used or not plan.fits:
        found = "a plan that does not fit" if used else "no cloth at hand"
        raise QuiltValueError(f"put back: found {found}; accepted: have= with enough cloth")
    with open_index(place) as index:
        cuts: dict[int, on_hand.CutCloth] = {}
        for f in used:
            swatch = _swatch(index, f.role, fabrics.get(f.role))
            cut = cuts.get(swatch.id, on_hand.CutCloth(swatch, (), ()))
            left = sorted([*cut.left, *cloth_left(f)], key=_size_key)
            cuts[swatch.id] = replace(cut, before=(*cut.before, *f.given), left=tuple(left))
        made = tuple(cuts.values())
        on_hand.put_back(index, made, plan_name(plan))
    return made


def plan_name(plan: CutPlan) -> str:
    """The quilt's name, and the beginning of the SHA-256 of the plan's data."""
    data = json.dumps(plan_data(plan), sort_keys=True).encode()
    return f"{plan.quilt.name} (plan {hashlib.sha256(data).hexdigest()[:8]})"


def cloth_left(plan: FabricPlan) -> list[ClothSize]:
    """The pieces of the cloth at hand that are left: those that were not touched as they are,
    of the others what is 2 in wide or more, without what straightening and washing took."""
    cut = {p.cloth for p in plan.placed}
    whole = [c for k, c in enumerate(plan.given) if k not in cut]
    parts = [ClothSize(r.height, r.width) for r in leftovers(plan) if r.cloth in cut]
    return sorted([*whole, *parts], key=_size_key)


def _size_key(size: tuple[float, float]) -> tuple[float, float]:
    return -size[0] * size[1], -size[0]


def _swatch(index: OnHand, role: str, fabric: Fabric | None) -> Swatch:
    if fabric is None:
        raise QuiltValueError(
            f"put back: found no fabric for {role}; accepted: a design whose fabric is in the index"
        )
    if fabric.image is not None:
        with suppress(QuiltKeyError):
            return index.find(str(fabric.image))
        same = [s for s in index.swatches() if s.digest == digest(fabric.image)]
        if len(same) == 1:
            return same[0]
    return index.find(fabric.name)
