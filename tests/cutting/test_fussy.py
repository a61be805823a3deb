"""Fussy cutting: every patch on a motif, nothing overlaps, and no placing takes less cloth."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from shapely.geometry import box

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.yardage import fussy_length
from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.cutting.methods.fussy import Lattice, Window, fussy_plan, motif_lattice
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric, Repeat


def square(side: float, count: int) -> Window:
    return Window(side, side, side / 2, side / 2, count)


@pytest.mark.parametrize(
    ("side", "repeat", "count", "cloth"),
    [(4.5, (6.0, 8.0), 20, 42.0), (6.5, (12.0, 24.0), 12, 42.0), (3.5, (4.0, 4.0), 36, 40.0)],
)
def test_rows_on_a_straight_repeat(
    side: float, repeat: tuple[float, float], count: int, cloth: float
) -> None:
    """Derived: rows on the repeat lattice, the first motif where the first window just fits."""
    lattice = Lattice((side / 2, side / 2), (repeat[0], 0), (0, repeat[1]))
    plan = fussy_plan([square(side, count)], lattice, cloth)
    assert plan.length == pytest.approx(fussy_length(side, repeat, count, cloth=cloth)[0])
    assert plan.bound == plan.length


def every(windows: list[Window], lattice: Lattice, width: float, length: float) -> bool:
    """Whether all windows fit, by trying every choice (small cases only)."""
    places = [(x, y) for x, y in lattice.inside(width, length)]

    def boxes(w: Window) -> list[tuple[float, float, float, float]]:
        found = [(x - w.x, y - w.y, x - w.x + w.width, y - w.y + w.height) for x, y in places]
        return [
            b
            for b in found
            if b[0] >= -1e-6 and b[1] >= -1e-6 and b[2] <= width + 1e-6 and b[3] <= length + 1e-6
        ]

    def free(chosen: list[tuple[float, float, float, float]], left: list[Window]) -> bool:
        if not left:
            return True
        return any(
            free([*chosen, b], left[1:])
            for b in boxes(left[0])
            if all(box(*b).intersection(box(*c)).area < 1e-6 for c in chosen)
        )

    return free(
        [], [Window(w.width, w.height, w.x, w.y, 1) for w in windows for _ in range(w.count)]
    )


@given(
    st.sampled_from([(3.0, 4.0), (4.0, 3.0), (5.0, 5.0), (2.5, 6.0)]),
    st.booleans(),
    st.sampled_from([2.5, 3.5, 4.5]),
    st.integers(1, 4),
    st.floats(0, 3),
    st.floats(0, 3),
)
@settings(max_examples=25, deadline=None)
def test_no_shorter_cloth_would_do(
    repeat: tuple[float, float], drop: bool, side: float, count: int, x: float, y: float
) -> None:
    """Against every choice of motifs: the length found fits, and the next shorter does not."""
    rx, ry = repeat
    lattice = Lattice((x, y), (rx, ry / 2 if drop else 0.0), (0.0, ry))
    windows, width = [square(side, count)], 11.0
    plan = fussy_plan(windows, lattice, width)
    assert len(plan.spots) == count
    for _, u, v in plan.spots:
        assert any(
            math.dist(p, (u + side / 2, v + side / 2)) < 1e-6
            for p in lattice.inside(width, plan.length)
        )
    boxes = [box(u, v, u + side, v + side) for _, u, v in plan.spots]
    assert all(a.intersection(b).area < 1e-6 for a, b in itertools.combinations(boxes, 2))
    if plan.bound == plan.length:
        assert not every(windows, lattice, width, plan.length - 1e-3)
    assert every(windows, lattice, width, plan.length + 1e-6)


def test_half_drop_is_not_cut_in_rows() -> None:
    """Windows as high as the repeat: rows of a half-drop print waste what columns use."""
    window = square(8.0, 12)
    drop = fussy_plan([window], Lattice((4, 4), (6, 4), (0, 8)), 40)
    rows = fussy_length(8.0, (12.0, 8.0), 12, cloth=40, half_drop=True)[0]  # every second column
    assert drop.bound == drop.length <= rows


def test_motifs_of_prints_that_lie_on_their_side() -> None:
    up = Fabric("kelp", colour="#335544", repeat=Repeat(6, 8), motif=(1, 2), up_deg=90)
    found = motif_lattice(up)
    assert found is not None
    # the picture's right is the cloth's up: (1, 2) lies 1 above and 2 to the right
    assert found.at == (2.0, -1.0)
    assert (found.a, found.b) == ((0.0, -6.0), (8.0, 0.0))
    assert found.rise == pytest.approx(6.0)


@pytest.mark.parametrize("kind", ["straight", "half-drop", "brick"])
def test_a_quilt_with_its_patches_on_the_motif(tmp_path: Path, kind: str) -> None:
    cloth = Fabric(
        "gulls",
        colour="#88aacc",
        direction="one-way",
        motif=(2.0, 3.0),
        repeat=Repeat(9.0, 7.0, kind),
    )  # type: ignore[arg-type]
    quilt = lay_out(load_patterns().get("harbour-windows"))
    plan = cut_plan(quilt, {"focus": cloth}, effort=1, fussy=["focus"])
    focus = next(f for f in plan.fabrics if f.role == "focus")
    lattice = motif_lattice(cloth)
    assert lattice is not None
    motifs = lattice.inside(40, focus.length + 1)
    windows = [p for p in focus.placed if p.unit.method == "fussy cut"]
    assert len(windows) == 12
    _, places = plan.as_cut()
    for p in windows:
        at = places[p.unit.members[0].piece]
        assert min(math.dist(at, m) for m in motifs) < 1e-6
        assert not p.turned
    boxes = [box(p.x, p.y, p.x + p.width, p.y + p.height) for p in focus.placed]
    assert all(a.intersection(b).area < 1e-6 for a, b in itertools.combinations(boxes, 2))
    assert focus.buy >= focus.length + lattice.rise
    assert focus.bound <= focus.buy
    assert (focus.bound == focus.buy) == (focus.status == "optimal")
    assert focus.bound >= focus.terms.buy(sum(p.width * p.height for p in focus.placed) / 40)
    seen = sorted(
        m.piece for f in plan.fabrics for p in f.placed for m in p.unit.members if m.part == 1
    )
    assert seen == list(range(len(quilt)))


def test_design_with_fussy_roles_is_cut_on_the_motif(tmp_path: Path) -> None:
    Image.new("RGB", (120, 120), "#557788").save(tmp_path / "gulls.png")
    (tmp_path / "d.toml").write_text(
        'pattern = "harbour-windows"\nfussy = ["focus"]\n[fabric.focus]\nimage = "gulls.png"\n'
        'width = "12 in"\nrepeat = [6, 6]\nmotif = [3, 3]\ndirection = "one-way"\n'
    )
    args = ["cut", str(tmp_path / "d.toml"), "--seconds", "0.5"]
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 0, result.output
    assert "centred on the motif" in result.output
    assert "as the print may begin anywhere" in result.output


def test_a_window_that_fits_nowhere() -> None:
    with pytest.raises(QuiltError, match="far enough inside"):
        fussy_plan([square(9, 2)], Lattice((1, 1), (20, 0), (0, 20)), 8)
