"""Outlines moved outward, against published constants, shapely's buffer and plain geometry."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point as ShapelyPoint

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.geometry.outline import Outline, rectangle
from quiltgeom.geometry.placement import Placement
from quiltgeom.library.blocks import load_blocks

S = 0.25


def regular(n: int, side: float) -> Outline:
    r = side / (2 * math.sin(math.pi / n))
    return Outline(
        tuple(
            (r * math.cos(2 * math.pi * k / n), r * math.sin(2 * math.pi * k / n)) for k in range(n)
        )
    )


# Cut areas derived as A + P s + s^2 sum(cot(t / 2)), for s = 1/4 in (own derivation).
CUT_AREAS = [
    (Outline(((0, 0), (2, 0), (0, 2))), 4.071383),
    (regular(3, 3), 6.471874),
    (
        Outline(
            (
                (0, 0),
                (3, 0),
                (3 + 3 * math.sqrt(0.5), 3 * math.sqrt(0.5)),
                (3 * math.sqrt(0.5), 3 * math.sqrt(0.5)),
            )
        ),
        9.717514,
    ),
    (regular(6, 1), 4.314583),
    (Outline(((0, 0), (6, 0), (4.5, 1.5), (1.5, 1.5))), 10.414214),
]


@pytest.mark.parametrize(("outline", "area"), CUT_AREAS)
def test_area_after_the_move(outline: Outline, area: float) -> None:
    assert offset_outline(outline, S).area == pytest.approx(area, abs=1e-6)


@pytest.mark.parametrize(
    ("angle", "reach"),
    [
        (30, 0.9659),
        (36, 0.8090),
        (45, 0.6533),
        (60, 0.5),
        (72, 0.4253),
        (90, 0.3536),
        (120, 0.2887),
        (135, 0.2706),
    ],
)
def test_tip_moves_by_allowance_over_sine_of_half_angle(angle: float, reach: float) -> None:
    t = math.radians(angle)
    moved = offset_outline(Outline(((0, 0), (9, 0), (9 * math.cos(t), 9 * math.sin(t)))), S)
    assert min(math.hypot(*p) for p in moved.points) == pytest.approx(reach, abs=5e-5)


def test_quarter_disc_and_its_surround() -> None:
    """Drunkard's path, F = 3, r = 2: arcs of radius 2 1/4 and 1 3/4 about the same centre."""
    convex = Outline(((0, 0), (2, 0), (0, 2)), (0, math.tan(math.pi / 8), 0))
    concave = Outline(
        ((2, 0), (3, 0), (3, 3), (0, 3), (0, 2)), (0, 0, 0, 0, -math.tan(math.pi / 8))
    )
    assert convex.area == pytest.approx(3.1416, abs=1e-4)
    assert concave.area == pytest.approx(5.8584, abs=1e-4)
    for shape, radius in ((convex, 2.25), (concave, 1.75)):
        moved = offset_outline(shape, S)
        arcs = [(p, q) for p, q, b in moved.edges() if b]
        assert len(arcs) == 1
        assert [math.hypot(*p) for p in arcs[0]] == pytest.approx([radius, radius])
    assert offset_outline(convex, S).bounds == pytest.approx((-S, -S, 2.25, 2.25))


def test_one_allowance_per_edge() -> None:
    moved = offset_outline(rectangle(0, 0, 4, 3), (0.25, 0.5, 1, 0))
    assert moved.bounds == (0, -0.25, 4.5, 4)
    along = Outline(((0, 0), (2, 0), (4, 0), (4, 3), (0, 3)))  # a vertex inside a straight side
    step = offset_outline(along, (0.25, 0.5, 0, 0, 0))
    assert step.area == pytest.approx(12 + 0.5 + 1)


