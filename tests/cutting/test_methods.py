"""Ways of cutting: each gives every patch, its print as it should be, and the sizes it says."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.listing import plan_data, plan_text
from quiltgeom.cutting.methods import constants as c
from quiltgeom.cutting.methods.choose import choose_units
from quiltgeom.cutting.methods.cut_shapes import CutShape
from quiltgeom.cutting.methods.pieces import cut_units
from quiltgeom.cutting.methods.slanted import along_strip, common_lie, lay_run
from quiltgeom.cutting.one_fabric import FabricSearch
from quiltgeom.cutting.options import METHODS, CutOptions
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.errors import QuiltError
from quiltgeom.geometry.outline import Outline
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from quiltgeom.model.quilt import Quilt
from tests.cutting.test_plan import check, fabrics


def plan_of(key: str, direction: Direction = "non-directional", **changes: object) -> CutPlan:
    options = CutOptions(**changes)  # type: ignore[arg-type]
    return cut_plan(
        lay_out(load_patterns().get(key)), fabrics(direction), effort=1, options=options
    )


def sizes(plan: CutPlan, method: str) -> dict[tuple[float, float], int]:
    found = [p.unit for f in plan.fabrics for p in f.placed if p.unit.method == method]
    return dict(Counter((u.width / 8, u.height / 8) for u in found))


# sail-loft: 40 pinwheel triangles of each fabric, finished leg 5 inches
@pytest.mark.parametrize(
    ("method", "name", "side", "squares"),
    [
        ("pairs", "pair of squares", c.half_square_square(5), 20),
        ("fours", "four at a time", c.half_square_square(5, at_a_time=4), 10),
        ("eights", "eight at a time", c.half_square_square(5, at_a_time=8), 5),
    ],
)
def test_triangle_squares_two_four_and_eight_at_a_time(
    method: str, name: str, side: float, squares: int
) -> None:
    plan = plan_of("sail-loft", methods={"accent": method})
    leg = next(p for p in plan.quilt if p.block == "pinwheel").outline.bounds
    assert leg[2] - leg[0] == pytest.approx(5)
    check(plan)
    assert sizes(plan, name) == {(side, side): 2 * squares}  # as many of either fabric


@pytest.mark.parametrize("direction", ["one-way", "non-directional"])
def test_patches_for_a_foundation_are_cut_larger(direction: Direction) -> None:
    """Magazine advice (2022): a rectangle finished + 1 in each way, corner triangles from squares
    of their short side + 2 in, cut once; borders stay as they are."""
    plan = plan_of("sail-loft", direction, methods={"accent": "foundation"})
    check(plan)
    alone = plan_of("sail-loft", direction, methods={"accent": "squares"})
    accent = next(f for f in alone.fabrics if f.role == "accent").placed
    squares = sum(p.unit.method == "square cut once" for p in accent)
    assert squares >= 20  # 40 triangles, leg 5
    assert sizes(plan, "foundation triangles") == {(7, 7): squares}
    borders = [{w for _, w in sizes(p, "joined strip")} for p in (plan, alone)]
    assert borders[0] == borders[1] != set()
    windows = plan_of("harbour-windows", direction, methods={"focus": "foundation"})
    check(windows)
    focus = next(p for p in windows.quilt if p.role == "focus").outline.bounds
    side = focus[2] - focus[0]
    assert list(sizes(windows, "foundation piece")) == [(side + 1, side + 1)]
    assert "on the foundation" in plan_text(windows)


def test_foundation_sizes_of_the_source() -> None:
    assert c.foundation_rectangle(3, 1.5) == (4, 2.5)
    assert c.foundation_square(2.5) == 4.5
    assert c.foundation_rectangle(1, 1)[0] >= 1 + 2 * 0.5  # 1/2 in beyond every line (a hobby page)


def test_one_way_prints_pair_only_upright() -> None:
    check(plan_of("sail-loft", "one-way", methods={"accent": "pairs"}))
    check(plan_of("sail-loft", "one-way", methods={"accent": "eights"}))
    with pytest.raises(QuiltError, match="without direction"):
        plan_of("sail-loft", "one-way", methods={"accent": "fours"})


def test_geese_without_waste_take_one_large_and_four_small_squares() -> None:
    """Published: finished 5 x 2 1/2 in: large 6 1/4, four small 3 3/8 (a quilting page's chart)."""
    plan = plan_of("tide-tables", methods={"accent": "geese"})
    check(plan)
    goose = next(p for p in plan.quilt if p.block == "flying-geese" and p.role == "accent")
    width = goose.outline.bounds[2] - goose.outline.bounds[0]
    large, small = c.geese_no_waste(width)
    assert sizes(plan, "no-waste geese") == {(large, large): 18}
    # 69 geese: seventeen fours, and one more of a large square and two small ones
    assert sizes(plan, "no-waste skies") == {(small, small): 17 * 4 + 2}


def test_stitch_and_flip_needs_a_rectangle_and_two_squares_a_goose() -> None:
    """Common practice: (W + 1/2) x (W / 2 + 1/2) and two squares W / 2 + 1/2."""
    plan = plan_of("tide-tables", "one-way", methods={"accent": "flip"})
    check(plan)
    x0, y0, x1, y1 = next(
        p for p in plan.quilt if p.block == "flying-geese" and p.role == "accent"
    ).outline.bounds
    assert sizes(plan, "flip base") == {(x1 - x0 + 0.5, y1 - y0 + 0.5): 69}
    assert sum(sizes(plan, "flip corner").values()) == 2 * 69
    assert plan_of("tide-tables", "one-way").fabrics == plan.fabrics  # it is the default there


def test_a_square_in_a_square_by_stitch_and_flip() -> None:
    plan = plan_of("lemon-crates", "one-way", methods={"focus": "flip"})
    check(plan)
    assert sizes(plan, "flip base") == {(12.5, 12.5): 12}
    assert sizes(plan, "flip corner") == {(6.5, 6.5): 48}


def test_nine_patch_and_rails_come_from_strip_sets() -> None:
    """Common practice: a nine-patch from two sets, slices as wide as a strip."""
    plan = plan_of("net-menders-chain")
    check(plan)
    assert [[r for r, _ in s.strips] for s in plan.sets] == [
        ["accent", "background", "accent"],
        ["background", "accent", "background"],
    ]
    assert [s.slices for s in plan.sets] == [36, 18]
    assert all(s.slice == w for s in plan.sets for _, w in s.strips)
    rails = plan_of("rope-walk", "one-way")
    check(rails)
    assert [len(s.strips) for s in rails.sets] == [3]
    assert rails.sets[0].text in plan_text(rails)
    assert plan_data(rails)["strip_sets"][0]["slices"] == rails.sets[0].slices


def test_strips_for_a_print_that_would_lie_on_its_side_are_cut_apart() -> None:
    """An upright one-way print in rows: only columns keep it upright in a strip set."""
    quilt = lay_out(load_patterns().get("net-menders-chain"))
    upright = Quilt(
        quilt.name,
        quilt.pattern,
        quilt.width,
        quilt.height,
        quilt.block_size,
        quilt.rows,
        quilt.columns,
        quilt.pieces,
        quilt.roles,
    )
    chosen = choose_units(
        upright, dict.fromkeys(quilt.roles, "one-way"), dict.fromkeys(quilt.roles, 40.0)
    )
    for unit in (u for us in chosen.units.values() for u in us if u.method == "strip set"):
        assert {m.lie_deg for m in unit.members} == {0.0}


def test_mitred_borders_are_as_long_as_the_side_and_trimmed() -> None:
    """Derived: at least finished side + 2 x border + 1/2; common practice adds 2 to 4 inches."""
    plan = plan_of("barn-lantern", mitre_extra=3.0)
    check(plan)
    finished: dict[int, float] = {}
    for unit in (p.unit for f in plan.fabrics for p in f.placed if p.unit.members):
        key = unit.members[0].piece
        if plan.quilt.pieces[key].block == "mitred-border":
            finished[key] = finished.get(key, 0.0) + unit.width / 8 - 0.5
    assert len(finished) == 4
    for key, length in finished.items():
        b = plan.quilt.pieces[key].outline.bounds
        assert length >= max(b[2] - b[0], b[3] - b[1]) + 3.0


def test_borders_along_the_selvage_are_whole_and_are_not_turned() -> None:
    plan = plan_of("sail-loft", lengthwise=("accent",))
    check(plan)
    strips = [p for f in plan.fabrics for p in f.placed if p.unit.method == "lengthwise border"]
    assert len(strips) == 4
    assert all(p.height > p.width and not p.turned for p in strips)
    held = plan_of("sail-loft", "one-way", lengthwise=("accent",))
    check(held)  # the print keeps the top and bottom borders across the cloth
    assert (
        len([p for f in held.fabrics for p in f.placed if p.unit.method == "lengthwise border"])
        <= 2
    )


def test_bias_binding_comes_from_a_square_that_is_large_enough() -> None:
    plan = plan_of("gull-cove", binding="bias", binding_strip=2.25)
    check(plan)
    ((size, number),) = sizes(plan, "bias binding").items()
    need = 2 * (plan.quilt.width + plan.quilt.height) + 10
    assert number * (size[0] ** 2 - size[0]) / 2.25 >= need
    assert "bias" in plan_text(plan)


def test_exact_constants_on_request() -> None:
    """The trade cuts side setting triangles of a 10-inch block from 15 1/2, exact is 15 3/8."""
    quilt = lay_out(load_patterns().get("harbour-diamonds"), block_size=10)
    for rule, side in (("trade", 15.5), ("exact", 15.375)):
        plan = cut_plan(quilt, {}, effort=1, options=CutOptions(rule=rule))  # type: ignore[arg-type]
        check(plan)
        assert (side, side) in sizes(plan, "square cut twice")
        assert ("exact" in plan_text(plan)) == (rule == "exact")


def diamonds(angle: float, side: float, count: int) -> list[CutShape]:
    t = math.radians(angle)
    outline = Outline(
        (
            (0, 0),
            (side, 0),
            (side + side * math.cos(t), side * math.sin(t)),
            (side * math.cos(t), side * math.sin(t)),
        )
    )
    return [CutShape(k, outline.turned(37.0 * k, (0, 0)), 0.0) for k in range(count)]


@pytest.mark.parametrize("angle", [45, 60])
def test_diamonds_from_strips(angle: float) -> None:
    """Derived: strip = height + 1/2; every further diamond takes side + 1/2 / sin(angle)."""
    shapes = [common_lie(s, (0, 1, 2, 3), free=True) for s in diamonds(angle, 3, 12)]
    assert {round(s.outline.bounds[2] - s.outline.bounds[0], 6) for s in shapes} == {
        round(3 + 3 * math.cos(math.radians(angle)), 6)
    }
    runs = lay_run(shapes, 40, 0.25, halves=True)
    sine = math.sin(math.radians(angle))
    assert runs[0].height == pytest.approx(3 * sine + 0.5)
    xs = [s.x for s in runs[0].members]
    assert all(b - a == pytest.approx(3 + 0.5 / sine) for a, b in itertools.pairwise(xs))
    assert sum(len(r.members) for r in runs) == 12
    assert all(r.width <= 40 for r in runs)


@given(st.floats(1, 8), st.integers(2, 30), st.booleans())
@settings(max_examples=40, deadline=None)
def test_equilateral_triangles_interlock(side: float, count: int, halves: bool) -> None:
    """Derived: strip = height + 3/4; two triangles every side + 0.866."""
    h = side * math.sqrt(3) / 2
    outline = Outline(((0, h), (side, h), (side / 2, 0)))
    assert along_strip(outline)
    shapes = [CutShape(k, outline, 0.0) for k in range(count)]
    runs = lay_run(shapes, 40, 0.25, halves=halves)
    assert runs[0].height == pytest.approx(h + 0.75)
    assert sum(len(r.members) for r in runs) == count
    slots = runs[0].members
    if len(slots) > 2:
        two = slots[2].x - slots[0].x
        assert two == pytest.approx((1 if halves else 2) * (side + math.sqrt(3) / 2))


@pytest.mark.parametrize("direction", ["one-way", "two-way", "four-way", "non-directional"])
def test_every_block_can_be_cut(direction: Direction) -> None:
    """Every tenth block of the library as a quilt of two by two, every patch once, prints as they
    should be."""
    from quiltgeom.model.pattern import RoleSpec, Tile

    base = load_patterns().get("sail-loft")
    blocks = [b for b in load_blocks() if b.is_rectangular and b.width == b.height][::10]
    assert blocks
    for block in blocks:
        tiles = {name: Tile(block) for name in base.tiles}
        roles = {r: RoleSpec(r) for r in block.roles}
        pattern = replace(base, tiles=tiles, roles=roles, borders=())
        quilt = lay_out(pattern, rows=2, columns=2, block_size=9)
        cloth = {r: f for r, f in fabrics(direction).items() if r in roles}
        plan = cut_plan(quilt, cloth, effort=0, binding_role="")
        check(plan)


@pytest.mark.parametrize(
    ("methods", "words"),
    [
        ({"kelp": "pairs"}, "found role 'kelp'"),
        ({"accent": "folded"}, "accepted: auto"),
        ({"focus": "geese"}, "flying geese"),
        ({"focus": "pairs"}, "half-square"),
    ],
)
def test_a_method_that_does_not_apply_says_so(methods: dict[str, str], words: str) -> None:
    with pytest.raises(QuiltError, match=words):
        plan_of("harbour-windows", methods=methods)


def test_every_method_has_its_words() -> None:
    assert all(METHODS.values())
    with pytest.raises(QuiltError, match="accepted: 1 to 6 in"):
        CutOptions(binding_strip=0)


def test_strips_along_the_cloth_are_no_longer_than_they_need_to_be() -> None:
    """Derived: 14 upright diamonds, eleven strips of which stand side by side, need two to a strip,
    not one strip as long as the cloth is wide."""
    pattern = load_patterns().get("fish-boxes")
    quilt = lay_out(pattern, rows=4, columns=4)
    role = pattern.main_role
    pieces = [p for p in quilt if p.role == role]
    long = cut_units(pieces, "one-way", 40)
    short = cut_units(pieces, "one-way", 40, short=40)
    assert max(u.height for u in short) < max(u.height for u in long) / 3
    for units in (long, short):
        assert sorted(m.piece for u in units for m in u.members) == [p.index for p in pieces]
    plan = cut_plan(quilt, {role: Fabric("waves", colour="#335577", direction="one-way")})
    length = next(f.length for f in plan.fabrics if f.role == role)
    assert length * 8 < max(u.height for u in long) / 2


def test_the_better_list_is_planned(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither long nor short slanted strips are always better, nor joining: every role gets what
    takes less cloth."""
    quilt, worn = _one_way()
    wanted = wanted_units(quilt, worn)
    thrifty = CutOptions(manner="thrifty")
    best = {f.role: f.buy for f in cut_plan(quilt, worn, effort=2, options=thrifty).fabrics}
    first = replace(wanted, ways={r: ways[:1] for r, ways in wanted.ways.items()})
    monkeypatch.setattr("quiltgeom.cutting.cutting_plan.wanted_units", lambda *a, **k: first)
    alone = {f.role: f.buy for f in cut_plan(quilt, worn, effort=2, options=thrifty).fabrics}
    assert all(best[r] <= alone[r] for r in best)
    assert best[load_patterns().get("fish-boxes").main_role] < alone["focus"]


def _one_way() -> tuple[Quilt, dict[str, Fabric]]:
    quilt = lay_out(load_patterns().get("fish-boxes"))
    return quilt, {r: Fabric(r, colour="#335577", direction="one-way") for r in quilt.roles}


def test_no_list_beats_the_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bound that holds for the lists that are searched is none for the fabric: here every list
    may, as far as anybody knows, be cut from a step less."""
    quilt, worn = _one_way()
    ways = wanted_units(quilt, worn).ways
    before = cut_plan(quilt, worn, effort=1).fabrics
    low = FabricSearch._low
    monkeypatch.setattr(FabricSearch, "_low", lambda self, demand: low(self, demand) - 1)
    monkeypatch.setattr(FabricSearch, "_raised", lambda self, lows: None)
    after = cut_plan(quilt, worn, effort=1).fabrics
    open_ = [
        (f, g)
        for f, g in zip(before, after, strict=True)
        if len(ways[f.role]) > 1 and f.status == "optimal"
    ]
    assert open_
    for f, g in open_:
        assert (g.status, g.bound) == ("within", f.bound - f.terms.step)
