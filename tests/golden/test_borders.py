"""Every kind of border: the outlines of its pieces and how their cloth lies."""

from __future__ import annotations

import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.model.pattern import Border
from tests.golden.facts import lie_facts, outline_facts, quilt_facts, small
from tests.golden.quilts import signal_pattern, signal_quilt

BORDERS: dict[str, tuple[Border, ...]] = {
    "butted": (Border(1 / 2, "edge"),),
    "mitred": (Border(1 / 2, "edge", "mitred"),),
    "corner squares": (Border(1 / 2, "edge", "squares", "accent"),),
    "pieced": (Border(1 / 2, unit="U", unit_length=1 / 2, corner_unit="S"),),
    "pieced with plain corners": (Border(1 / 2, unit="U", unit_length=1, corner_role="focus"),),
    "mitred round butted": (Border(1 / 4, "accent"), Border(1 / 2, "edge", "mitred")),
}


@pytest.mark.parametrize("name", BORDERS)
def test_border(name: str, golden: SnapshotAssertion) -> None:
    quilt = signal_quilt(signal_pattern(borders=BORDERS[name]), 2, 1)
    ring = [p for p in quilt if p.place.startswith("border")]
    pieces = [{"place": p.place, **outline_facts(p)} for p in ring]
    assert {"size": [quilt.width, quilt.height], "pieces": pieces} == golden


def test_cloth_along_the_strips_of_a_border(golden: SnapshotAssertion) -> None:
    found = {}
    for corners in ("butted", "mitred", "squares"):
        border = Border(1 / 2, "edge", corners, "accent", lie="strip")
        lies = lie_facts(signal_quilt(signal_pattern(borders=[border]), 2, 1))
        found[corners] = {k: v for k, v in lies.items() if "border" in k}
    assert found == golden


def test_borders_in_inches_from_the_inside_out(golden: SnapshotAssertion) -> None:
    quilt = small("rope-walk", 2, 3, borders=[1.25, 4.0])
    assert quilt_facts(quilt)["first of each"] == golden
