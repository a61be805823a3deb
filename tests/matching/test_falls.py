"""Where the motif falls, against answers known by arithmetic."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity

from quiltgeom.cutting.plan import cut_plan
from quiltgeom.fabric.reading.motif import MotifReading
from quiltgeom.fabric.reading.reading import Reading, read_array
from quiltgeom.fabric.reading.repeat import RepeatReading
from quiltgeom.layout.quilt import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.falls import motif_falls


@pytest.fixture(scope="module")
def plan():
    quilt = lay_out(load_patterns().get("harbour-windows"), rows=2, columns=2)
    return cut_plan(quilt, {})


def print_with(boxes, repeat=None, width: float = 12.0) -> Reading:
    plain = read_array(np.full((64, 64, 3), 120, dtype=np.uint8), width)
    sizes = [max(b[2:]) for b in boxes]
    motif = MotifReading(max(sizes), max(sizes), tuple(boxes), 0.9)
    lattice = RepeatReading("straight", ((repeat, 0.0), (0.0, repeat)), (repeat, repeat), 0.0,
                            0.9) if repeat else plain.repeat  # fmt: skip
    return replace(plain, motif=motif, repeat=lattice)


def test_a_window_as_large_as_repeat_and_motif_together_always_shows_one(plan) -> None:
    """A window of side repeat + motif holds a whole motif wherever it lies (arithmetic)."""
    side = 8.0  # of Harbour Windows' main patch
    always = motif_falls(plan, "focus", print_with([(0.3, 0.3, 2.0, 2.0)], repeat=side - 2.0))
    assert (always.whole, always.patches, always.by) == (4, 4, "plan")
    never = motif_falls(plan, "focus", print_with([(0.3, 0.3, side + 0.2, 1.0)], repeat=10.0))
    assert never.whole == 0


def test_by_the_plan_each_patch_is_where_the_plan_puts_it(plan) -> None:
    """Against shapely, box by box, on the patches' places."""
    reading = print_with([(1.0, 1.5, 3.0, 3.0)], repeat=11.0)
    quilt, places = plan.as_cut()
    expected = 0
    for piece in quilt:
        if piece.role != "focus":
            continue
        x, y = places[piece.index]
        window = shapely.box(x - 4, y - 4, x + 4, y + 4)
        motifs = [shapely.Point(2.5 + 11 * i, 3 + 11 * j).buffer(1.5)
                  for i in range(-1, 6) for j in range(-1, 6)]  # fmt: skip
        expected += any(window.contains(m) for m in motifs)
    found = motif_falls(plan, "focus", reading)
    assert found.whole == expected
    assert f"{expected} of 4" in found.sentence


def test_by_chance_is_the_share_of_places(plan) -> None:
    """One motif of 2 in at the middle of a 12 in swatch: an 8-in window with 4 in of room holds
    its box of 2 always; one of 6 in, centred, where the window covers it: 1/2 each way."""
    assert motif_falls(plan, "focus", print_with([(5, 5, 2.0, 2.0)])).share == pytest.approx(1)
    half = motif_falls(plan, "focus", print_with([(3, 3, 6.0, 6.0)]))
    assert half.by == "chance"
    assert half.share == pytest.approx(0.25, abs=0.02)
    assert "about 1 of 4" in half.sentence


def test_a_print_without_motifs_is_never_cut_through(plan) -> None:
    plain = read_array(np.full((64, 64, 3), 120, dtype=np.uint8), 12.0)
    assert motif_falls(plan, "focus", plain).by == "nothing"
