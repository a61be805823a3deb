"""At which angle cloth lies: in the layout, as it is cut, and on the picture of the swatch."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.model.fabric import DIRECTIONS, Fabric
from quiltgeom.model.pattern import Lie
from quiltgeom.render.mockup import mockup
from tests.golden.facts import lie_facts, small, tally
from tests.golden.quilts import signal_pattern, signal_quilt

SETTINGS = {
    "straight": ("rope-walk", 2, 2),
    "on point": ("harbour-diamonds", 2, 2),
    "columns": ("tide-tables", 2, 3),
    "medallion": ("lighthouse-keep", 3, 2),
    "lattice": ("fish-boxes", 3, 3),
    "units": ("sail-loft", 2, 2),
}


@pytest.mark.parametrize("name", SETTINGS)
def test_layout(name: str, golden: SnapshotAssertion) -> None:
    key, rows, columns = SETTINGS[name]
    assert lie_facts(small(key, rows, columns)) == golden


@pytest.mark.parametrize("lie", get_args(Lie))
def test_every_lie_by_turn_of_the_block(lie: Lie, golden: SnapshotAssertion) -> None:
    found = {}
    for setting in ("straight", "on-point"):
        quilt = signal_quilt(signal_pattern(setting, lie=lie), 2, 4)
        blocks: dict[str, dict[str, float]] = {}
        for p in quilt:
            if p.place.startswith("block"):
                blocks.setdefault(p.place, {})[p.patch.part] = p.lie_deg
        found[setting] = blocks
    assert found == golden


@pytest.mark.parametrize("key", ["harbour-windows", "gull-cove", "sail-loft"])
def test_as_cut(key: str, golden: SnapshotAssertion) -> None:
    """How the plan lets the cloth lie, by role: prints that may turn are turned to save cloth."""
    quilt = small(key)
    found = {}
    for direction in DIRECTIONS:
        fabrics = {r: Fabric(r, colour="#88aacc", direction=direction) for r in quilt.roles}
        made, _ = cut_plan(quilt, fabrics, effort=1).as_cut()
        found[direction] = {
            role: tally(round(p.lie_deg % 360, 6) + 0.0 for p in made if p.role == role)
            for role in quilt.roles
        }
    assert found == golden


def test_up_of_the_picture_turns_the_cloth(
    cloths: dict[str, Path], golden: SnapshotAssertion
) -> None:
    quilt = small("harbour-windows", 1, 1)
    found = {}
    for up in (0, 45, 90, 180, 270):
        fabric = Fabric("arrows", image=cloths["arrows"], width=12, direction="one-way", up_deg=up)
        made = mockup(quilt, {"focus": fabric})
        found[f"up at {up}"] = sorted({place.matrix[:4] for place in made.places.values()})
    assert found == golden
