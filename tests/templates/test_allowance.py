"""Seam allowances against exact formulas and against shapely."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.geometry.outline import Outline, rectangle

S3 = math.sqrt(3)


def _regular(n, side):
    r = side / (2 * math.sin(math.pi / n))
    return Outline(
        tuple(
            (r * math.cos(2 * math.pi * k / n), r * math.sin(2 * math.pi * k / n)) for k in range(n)
        )
    )


DIAMOND = Outline(
    ((0, 0), (3, 0), (3 + 3 / math.sqrt(2), 3 / math.sqrt(2)), (3 / math.sqrt(2), 3 / math.sqrt(2)))
)


# Area = A + P s + s^2 sum(cot(t/2)) for corner angles t: exact for convex patches.
@pytest.mark.parametrize(
    ("patch", "area"),
    [
        (Outline(((0, 0), (2, 0), (0, 2))), 4.071383),
        (_regular(3, 3), 6.471874),
        (DIAMOND, 9.717514),
        (_regular(6, 1), 4.314583),
        (Outline(((0, 0), (6, 0), (4.5, 1.5), (1.5, 1.5))), 10.414214),
    ],
    ids=["half-square triangle", "equilateral", "45-degree diamond", "hexagon", "trapezoid"],
)
def test_cut_areas_with_a_quarter_inch(patch, area):
    assert offset_outline(patch, 0.25).area == pytest.approx(area, abs=1e-6)


@pytest.mark.parametrize(
    ("degrees", "reach"),
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
def test_tips_reach_s_over_sin_of_half_the_angle(degrees, reach):
    t = math.radians(degrees)
    tip = Outline(((0, 0), (5, 0), (5 * math.cos(t), 5 * math.sin(t))))
    assert math.hypot(*offset_outline(tip, 0.25).points[0]) == pytest.approx(reach, abs=5e-5)


def test_half_square_triangle_cut_leg():
    cut = offset_outline(Outline(((0, 0), (2, 0), (0, 2))), 0.25)
    x0, y0, x1, y1 = cut.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((2.853553, 2.853553), abs=1e-6)


def test_curved_pair_of_a_quarter_disc_in_a_square():
    """Convex piece: arc radius r + s; concave piece: r - s (unit 3, radius 2)."""
    b = math.tan(math.pi / 8)
    disc = Outline(((0, 0), (2, 0), (0, 2)), (0, b, 0))
    rest = Outline(((2, 0), (3, 0), (3, 3), (0, 3), (0, 2)), (0, 0, 0, 0, -b))
    assert disc.area == pytest.approx(math.pi)
    assert rest.area == pytest.approx(9 - math.pi)
    for piece, radius in ((disc, 2.25), (rest, 1.75)):
        cut = offset_outline(piece, 0.25)
        curved = [e for e in cut.edges() if e[2]]
        assert len(curved) == 1
        for point in curved[0][:2]:
            assert math.hypot(*point) == pytest.approx(radius)


def _convex(seed_points):
    hull = shapely.convex_hull(shapely.MultiPoint(seed_points))
    return hull if hull.geom_type == "Polygon" and hull.area > 2 else None


@settings(max_examples=120, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 20), st.integers(0, 20)), min_size=3, max_size=9),
    st.sampled_from([0.125, 0.25, 0.375, 7 / 25.4]),
)
def test_convex_patches_agree_with_shapely(points, allowance):
    hull = _convex(points)
    if hull is None:
        return
    patch = Outline(tuple(map(tuple, shapely.get_coordinates(hull)[:-1])))
    theirs = hull.buffer(allowance, join_style="mitre", mitre_limit=1000)
    ours = offset_outline(patch, allowance).polygon
    assert ours.symmetric_difference(theirs).area < 1e-6


def test_an_inner_corner_stays_sharp():
    ell = Outline(((0, 0), (3, 0), (3, 1), (1, 1), (1, 3), (0, 3)))
    cut = offset_outline(ell, 0.25)
    assert (1.25, 1.25) in [tuple(round(v, 9) for v in p) for p in cut.points]
    assert cut.area == pytest.approx(3.5 * 1.5 + 1.5 * 2)


def test_an_allowance_for_each_edge():
    cut = offset_outline(rectangle(0, 0, 2, 1), [0.25, 0, 0.5, 0])
    assert cut.bounds == (0.0, -0.25, 2.0, 1.5)


@pytest.mark.parametrize(
    ("patch", "allowance"),
    [
        (Outline(((0, 0), (1, 0), (1, 2), (1.2, 2), (1.2, 0), (2, 0), (2, 3), (0, 3))), 0.25),
        (Outline(((0.2, 0), (2, 0), (2, 2), (0, 2), (0, 0.2)), (0, 0, 0, 0, -0.41421356)), 0.25),
        (rectangle(0, 0, 1, 1), -0.1),
        (rectangle(0, 0, 1, 1), math.nan),
        (rectangle(0, 0, 1, 1), [0.1, 0.1]),
    ],
    ids=[
        "a notch narrower than two allowances",
        "a tight inward curve",
        "negative",
        "not a number",
        "too few",
    ],
)
def test_an_impossible_allowance_is_said_so(patch, allowance):
    with pytest.raises(QuiltValueError, match="seam allowance"):
        offset_outline(patch, allowance)


@pytest.mark.parametrize(
    ("patch", "where", "most"),
    [
        # a slit 0.4 wide: filled by 0.25 from both sides, open at 0.2
        (
            Outline(((0, 0), (1, 0), (1, 2), (1.4, 2), (1.4, 0), (3, 0), (3, 3), (0, 3))),
            "(1, 2) to (1.4, 2)",
            0.2,
        ),
        # the short bottom of a blunt V: its sides meet before the allowance is used up
        (
            Outline(((0, 0), (2, 0), (2.5, 1), (2.6, 1), (3.1, 0), (5, 0), (5, 3), (0, 3))),
            "(2.5, 1) to (2.6, 1)",
            0.05 / math.tan(math.pi / 4 - math.atan(0.5) / 2),
        ),
    ],
    ids=["slit", "blunt V"],
)
def test_a_notch_is_never_filled_silently(patch, where, most):
    with pytest.raises(QuiltValueError) as error:
        offset_outline(patch, 0.25)
    assert where in str(error.value)
    assert f"at most {most:.4g} there" in str(error.value)
    open_still = offset_outline(patch, 0.98 * most)
    assert len(open_still.points) == len(patch.points)
    theirs = patch.polygon.buffer(0.98 * most, join_style="mitre", mitre_limit=1000)
    assert open_still.polygon.symmetric_difference(theirs).area < 1e-6


def test_a_cusp_gets_a_square_end():
    b = math.tan(math.pi / 8)
    petal_ground = Outline(((0, 0), (2, 0), (2, 2)), (0, 0, -b))  # arc tangent to both sides
    cut = offset_outline(petal_ground, 0.25)
    assert cut.bounds[0] == pytest.approx(-0.25)
