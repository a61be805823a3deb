"""Cutting plans of small quilts: what is cut by each method, and the lengths on each cloth."""

from __future__ import annotations

from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.options import CutOptions
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt
from tests.golden.facts import plan_facts, small, tally


def planned(
    quilt: Quilt,
    direction: Direction = "non-directional",
    *,
    options: CutOptions | None = None,
    **more: Any,
) -> CutPlan:
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
    counts = {"geese": (2, 3), "eights": (3, 4)}.get(name, (2, 2))
    assert plan_facts(planned(small(key, *counts), options=CutOptions(methods))) == golden


OPTIONS = {
    "lengthwise borders": CutOptions(lengthwise=("accent",)),
    "bias binding": CutOptions(binding="bias"),
}


@pytest.mark.parametrize("name", OPTIONS)
def test_option(name: str, golden: SnapshotAssertion) -> None:
    assert plan_facts(planned(small("gull-cove", 2, 2), options=OPTIONS[name])) == golden


def test_a_seam_of_three_eighths(golden: SnapshotAssertion) -> None:
    """Rectangles alone: squares for triangles do not follow the seam."""
    quilt = small("harbour-windows", 1, 1)
    assert plan_facts(planned(quilt, options=CutOptions(seam=0.375))) == golden


def test_constants_of_setting_triangles(golden: SnapshotAssertion) -> None:
    """The trade's rule and the exact one, rounded to the ruler, for blocks of 7, 9 and 10 in."""
    found = {}
    for size in (7.0, 9.0, 10.0):
        for rule in ("trade", "exact"):
            quilt = small("gull-cove", 2, 2, block_size=size)
            units = planned(quilt, options=CutOptions(rule=rule), effort=1).fabrics
            background = next(f for f in units if f.role == "background")
            cut = tally(f"{p.unit.method}, {p.unit.width / 8:g}" for p in background.placed)
            found[f"{size:g} in, {rule}"] = cut
    assert found == golden


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
    "too few fat quarters": {"have": {"accent": QUARTER * 2}},
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
