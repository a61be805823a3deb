"""One seam allowance for every cut size: a table worked out by hand, and every pattern cut with
others than the usual one; ``QUILTGEOM_EVERY_PLAN=1`` cuts all of them in all directions."""

from __future__ import annotations

import itertools
import math
import os
from collections import Counter
from typing import Any, cast

import pytest
from shapely import affinity
from shapely.geometry import LineString, box

from quiltgeom.cutting.buying import largest, yardage
from quiltgeom.cutting.buying.largest import largest_version
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.listing import plan_backing, plan_csv, plan_data, plan_text, rules, trimming
from quiltgeom.cutting.methods import constants as c
from quiltgeom.cutting.methods.constants import Rule
from quiltgeom.cutting.methods.cut_shapes import CutShape
from quiltgeom.cutting.methods.slanted import common_lie, lay_run
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solver.budget import Budget
from quiltgeom.errors import QuiltError
from quiltgeom.geometry.outline import Outline
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.units import parse_length
from tests.cutting.test_plan import check, fabrics

EVERY = bool(os.environ.get("QUILTGEOM_EVERY_PLAN"))
CM = parse_length("1 cm")
SEAMS = (0.25, 0.375, CM)
SHIFT = {
    "fours": "four at a time",
    "eights": "eight at a time",
    "pairs": "pair of squares",
    "squares": "square cut once",
}

# Exact sizes for s = 1/4 in, 3/8 in and 1 cm (0.393701 in), worked out by hand from
#   rectangle F + 2 s; half-square triangle, square cut once and pairs F + (2 + sqrt 2) s;
#   four at a time (F + 2 s) sqrt 2 + 2 s; eight 2 F + 2 (2 + sqrt 2) s;
#   quarter-square triangle, square cut twice, W + (2 + 2 sqrt 2) s;
#   geese four at a time W x W / 2: that square, and W / 2 + (2 + sqrt 2) s;
#   side setting triangle F sqrt 2 + (2 + 2 sqrt 2) s; corner F / sqrt 2 + (2 + sqrt 2) s;
#   diamond of side F and angle t: strip F sin t + 2 s, along it F + 2 s / sin t.
# For s = 1/4 the additions are those printed in hand-outs of guilds and hobby pages (1/2; 7/8, the
# exact 0.8536 rounded up; 1 1/4, 1.2071; 0.7071 and 0.5774 along strips of diamonds), derived from
# the mitre s / sin(t / 2) in the notes on the trade's constants.
EXACT = {
    "rectangle 3": (3.5, 3.75, 3.7874),
    "half-square 3": (3.8536, 4.2803, 4.3442),
    "half-square 3, four at a time": (5.4497, 6.0533, 6.1436),
    "half-square 3, eight at a time": (7.7071, 8.5607, 8.6884),
    "quarter-square 4": (5.2071, 5.8107, 5.9010),
    "half-square 2": (2.8536, 3.2803, 3.3442),
    "side triangle 10": (15.3492, 15.9528, 16.0431),
    "corner triangle 12": (9.3388, 9.7656, 9.8295),
    "diamond 45, strip": (2.6213, 2.8713, 2.9087),
    "diamond 45, along": (3.7071, 4.0607, 4.1136),
    "diamond 60, strip": (3.0981, 3.3481, 3.3855),
    "diamond 60, along": (3.5774, 3.8660, 3.9092),
}
# The same up to the next eighth, as they are cut; the trade's side triangles of 10-inch blocks
# (10 x 1.414 + 1 1/4) come to 15 1/2, an eighth more than the exact ones.
CUT = {
    "rectangle 3": (3.5, 3.75, 3.875),
    "half-square 3": (3.875, 4.375, 4.375),
    "half-square 3, four at a time": (5.5, 6.125, 6.25),
    "half-square 3, eight at a time": (7.75, 8.625, 8.75),
    "quarter-square 4": (5.25, 5.875, 6.0),
    "half-square 2": (2.875, 3.375, 3.375),
    "side triangle 10": (15.5, 16.0, 16.125),
    "corner triangle 12": (9.375, 9.875, 9.875),
}
EXACT_SIDE = (15.375, 16.0, 16.125)


def formulas(rule: Rule, seam: float) -> dict[str, float]:
    large, small = c.geese_no_waste(4, rule=rule, seam=seam)
    assert large == c.quarter_square_square(4, rule=rule, seam=seam)
    once, pair = (
        c.half_square_square(3, at_a_time=cast(Any, n), rule=rule, seam=seam) for n in (1, 2)
    )
    assert once == pair
    return {
        "half-square 3": once,
        "quarter-square 4": large,
        "half-square 2": small,
        "half-square 3, four at a time": c.half_square_square(3, at_a_time=4, rule=rule, seam=seam),
        "half-square 3, eight at a time": c.half_square_square(
            3, at_a_time=8, rule=rule, seam=seam
        ),
        "side triangle 10": c.side_triangle_square(10, rule=rule, seam=seam),
        "corner triangle 12": c.corner_triangle_square(12, rule=rule, seam=seam),
    }


