"""Templates of every block: the finished patch, the exact allowance, ends that meet, counts."""

import math

import pytest
from shapely import affinity

from quiltgeom.geometry.allowance import offset_outline
from quiltgeom.geometry.congruence import plain_outline
from quiltgeom.geometry.outline import Outline
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.piecing.sewing_plan import plan_outlines
from quiltgeom.tracing.build import block_templates, quilt_templates
from quiltgeom.tracing.trim import seam_ends, trim_tips, trims
from tests.conftest import swept_blocks

BLOCKS = swept_blocks()
SIZE, S = 12.0, 0.25


def _inches(block):
    k = SIZE / block.width
    return [
        Outline(tuple((x * k, y * k) for x, y in p.outline.points), p.outline.bulges)
        for p in block.patches
    ]


@pytest.mark.parametrize("block", BLOCKS, ids=lambda b: b.key)
def test_templates_are_the_patches_with_an_exact_allowance(block):
    made = block_templates(block, SIZE)
    assert not made.findings
    assert sum(t.count + t.reversed for t in made.templates) == len(block.patches)
    patches = [plain_outline(o) for o in _inches(block)]
    for t in made.templates:
        assert _is_one_of(t.seam, patches)
        seam, cut = t.seam.polygon, t.cut.polygon
        slack = 2e-3 if not t.seam.is_straight else 1e-9
        reach = seam.buffer(S, join_style="mitre", mitre_limit=1e4)
        if t.seam.is_straight:
            assert cut.difference(reach).area < 1e-9, "never beyond the allowance"
        round_reach = seam.buffer(S - slack, quad_segs=64)
        assert round_reach.difference(cut).area < 1e-3 * slack + 1e-9, "never less than it"
        assert t.seam.area < t.cut.area


def _is_one_of(seam, patches):
    """Some patch, shifted onto the seam line, has Hausdorff distance below a millionth inch."""
    x0, y0, *_ = seam.bounds
    for patch in patches:
        a, b, *_ = patch.bounds
        moved = affinity.translate(patch.polygon, x0 - a, y0 - b)
        if moved.hausdorff_distance(seam.polygon) < 1e-6:
            return True
    return False


def _unmet_ends(block, *, trim):
    """(ends looked at, ends where the two cut edges stop at different places)."""
    plan = plan_outlines(_inches(block), [p.role for p in block.patches])
    cuts = trims(plan, S) if trim else []
    shapes = []
    for face, outline in enumerate(plan.outlines):
        seam = plain_outline(outline)
        mine = [c for c in cuts if c.face == face]
        shapes.append(trim_tips(offset_outline(seam, S), seam, mine))
    looked = unmet = 0
    for end in seam_ends(plan):
        if not all(end.alone) or max(end.angles) > math.pi - 1e-6:
            continue
        corner = plan.map.points[end.corner]
        direction = plan.map.edges[end.edge].direction(end.corner)
        one, two = (_cut_end(shapes[f], corner, direction) for f in end.faces)
        looked += 1
        unmet += abs(one - two) > 1e-6
    return looked, unmet


def _cut_end(cut, corner, direction):
    """How far past the corner the cut edge beside a seam reaches."""
    ux, uy = -math.cos(direction), -math.sin(direction)
    reach = [
        (x - corner[0]) * ux + (y - corner[1]) * uy
        for x, y in cut.points
        if abs(abs((x - corner[0]) * uy - (y - corner[1]) * ux) - S) < 1e-9
    ]
    return max(r for r in reach if r < 8 * S)


def test_pairs_laid_right_sides_together_end_together():
    """By the order of sewing every first-sewn end meets; with the tips left long many do not."""
    trimmed = [_unmet_ends(b, trim=True) for b in BLOCKS]
    long = [_unmet_ends(b, trim=False) for b in BLOCKS]
    assert sum(n for n, _ in trimmed) > 350
    assert sum(bad for _, bad in trimmed) == 0
    assert sum(bad for _, bad in long) > 40


def test_half_square_triangle_tips_are_cut_square_to_the_legs():
    made = block_templates(load_blocks().get("half-square-triangle"), 2)
    for t in made.templates:
        corners = sorted((round(x, 4), round(y, 4)) for x, y in t.cut.points)
        assert len(corners) == 5
        assert t.size == pytest.approx((2.5, 2.5))
        x0, y0, *_ = t.seam.bounds
        tips = [min(math.dist(p, q) for p in t.seam.points) for q in t.cut.points]
        assert max(tips) == pytest.approx(0.3536, abs=1e-4)
        assert (x0, y0) == pytest.approx((0.25, 0.25))