def test_zero_angle_tip_gets_a_square_end() -> None:
    """A clam shell ends in two arcs that touch; its cutting line may not run off to infinity."""
    q = math.tan(math.pi / 8)
    shell = Outline(((0, 1), (2, 1), (1, 2)), (1.0, -q, -q))
    moved = offset_outline(shell, S)
    assert moved.bounds == pytest.approx((-S, -S, 2 + S, 2 + S))
    assert moved.polygon.is_valid


def test_a_notch_that_would_close_up_is_told_with_its_place() -> None:
    notch = Outline(((0, 0), (4, 0), (4, 4), (2.8, 4), (2.05, 2), (1.95, 2), (1.2, 4), (0, 4)))
    with pytest.raises(QuiltValueError, match=r"from \(2\.05, 2\) to \(1\.95, 2\).*closes up"):
        offset_outline(notch, S)
    moved = offset_outline(notch, 0.05)  # there is room for this much
    assert moved.polygon.is_valid
    assert moved.polygon.covers(notch.polygon)
    slot = Outline(((0, 0), (4, 0), (4, 4), (2.2, 4), (2.2, 2), (1.8, 2), (1.8, 4), (0, 4)))
    with pytest.raises(QuiltValueError, match="notch"):
        offset_outline(slot, S)


@pytest.mark.parametrize("bad", [-0.1, math.nan, (0.25, 0.25)])
def test_wrong_allowance(bad: float | tuple[float, ...]) -> None:
    with pytest.raises(QuiltValueError, match="accepted"):
        offset_outline(rectangle(0, 0, 1, 1), bad)


def test_allowance_larger_than_an_inward_curve() -> None:
    bite = Outline(((0, 0), (2, 0), (1.1, 1), (0.9, 1)), (0, 0, -1.0, 0))
    with pytest.raises(QuiltValueError, match="inward curve"):
        offset_outline(bite, S)


def library_patches() -> list[tuple[str, int, Outline]]:
    return [(b.key, k, p.outline) for b in load_blocks() for k, p in enumerate(b.patches)]


def test_every_library_patch_contains_itself_with_the_allowance_all_round() -> None:
    """Every point of the cutting line lies at least the allowance outside the seam line, and no
    straight edge moves further than the allowance (checked with shapely distances)."""
    for key, k, outline in library_patches():
        block = load_blocks().get(key)
        finished = outline.placed(Placement(scale=12 / max(block.width, block.height)))
        moved = offset_outline(finished, S)
        ring = finished.polygon
        assert moved.polygon.is_valid, (key, k)
        assert moved.polygon.covers(ring), (key, k)
        near = moved.polygon.exterior.distance(ring)
        assert near == pytest.approx(S, abs=5e-4), (key, k)
        for p, q, b in moved.edges():
            if not b:
                mid = ShapelyPoint((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
                assert mid.distance(ring) >= S - 5e-4, (key, k)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.floats(0.05, 0.95), min_size=3, max_size=9, unique=True),
    st.floats(0.01, 0.6),
    st.integers(0, 23),
    st.booleans(),
)
def test_convex_outlines_match_the_mitred_buffer_and_move_with_their_placement(
    cuts: list[float], allowance: float, turn: int, mirror: bool
) -> None:
    angles = sorted(2 * math.pi * c for c in cuts)
    gaps = [b - a for a, b in zip(angles, [*angles[1:], angles[0] + 2 * math.pi], strict=True)]
    if min(gaps) < 0.05 or max(gaps) > 3.0:
        return
    outline = Outline(tuple((5 * math.cos(a), 5 * math.sin(a)) for a in angles))
    moved = offset_outline(outline, allowance)
    expected = outline.polygon.buffer(allowance, join_style="mitre", mitre_limit=1e6)
    assert moved.polygon.symmetric_difference(expected).area < 1e-6 * expected.area
    place = Placement(3, -2, turn, 1.0, mirror)
    twice = offset_outline(outline.placed(place), allowance)
    once = moved.placed(place)
    # on a grid: where edges differ by rounding noise the plain difference may lose a polygon
    assert shapely.symmetric_difference(twice.polygon, once.polygon, grid_size=1e-11).area < 1e-9
