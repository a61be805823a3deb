"""What is read from swatches of the demo: one in rows, one stripe, one with an up.

Rounded to what a reading is about: a later release may measure a little more exactly.
"""

from __future__ import annotations

import numpy as np
import pytest
from syrupy.assertion import SnapshotAssertion

from quiltgeom.demo.swatches import draw_swatch
from quiltgeom.fabric.reading.reading import read_array

PPI = 42
SAME = dict.fromkeys(("half-drop", "brick"), "half-drop or brick")
"""By exactly one half both make the same lattice."""


def forward(vector: tuple[float, ...]) -> list[float]:
    """A vector of the repeat or its opposite, whichever points right or straight down."""
    turn = -1 if tuple(round(x, 1) for x in vector) < (0, 0) else 1
    return [round(turn * x, 1) for x in vector]


@pytest.mark.parametrize("name", ["shoal", "rope-stripe", "anchorage"])
def test_reading(name: str, golden: SnapshotAssertion) -> None:
    found = read_array(np.asarray(draw_swatch(name, PPI)), 12.0)
    motif = found.motif.typical
    assert {
        "repeat": SAME.get(found.repeat.kind, found.repeat.kind),
        "vectors": [forward(v) for v in found.repeat.vectors_in],
        "direction": found.direction.kind,
        "up": None if found.direction.up_deg is None else round(found.direction.up_deg),
        "motif": None if motif is None else round(motif, 1),
        "colours (steps of 32), tenths of the cloth": [
            [[round(v / 32) for v in bytes.fromhex(c.hex[1:])], round(c.share * 10)]
            for c in found.palette
            if c.share > 0.06
        ],
        "value (Munsell)": round(found.value.munsell),
        "loudness, tenths": round(found.loudness * 10),
    } == golden
