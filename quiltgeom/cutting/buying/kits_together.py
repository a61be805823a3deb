"""Several kits, of one design or of several, cut together: one list of pieces for each cloth."""

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from quiltgeom.cutting.cutting_plan import CutPlan, FabricPlan, plan_list
from quiltgeom.cutting.letters import SPARE, Letters, letter
from quiltgeom.cutting.listing import CAUTION, csv_text, fabric_data, fabric_text
from quiltgeom.cutting.methods.unit import CutUnit, Member
from quiltgeom.cutting.order_lines import named
from quiltgeom.cutting.solver.solve import EFFORT
from quiltgeom.errors import QuiltValueError
from quiltgeom.files import csv_cell
from quiltgeom.model.fabric import Fabric

_MOST = 100
"""Kits, and designs times kits that are cut at once."""


@dataclass(frozen=True, slots=True)
class Owner:
    """Whose a piece is: number of the design, and of the kit of that design, both from 1; 0 for a
    spare strip, which is nobody's."""

    design: int
    kit: int


@dataclass(frozen=True)
class SharedCloth:
    """One cloth from which pieces of several kits are cut.

    Attributes:
        plan: the plan of all of them; letters begin with that of the design where there are several
            (``a-A``).
        fabric: the cloth, if its designs say.
        owners: whose each of ``plan.placed`` is, in the same order.
        roles: number of the design and its role, for each that is cut from this cloth.
        singly: what the kits take one by one, inches: to buy, or of the cloth at hand.
    """

    plan: FabricPlan
    fabric: Fabric | None
    owners: tuple[Owner, ...]
    roles: tuple[tuple[int, str], ...]
    singly: float

    @property
    def together(self) -> float:
        """What they take together, as ``singly``."""
        return _amount(self.plan)

    @property
    def sentence(self) -> str:
        """Together against one by one."""
        amount = self.plan.terms.said if self.plan.have is None else self.plan.ruler.text
        return f" Cut one by one the kits would take {amount(self.singly)}."


@dataclass(frozen=True)
class Together:
    """Kits that are cut together.

    Attributes:
        plans: of every design by itself.
        kits: of each.
        cloths: what is cut from each cloth.
    """

    plans: tuple[CutPlan, ...]
    kits: int
    cloths: tuple[SharedCloth, ...]

    @property
    def fits(self) -> bool:
        """Whether every cloth at hand is enough for all."""
        return all(c.plan.have is None or c.plan.status == "fits" for c in self.cloths)

    @property
    def title(self) -> str:
        """Designs and kits in words."""
        names, each = [p.quilt.name for p in self.plans], ""
        if len(names) > 1:
            names = [f"{_design_letter(k)}: {name}" for k, name in enumerate(names)]
            each = " of each"
        return ", ".join(names) + (f" ({self.kits} kits{each})" if self.kits > 1 else "")


def cut_together(
    plans: Sequence[CutPlan],
    fabrics: Sequence[Mapping[str, Fabric]] | None = None,
    *,
    kits: int = 1,
    seconds: float | None = None,
    effort: int = EFFORT,
) -> Together:
    """Cut so many kits of each design together: roles in the same cloth are one list of pieces.

    Cloth is the same where its picture is, or without one name and colour (without a fabric, the
    name of the role); and print direction, width and cloth at hand. Every design keeps the list of
    pieces, and the letters, of its own plan.

    Args:
        plans: a plan of each design by itself.
        fabrics: by role, for each design.
        kits: of each design.
        seconds: time limit per cloth.
        effort: as of :func:`~quiltgeom.cutting.cutting_plan.cut_plan`.

    Raises:
        QuiltValueError: no plan, or more than 100 kits in all.

    >>> from quiltgeom.cutting.cutting_plan import cut_plan
    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> one = cut_plan(lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1), {})
    >>> made = cut_together([one], kits=2)
    >>> all(c.together <= c.singly for c in made.cloths), len(made.cloths) == len(one.fabrics)
    (True, True)
    """
    if not 1 <= kits * len(plans) <= _MOST:
        raise QuiltValueError(
            f"kits: found {kits} of {len(plans)} designs; accepted: 1 to {_MOST} kits in all"
        )
    by_design = fabrics or [{}] * len(plans)
    groups: dict[object, list[tuple[int, FabricPlan]]] = {}
    for d, plan in enumerate(plans):
        for f in plan.fabrics:
            groups.setdefault(_cloth_key(f, by_design[d].get(f.role)), []).append((d, f))
    names: list[str] = []
    cloths = []
    for group in groups.values():
        d, first = group[0]
        names.append(first.name if names.count(first.name) == 0 else f"{first.name} {len(names)}")
        fabric = by_design[d].get(first.role)
        cloths.append(_shared_cloth(names[-1], fabric, group, plans, kits, (seconds, effort)))
    return Together(tuple(plans), kits, tuple(cloths))