def test_untrimmed_tips_are_long():
    made = block_templates(load_blocks().get("half-square-triangle"), 2, trim=False)
    assert [t.size for t in made.templates] == [pytest.approx((2.853553, 2.853553))] * 2


@pytest.mark.parametrize("allowance", [0, 0.375, 7 / 25.4, 1 / 2.54])
def test_other_allowances(allowance):
    for block in BLOCKS:
        made = block_templates(block, SIZE, allowance=allowance)
        assert not made.findings, block.key
        for t in made.templates:
            assert (t.cut == t.seam) == (allowance == 0)


def test_an_allowance_that_does_not_fit_is_a_finding_not_a_wrong_shape():
    made = block_templates(load_blocks().get("drunkards-path"), 3, allowance=2.5)
    assert len(made.findings) == 1
    assert "inward curve" in made.findings[0].found


def test_reversed_ones_are_counted_apart_only_for_cloth_with_a_right_side():
    block = load_blocks().get("maple-leaf")
    for key in ("maple-leaf", "ohio-star", "bears-paw"):
        block = load_blocks().get(key)
        faced, plain = block_templates(block, 9), block_templates(block, 9, one_sided=False)
        assert all(t.reversed == 0 for t in plain.templates)
        assert sum(t.count + t.reversed for t in faced.templates) == len(block.patches)


def test_directional_cloth_keeps_equal_shapes_apart():
    block = load_blocks().get("pinwheel")
    assert len(block_templates(block, 8).templates) == 2
    upright = block_templates(block, 8, directional=("accent",)).templates
    assert [t.count for t in upright if t.role == "accent"] == [1, 1, 1, 1]
    assert all((t.up_deg is not None) == (t.role == "accent") for t in upright)


def test_grain_runs_along_the_outside_of_the_block():
    for t in block_templates(load_blocks().get("square-in-a-square"), 8).templates:
        if t.role == "accent":  # on point, inside: along its edges
            assert t.grain_deg % 45 == pytest.approx(0)
        else:
            assert t.grain_deg in (0.0, 90.0)


@pytest.mark.parametrize(
    "pattern", [p for p in load_patterns() if p.setting == "on-point"], ids=lambda p: p.key
)
def test_setting_triangles_have_straight_grain_on_the_outside_of_the_quilt(pattern):
    """Common practice: bias on the outside would ripple. Side triangles have their long edge
    there, corner triangles their short ones."""
    quilt = lay_out(pattern)
    seen = set()
    for t in quilt_templates(quilt).templates:
        if len(t.seam.points) != 3 or t.count > 30:
            continue
        (a, b, c) = sorted(
            (math.dist(p, q), math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])) % 180)
            for p, q, _ in t.seam.edges()
        )
        corner = t.count == 4
        seen.add(corner)
        wanted = (a[1], b[1]) if corner else (c[1],)
        assert any(abs(math.remainder(t.grain_deg - w, 180)) < 1e-6 for w in wanted), t.label
    assert seen == {True, False}


@pytest.mark.parametrize("pattern", list(load_patterns()), ids=lambda p: p.key)
def test_templates_of_a_quilt_count_every_piece(pattern):
    quilt = lay_out(pattern)
    made = quilt_templates(quilt)
    assert sum(t.count + t.reversed for t in made.templates) + sum(
        r[4] for r in made.by_ruler
    ) == len(quilt)
    area = sum(t.seam.area * (t.count + t.reversed) for t in made.templates)
    assert area <= quilt.width * quilt.height + 1e-6
    assert not made.findings


def test_mitred_borders_cut_by_ruler_are_long_enough_for_their_tips():
    """A strip with two mitred ends grows by s / tan(22.5 degrees) at each end: so far past
    the corner of 45 degrees lies its tip, along the edge."""
    made = quilt_templates(lay_out(load_patterns().get("lighthouse-keep")))
    cuts = {row[1:4]: cut for row, cut in zip(made.by_ruler, made.ruler_cuts, strict=True)}
    tip = S / math.tan(math.radians(22.5))
    assert cuts["accent", 54.0, 2.0] == pytest.approx((54 + 2 * tip, 2 + 2 * S))
    assert cuts["accent", 2.0, 64.0] == pytest.approx((2 + 2 * S, 64 + 2 * tip))
    assert cuts["background", 5.0, 40.0] == pytest.approx((5.5, 40.5))
