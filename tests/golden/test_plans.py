"""Cutting plans of small quilts: what is cut by each method, and the lengths on each cloth."""

from __future__ import annotations

from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.plan import CutPlan, cut_plan
from quiltgeom.cutting.terms import Terms
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt
from tests.golden.facts import plan_facts, small


def planned(
    quilt: Quilt, direction: Direction = "non-directional", *, options: CutOptions | None = None,
    **more: Any,
) -> CutPlan:  # fmt: skip
    fabrics = {r: Fabric(r, colour="#88aacc", direction=direction) for r in quilt.roles}
    return cut_plan(quilt, fabrics, options=options, **more)


METHODS: dict[str, tuple[str, dict[str, str]]] = {
    "auto, strip sets": ("net-menders-chain", {}),
    "squares": ("sail-loft", {"accent": "squares", "background": "squares"}),
    "pairs": ("sail-loft", {"accent": "pairs"}),
    "fours": ("sail-loft", {"accent": "fours"}),
    "eights": ("sail-loft", {"accent": "eights"}),
    "geese": ("tide-tables", {"accent": "geese"}),
    "flip": ("lemon-crates", {"focus": "flip"}),
    "strips": ("rope-walk", {"accent": "strips"}),
    "templates": ("sail-loft", {"accent": "templates"}),
    "foundation": ("sail-loft", {"accent": "foundation"}),
    "curves by template": ("slipway", {}),
}


@pytest.mark.parametrize("name", METHODS)
def test_method(name: str, golden: SnapshotAssertion) -> None:
    key, methods = METHODS[name]
    columns = 3 if key == "tide-tables" else 2
    assert plan_facts(planned(small(key, 2, columns), options=CutOptions(methods))) == golden


OPTIONS = {
    "exact constants": CutOptions(rule="exact"),
    "lengthwise borders": CutOptions(lengthwise=("accent",)),
    "bias binding": CutOptions(binding="bias"),
    "seam of three eighths": CutOptions(seam=0.375),
}


@pytest.mark.parametrize("name", OPTIONS)
def test_option(name: str, golden: SnapshotAssertion) -> None:
    assert plan_facts(planned(small("gull-cove", 2, 2), options=OPTIONS[name])) == golden


def test_strips_of_a_mitred_border(golden: SnapshotAssertion) -> None:
    found = {}
    for extra in (0.0, 2.0):
        plan = planned(small("barn-lantern", 1, 1), options=CutOptions(mitre_extra=extra))
        found[f"{extra:g} in extra"] = plan_facts(plan)["fabrics"]["accent"]
    assert found == golden


@pytest.mark.parametrize("direction", ["one-way", "two-way", "non-directional"])
def test_direction(direction: Direction, golden: SnapshotAssertion) -> None:
    assert plan_facts(planned(small("gull-cove", 2, 2), direction)) == golden


QUARTER = ((18.0, 21.0),)
CLOTHS: dict[str, dict[str, Any]] = {
    "at hand and enough": {"have": {"accent": (54.0, 40.0)}},
    "at hand and not enough": {"have": {"accent": (18.0, 40.0)}},
    "fat quarters": {"have": {"focus": QUARTER * 2, "background": QUARTER * 6}},
    "too few fat quarters": {"have": {"background": QUARTER * 2}},
    "narrow cloth": {"width": 30.0},
    "sold by ten centimetres": {"terms": Terms(step=10 / 2.54)},
    "washed first": {"terms": Terms(shrink=0.05, straighten=2.0)},
}


@pytest.mark.parametrize("name", CLOTHS)
def test_cloth(name: str, golden: SnapshotAssertion) -> None:
    assert plan_facts(planned(small("gull-cove", 2, 2), **CLOTHS[name])) == golden


def test_where_everything_lies_on_the_cloth(golden: SnapshotAssertion) -> None:
    """Places (x, y, across, along) of one whole plan, inches."""
    plan = planned(small("harbour-windows", 1, 1), "one-way")
    assert {
        f.role: [[p.unit.method, p.x, p.y, p.width, p.height] for p in f.placed]
        for f in plan.fabrics
    } == golden