def _cloth_key(plan: FabricPlan, fabric: Fabric | None) -> tuple[object, ...]:
    """Equal for the same cloth."""
    cloth: tuple[object, ...] = ("role", plan.role)
    if fabric is not None:
        picture = os.path.realpath(fabric.image) if fabric.image else ""
        cloth = (picture, fabric.up_deg) if picture else (fabric.name, fabric.colour)
    return *cloth, plan.direction, plan.sold, plan.given, plan.terms


def _shared_cloth(
    name: str,
    fabric: Fabric | None,
    group: Sequence[tuple[int, FabricPlan]],
    plans: Sequence[CutPlan],
    kits: int,
    limits: tuple[float | None, int],
) -> SharedCloth:
    """All pieces of one cloth as one list, the first kit's first. Their patches are numbered
    through, so that each tells whose it is; after the patches of a kit comes a number for its
    pieces without patches, the binding."""
    units, spares = list[CutUnit](), list[CutUnit]()
    letters: dict[int, str] = {}
    owner_of: dict[int, Owner] = {}
    numbers = max(len(p.quilt) for p in plans) + 1  # of one kit
    for kit in range(kits):
        for d, plan in group:
            base = (kit * len(plans) + d) * numbers
            for unit in (p.unit for p in plan.placed):
                if unit.method == "spare strip":
                    spares.append(unit)
                    continue
                mine = tuple(replace(m, piece=base + m.piece) for m in unit.members) or (
                    Member(base + numbers - 1, 0.0, 0.0, 0.0, part=0),
                )
                units.append(replace(unit, members=mine))
                head = f"{_design_letter(d)}-" if len(plans) > 1 else ""
                letters |= {m.piece: head + plan.letters.of(unit) for m in mine}
                owner_of |= {m.piece: Owner(d + 1, kit + 1) for m in mine}
    first = group[0][1]
    made = plan_list(
        name,
        fabric,
        units + spares[:1],
        width=first.sold,
        cloths=first.given,
        seconds=limits[0],
        effort=limits[1],
        terms=first.terms,
        letters=Letters(letters),
    )
    members = (p.unit.members for p in made.placed)
    owners = tuple(owner_of[m[0].piece] if m else Owner(0, 0) for m in members)
    singly = sum(_amount(f) for _, f in group) * kits
    return SharedCloth(made, fabric, owners, tuple((d + 1, f.role) for d, f in group), singly)


def _amount(plan: FabricPlan) -> float:
    return plan.buy if plan.have is None else plan.length


def _design_letter(number: int) -> str:
    return letter(number).lower()


def together_text(made: Together) -> str:
    """The whole list for people: what to buy and cut of every cloth, and whose it is."""
    lines = [f"Cut together: {made.title}", ""]
    for cloth in made.cloths:
        lines += fabric_text(cloth.plan, more=cloth.sentence)
    each = "Letters are those of each design's own list" + (
        ", after the letter of the design" if len(made.plans) > 1 else ""
    )
    sort = f"; of every line each kit gets one of {made.kits} equal parts" if made.kits > 1 else ""
    return "\n".join([*lines, f"{each}{sort}.", "", CAUTION, ""])


def together_data(made: Together) -> dict[str, Any]:
    """The plan as plain data for JSON: inches; every piece says whose it is."""
    rows = []
    for cloth in made.cloths:
        data = fabric_data(cloth.plan)
        for piece, owner in zip(data["pieces"], cloth.owners, strict=True):
            piece |= named(owner, "design kit")
        shared = [{"design": d, "role": role} for d, role in cloth.roles]
        amounts = named(cloth, "together_in=together singly_in=singly")
        rows.append(data | {"shared_by": shared} | amounts)
    about = "quilt=quilt.name width_in=quilt.width height_in=quilt.height"
    designs = [
        {"number": k} | named(p, f"{about} seam_allowance_in=options.seam")
        for k, p in enumerate(made.plans, 1)
    ]
    notes = dict.fromkeys(note for p in made.plans for note in p.notes)
    found = {"kits": made.kits, "designs": designs, "fits": made.fits, "fabrics": rows}
    return found | {"notes": list(notes), "caution": CAUTION}


def sorting_csv(made: Together) -> str:
    """Every piece in the order in which it is cut, with the design and the kit that it is for."""
    rows: list[list[object]] = [["cloth", "number", "piece", "design", "kit", "across", "along"]]
    for cloth in made.cloths:
        plan = cloth.plan
        for placed, owner in zip(plan.placed, cloth.owners, strict=True):
            whose = made.plans[owner.design - 1].quilt.name if owner.design else SPARE
            size = [plan.ruler.text(v, unit=False) for v in (placed.unit.wide, placed.unit.high)]
            piece = placed.number, plan.labels[placed.number]
            rows.append([csv_cell(plan.role), *piece, csv_cell(whose), owner.kit or "", *size])
    return csv_text(rows)