@pytest.mark.parametrize("k", range(3), ids=["1/4in", "3/8in", "1cm"])
def test_formulas_agree_with_the_table(k: int) -> None:
    seam = SEAMS[k]
    for name, size in formulas("exact", seam).items():
        assert size == pytest.approx(EXACT[name][k], abs=6e-5), name
    for name, size in formulas("trade", seam).items():
        assert size == CUT[name][k], name


def plan_of(key: str, size: float, seam: float, rule: Rule = "trade", **methods: str) -> CutPlan:
    quilt = lay_out(load_patterns().get(key), block_size=size)
    options = CutOptions(methods, rule, seam=seam)
    return cut_plan(quilt, {}, effort=0, binding_role="", options=options)


def sizes(plan: CutPlan, method: str) -> set[tuple[float, float]]:
    return {
        (p.unit.width / 8, p.unit.height / 8)
        for f in plan.fabrics
        for p in f.placed
        if p.unit.method == method
    }


@pytest.mark.parametrize("rule", ["trade", "exact"])
@pytest.mark.parametrize("k", range(3), ids=["1/4in", "3/8in", "1cm"])
def test_plans_cut_the_sizes_of_the_table(k: int, rule: Rule) -> None:
    seam = SEAMS[k]
    for method, name in SHIFT.items():
        plan = plan_of("sail-loft", 6, seam, rule, accent=method)
        row = {"fours": ", four at a time", "eights": ", eight at a time"}.get(method, "")
        side = CUT[f"half-square 3{row}"][k]
        assert (side, side) in sizes(plan, name), method
        check(plan)
        inside(plan)
    width = goose_block(4)
    geese = plan_of("tide-tables", width, seam, rule, accent="geese")
    large, small = CUT["quarter-square 4"][k], CUT["half-square 2"][k]
    assert sizes(geese, "no-waste geese") == {(large, large)}
    assert sizes(geese, "no-waste skies") == {(small, small)}
    apiece = plan_of("tide-tables", width, seam, rule, accent="squares")
    assert (large, large) in sizes(apiece, "square cut twice")
    on_point = [plan_of("gull-cove", f, seam, rule) for f in (10, 12)]
    side = (CUT["side triangle 10"] if rule == "trade" else EXACT_SIDE)[k]
    assert (side, side) in sizes(on_point[0], "square cut twice")
    corner = CUT["corner triangle 12"][k]
    assert (corner, corner) in sizes(on_point[1], "square cut once")
    windows = plan_of("harbour-windows", window_block(3), seam, rule)
    three = CUT["rectangle 3"][k]
    assert (three, three) in sizes(windows, "rectangle")
    for plan in (geese, apiece, *on_point, windows):
        check(plan)
        inside(plan)


def goose_block(width: float) -> float:
    """Block of Tide Tables whose geese are so wide."""
    one = lay_out(load_patterns().get("tide-tables"))
    goose = next(p for p in one if p.block == "flying-geese" and p.role == "accent").outline.bounds
    return one.block_size * width / (goose[2] - goose[0])


def window_block(side: float) -> float:
    """Block of Harbour Windows whose windows are so wide."""
    one = lay_out(load_patterns().get("harbour-windows"))
    pane = next(p for p in one if p.role == "focus").outline.bounds
    return one.block_size * side / (pane[2] - pane[0])


@pytest.mark.parametrize("angle", [45, 60])
@pytest.mark.parametrize("k", range(3), ids=["1/4in", "3/8in", "1cm"])
def test_diamonds_side_by_side_agree_with_the_table(k: int, angle: int) -> None:
    t = math.radians(angle)
    outline = Outline(
        ((0, 0), (3, 0), (3 + 3 * math.cos(t), 3 * math.sin(t)), (3 * math.cos(t), 3 * math.sin(t)))
    )
    shapes = [common_lie(CutShape(n, outline, 0.0), (0, 1, 2, 3), free=True) for n in range(6)]
    run = lay_run(shapes, 40, SEAMS[k], halves=True)[0]
    assert run.height == pytest.approx(EXACT[f"diamond {angle}, strip"][k], abs=6e-5)
    steps = [b.x - a.x for a, b in itertools.pairwise(run.members)]
    assert steps == pytest.approx([EXACT[f"diamond {angle}, along"][k]] * 5, abs=6e-5)


