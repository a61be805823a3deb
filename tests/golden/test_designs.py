"""What a design file looks like when it is written, and that it comes back the same."""

from __future__ import annotations

from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.library.design_file import design_text, load_design
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric, Repeat

DESIGNS = {
    "everything": Design(
        "barn-lantern",
        {
            "focus": Fabric(
                'Kelp, "dark"',
                image=Path("swatches/kelp.jpg"),
                width=12.25,
                direction="one-way",
                up_deg=90,
                motif=(3.5, 2),
                repeat=Repeat(6, 4.5, "half-drop"),
            ),
            "background": Fabric("sand", colour="#EADFC8", direction="non-directional"),
            "accent": Fabric("Tau und Öl", image=Path("tau.png"), direction="two-way"),
        },
        title="Lamps \\ lit at four",
        block_size=9.5,
        rows=4,
        columns=3,
        borders=(2.5,),
        sashing=1.75,
        seed=11,
        fussy=("focus",),
        block_folders=(Path("my blocks"),),
    ),
    "a size instead of counts": Design("gull-cove", size=(44.5, 60)),
    "a role with an odd name": Design(
        "slipway", {"second light": Fabric("s", colour="#fff", direction="four-way")}
    ),
}


@pytest.mark.parametrize("name", DESIGNS)
def test_design_file(name: str, tmp_path: Path, golden: SnapshotAssertion) -> None:
    text = design_text(DESIGNS[name], Path("."))
    (tmp_path / "design.toml").write_text(text, "utf-8")
    again = load_design(tmp_path / "design.toml")
    assert design_text(again, tmp_path) == text
    assert text.splitlines() == golden
