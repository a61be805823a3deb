"""How blocks become a quilt: counts, areas by role, and the outlines of one piece of each kind."""

from __future__ import annotations

import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.layout.quilt_layout import fit_size, ruler_sizes
from quiltgeom.model.pattern import Sashing
from tests.golden.facts import house_pattern, outline_facts, quilt_facts, small
from tests.golden.quilts import signal_pattern, signal_quilt

SETTINGS = {
    "straight": ("harbour-windows", 2, 2),
    "alternate blocks": ("net-menders-chain", 3, 3),
    "folded outward": ("lamp-room", 4, 2),
    "on point": ("gull-cove", 2, 3),
    "columns": ("tide-tables", 2, 3),
    "medallion": ("lighthouse-keep", 3, 2),
    "lattice of hexagons": ("buoy-field", 4, 4),
    "lattice of diamonds": ("fish-boxes", 3, 3),
    "lattice of shells": ("mussel-bed", 5, 3),
    "curved patches": ("slipway", 4, 4),
    "sashing without cornerstones": ("lemon-crates", 2, 2),
    "sashing with cornerstones": ("barn-lantern", 2, 2),
}


@pytest.mark.parametrize("name", SETTINGS)
def test_setting(name: str, golden: SnapshotAssertion) -> None:
    key, rows, columns = SETTINGS[name]
    assert quilt_facts(small(key, rows, columns)) == golden


@pytest.mark.parametrize("setting", ["straight", "on-point"])
def test_blocks_turned_and_mirrored(setting: str, golden: SnapshotAssertion) -> None:
    quilt = signal_quilt(signal_pattern(setting), 2, 4)  # type: ignore[arg-type]
    blocks = [p for p in quilt if p.place.startswith("block") and p.patch.part == "plank"]
    assert {p.place: outline_facts(p)["corners"] for p in blocks} == golden


@pytest.mark.parametrize("outer", [False, True], ids=["between", "all round"])
def test_sashing_strips_and_cornerstones(outer: bool, golden: SnapshotAssertion) -> None:
    sashing = Sashing(1 / 4, "edge", "accent", outer=outer)
    quilt = signal_quilt(signal_pattern(sashing=sashing), 2, 2)
    strips = [p for p in quilt if not p.place.startswith("block")]
    assert [{"place": p.place, **outline_facts(p)} for p in strips] == golden


def test_other_block_size_borders_and_sashing(golden: SnapshotAssertion) -> None:
    quilt = small("barn-lantern", 2, 1, block_size=9.0, borders=[1.0, 2.5], sashing=1.25)
    assert quilt_facts(quilt) == golden


def test_sizes_that_fit_a_wish(golden: SnapshotAssertion) -> None:
    wishes = {"crib": (36, 45), "lap": (54, 60), "twin": (63, 87)}
    made = {}
    for key in ("harbour-windows", "gull-cove", "barn-lantern", "lemon-crates"):
        for name, wish in wishes.items():
            chosen = fit_size(house_pattern(key), *wish)
            made[f"{key}, {name}"] = {k: v for k, v in chosen.items() if k != "notes"}
    assert made == golden


def test_block_sizes_that_a_ruler_shows(golden: SnapshotAssertion) -> None:
    keys = ("harbour-windows", "net-menders-chain", "gull-cove", "barn-lantern")
    assert {k: ruler_sizes(house_pattern(k), 0.8, 1.25) for k in keys} == golden