def inside(plan: CutPlan) -> None:
    """All cloth within one allowance of a finished patch is in its rectangle, and none of the cuts
    that part it comes nearer: shapely's buffer, nothing of the cutting's own formulas."""
    seam = plan.options.seam
    for placed in (p for f in plan.fabrics for p in f.placed):
        unit = placed.unit
        cloth = box(0, 0, unit.width / 8, unit.height / 8).buffer(1e-6)
        for m in unit.members:
            if m.span is not None:
                low, high = m.span
                assert max(unit.width, unit.height) / 8 >= high - low + 2 * seam - 1e-6
                assert unit.height / 8 >= 2 * seam
                continue
            shape = plan.quilt.pieces[m.piece].outline.turned(-m.lie_deg, (0, 0))
            x0, y0, x1, y1 = shape.bounds
            finished = affinity.translate(shape.polygon, m.x - (x0 + x1) / 2, m.y - (y0 + y1) / 2)
            near = finished.buffer(seam - 1e-6)
            assert cloth.covers(near), (unit.method, plan.quilt.name, m.piece)
            if not unit.method.startswith("flip"):  # there the line is the seam
                lines = [LineString([line[:2], line[2:]]) for line in unit.lines]
                assert not any(line.intersects(near) for line in lines), unit.method


CASES = [
    (p.key, seam, way)
    for p in load_patterns()
    for seam in (0.375, CM)
    for way in ("one-way", "two-way", "four-way", "non-directional")
]


@pytest.mark.parametrize(("key", "seam", "way"), CASES if EVERY else CASES[::17])
def test_every_patch_has_its_allowance(key: str, seam: float, way: Direction) -> None:
    quilt = lay_out(load_patterns().get(key))
    options = CutOptions(seam=seam)
    plan = cut_plan(quilt, fabrics(way), effort=0, options=options)
    check(plan)
    inside(plan)
    members = Counter(
        m.piece for f in plan.fabrics for p in f.placed for m in p.unit.members if m.part == 1
    )
    assert members == Counter(range(len(quilt)))


@pytest.mark.parametrize("seam", [0.125, 0.375, 1.0])
@pytest.mark.parametrize(
    ("key", "role", "method"),
    [
        ("sail-loft", "accent", "pairs"),
        ("sail-loft", "accent", "fours"),
        ("sail-loft", "accent", "eights"),
        ("sail-loft", "accent", "foundation"),
        ("harbour-windows", "focus", "foundation"),
        ("tide-tables", "accent", "geese"),
        ("tide-tables", "accent", "flip"),
        ("lemon-crates", "focus", "flip"),
        ("net-menders-chain", "accent", "strips"),
        ("gull-cove", "accent", "templates"),
        ("barn-lantern", "background", "auto"),
    ],
)
def test_every_method_leaves_the_allowance(key: str, role: str, method: str, seam: float) -> None:
    quilt = lay_out(load_patterns().get(key), rows=2, columns=2)
    for rule in cast("tuple[Rule, ...]", ("trade", "exact")):
        options = CutOptions({role: method}, rule, seam=seam)
        plan = cut_plan(quilt, {}, effort=0, options=options)
        check(plan)
        inside(plan)


def test_borders_along_the_selvage_and_windows_on_motifs_have_it_too() -> None:
    from quiltgeom.model.fabric import Repeat

    quilt = lay_out(load_patterns().get("harbour-windows"), rows=2, columns=2)
    waves = Fabric(
        "waves", colour="#335577", direction="one-way", repeat=Repeat(6, 8), motif=(3, 4)
    )
    options = CutOptions(seam=0.375, lengthwise=(quilt.pieces[-1].role,))
    plan = cut_plan(quilt, {"focus": waves}, effort=0, options=options, fussy=("focus",))
    inside(plan)
    pane = next(p for p in quilt if p.role == "focus").outline.bounds
    side = math.ceil((pane[2] - pane[0] + 0.75) * 8) / 8
    assert sizes(plan, "fussy cut") == {(side, side)}


@pytest.mark.parametrize("seam", [-3, 0, 0.01, 0.12, 1.01, 5, math.nan, math.inf])
def test_other_allowances_are_refused(seam: float) -> None:
    from quiltgeom.library.blocks import load_blocks
    from quiltgeom.model.design import Design
    from quiltgeom.sewing.sewing_sheet import sew_block

    for made in (
        lambda: CutOptions(seam=seam),
        lambda: Design("gull-cove", seam=seam),
        lambda: c.half_square_square(3, seam=seam),
        lambda: c.foundation_square(3, seam=seam),
        lambda: sew_block(load_blocks().get("pinwheel"), 6, seam=seam),
    ):
        with pytest.raises(QuiltError, match=r"seam allowance: found .*accepted: 1/8 in to 1 in"):
            made()


