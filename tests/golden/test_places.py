"""Which place of the cloth each piece shows: provisional places of a seed, fussy centring."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.model.fabric import DIRECTIONS, Fabric, Repeat
from quiltgeom.render.mockup import mockup
from tests.golden.facts import place_facts, plan_facts, small

Cloths = dict[str, Path]


@pytest.mark.parametrize("seed", [0, 7])
def test_provisional_places_of_a_seed(seed: int, cloths: Cloths, golden: SnapshotAssertion) -> None:
    quilt = small("sail-loft")
    fabrics = {
        "focus": Fabric("n", image=cloths["numbers"], width=12, direction="one-way"),
        "accent": Fabric("t", image=cloths["tide"], width=12, direction="two-way"),
    }
    assert place_facts(mockup(quilt, fabrics, seed=seed), quilt) == golden


@pytest.mark.parametrize("kind", ["straight", "half-drop", "brick"])
def test_provisional_places_with_a_known_repeat(
    kind: str, cloths: Cloths, golden: SnapshotAssertion
) -> None:
    quilt = small("net-menders-chain", 2, 2)
    image = cloths["brick" if kind == "brick" else "half-drop"]
    repeat = Repeat(3, 8 if kind == "straight" else 4, kind)  # type: ignore[arg-type]
    fabric = Fabric("f", image=image, width=12, direction="one-way", repeat=repeat)
    assert place_facts(mockup(quilt, {"focus": fabric}, seed=3), quilt) == golden


def test_beyond_the_swatch(cloths: Cloths, golden: SnapshotAssertion) -> None:
    """A small swatch in large patches: how it goes on, and that all of it is shown."""
    quilt = small("lamp-room", 2, 2)
    found = {}
    for direction in DIRECTIONS:
        fabric = Fabric("n", image=cloths["numbers"], width=6, direction=direction)
        found[direction] = place_facts(mockup(quilt, {"focus": fabric}), quilt, "border")
    assert found == golden


@pytest.mark.parametrize("up", [0, 90])
def test_fussy_pieces_are_centred_on_the_motif(
    up: int, cloths: Cloths, golden: SnapshotAssertion
) -> None:
    """With how far the motif comes to lie from the middle of the piece's box."""
    quilt = small("slipway", 2, 2)
    fabric = Fabric(
        "m", image=cloths["motif"], width=12, direction="one-way", up_deg=up, motif=(4, 5)
    )
    made = mockup(quilt, {"focus": fabric}, fussy=["focus"])
    rows = []
    for row, index in zip(place_facts(made, quilt), sorted(made.places), strict=True):
        a, b, c, d, e, f = row["matrix"]
        x0, y0, x1, y1 = quilt.pieces[index].polygon.bounds
        off = [a * 4 + c * 5 + e - (x0 + x1) / 2, b * 4 + d * 5 + f - (y0 + y1) / 2]
        rows.append({"of": row["of"], "matrix": row["matrix"], "motif off the middle": off})
    assert rows == golden


def test_windows_of_a_fussy_plan(cloths: Cloths, golden: SnapshotAssertion) -> None:
    """Windows on the motifs of a half-drop repeat, then all else below them."""
    quilt = small("net-menders-chain")
    fabric = Fabric(
        "f",
        image=cloths["half-drop"],
        width=12,
        direction="one-way",
        motif=(1.5, 2),
        repeat=Repeat(3, 4, "half-drop"),
    )
    plain = Fabric("p", colour="#335577", direction="non-directional")
    plan = cut_plan(
        quilt, {"focus": fabric, "background": plain, "accent": plain}, fussy=["focus"], effort=1
    )
    focus = next(f for f in plan.fabrics if f.role == "focus")
    windows = [[p.x, p.y, p.width, p.height] for p in focus.placed]
    assert {"windows": windows, **plan_facts(plan)["fabrics"]["focus"]} == golden


def test_places_of_a_plan(cloths: Cloths, golden: SnapshotAssertion) -> None:
    """The places that a plan gives are those of the picture."""
    quilt = small("sail-loft")
    fabric = Fabric("n", image=cloths["numbers"], width=12, direction="one-way")
    plain = Fabric("p", colour="#335577", direction="non-directional")
    fabrics = {"focus": fabric, "background": replace(plain, name="b"), "accent": plain}
    made, places = cut_plan(quilt, fabrics, effort=1).as_cut()
    picture = mockup(made, {"focus": fabric}, places=places)
    assert place_facts(picture, made) == golden