def test_the_ends_of_the_range_are_accepted() -> None:
    for text, inches in (("1/8in", 0.125), ("3.175 mm", 0.125), ("2.54cm", 1.0)):
        assert CutOptions(seam=parse_length(text)).seam == inches


def test_seams_in_the_back_and_in_bias_binding_take_two_allowances() -> None:
    """Derived: a bias tube from a square loses two allowances at each of its two seams."""
    assert yardage.bias_length(20, 2, seams=True, seam=0.5) == (400 - 4 * 0.5 * 20) / 2
    quilt = lay_out(load_patterns().get("sail-loft"))
    plans = [
        cut_plan(quilt, {}, effort=0, options=CutOptions(seam=s, binding="bias"))
        for s in (0.25, 1.0)
    ]
    sides = [min(w for w, _ in sizes(p, "bias binding")) for p in plans]
    assert sides[1] > sides[0]
    number, need = plans[1].binding_strips, 2 * (quilt.width + quilt.height) + 10
    assert number * (sides[1] ** 2 - 4 * sides[1]) / 2.5 >= need
    wide = cut_plan(quilt, {}, effort=0, options=CutOptions(seam=1.0, back_width=30.0))
    back = plan_backing(wide)  # 30 in of cloth, 2 in to each seam
    assert back.panels == math.ceil((min(back.size) - 2) / 28)


def test_larger_sizes_are_ruled_out_with_the_same_allowance() -> None:
    """By definition: what is within one allowance of a convex patch is cut with it. Each patch of
    Harbour Windows needs A + P s + pi s^2 of cloth, which no plan may undercut."""
    pattern = load_patterns().get("harbour-windows")
    have = {r: (36.0, 40.0) for r in pattern.roles}
    quilt = lay_out(pattern)
    need = {}
    for seam in (0.125, 1.0):
        how = 40.0, CutOptions(seam=seam), Terms(straighten=0), "", ()
        search = largest._Search(pattern, {}, have, *how, Budget(), 1)
        row = search._sums(quilt)["focus"]
        area, edge, n = row
        need[seam] = area + edge * seam + math.pi * seam**2 * n
        across = (need[seam] - 1e-3) / 40.0
        search.have = {"focus": (across, 40.0)}
        assert search._plainly_too_large(search._sums(quilt), 1.0, 60, 60)
        plan = cut_plan(quilt, {}, effort=0, binding_role="", options=CutOptions(seam=seam))
        focus = next(f for f in plan.fabrics if f.role == "focus")
        assert sum(p.width * p.height for p in focus.placed) >= need[seam]
    assert need[1.0] > need[0.125] * 1.2
    tops = []
    for seam in (0.125, 0.75):
        found = largest_version(
            pattern,
            {},
            have,
            effort=0,
            tries=0,
            near=0,
            least=0.75,
            most=0.75,
            options=CutOptions(seam=seam),
        )
        assert found is not None
        check(found.plan)
        tops.append(found.plan.quilt.width * found.plan.quilt.height)
    assert tops[1] < tops[0]


def test_lists_say_the_allowance_in_use() -> None:
    quilt = lay_out(load_patterns().get("sail-loft"), rows=2, columns=2)
    said = {0.25: '1/4"', 0.375: '3/8"', CM: "1 cm", 0.7 / 2.54: "7 mm", 0.3: '0.300"'}
    for seam, words in said.items():
        plan = cut_plan(quilt, {}, effort=0, options=CutOptions(seam=seam))
        assert f"Sizes include {words} seam allowances" in plan_text(plan)
        assert ("7/8" in rules(CutOptions(seam=seam))) == (seam == 0.25)
        assert plan_data(plan)["seam_allowance_in"] == seam
        column = [row.rsplit(",", 2)[1] for row in plan_csv(plan).splitlines()]
        assert column[0] == "seam allowance"
        assert set(column[1:]) == {words.rstrip('"') if '"' in words else f"{seam:.3f}"}


def test_trimming_counts_both_allowances() -> None:
    """With 1 cm even sizes on the ruler are cut between its marks, with 3/8 inch none is."""
    quilt = lay_out(load_patterns().get("sail-loft"))
    texts = {
        s: trimming(cut_plan(quilt, {}, effort=0, options=CutOptions(seam=s)))
        for s in (0.25, 0.375, CM)
    }
    assert texts[0.25] == texts[0.375] == ""
    assert "allowances of 1 cm" in texts[CM]
    assert "finished size and 2 cm" in texts[CM]
    thirds = lay_out(load_patterns().get("gull-cove"), block_size=8)
    plan = cut_plan(thirds, {}, effort=0, options=CutOptions(seam=0.375))
    assert 'finished size and 3/4" before' in trimming(plan)
