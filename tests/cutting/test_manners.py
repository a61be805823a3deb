"""Plans that are easy to cut, and lists in which strips are joined in several ways.

The suite judges a sample; ``QUILTGEOM_EVERY_PLAN=1`` all patterns in three directions.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict

import pytest

from quiltgeom.cutting.cutting_plan import CutPlan, FabricPlan, PlacedUnit, cut_plan
from quiltgeom.cutting.methods.choose import choose_units
from quiltgeom.cutting.methods.joins import Joins, binding_units, strip_units, thrifty_joins
from quiltgeom.cutting.options import CutOptions, Manner
from quiltgeom.cutting.order import parted
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Direction, Fabric
from tests.cutting.checker import _stages
from tests.cutting.test_every_plan import EVERY, judge

RULER = 24.0  # inches across folded cloth, common practice, no source
WAYS: tuple[Direction, ...] = ("one-way", "two-way", "non-directional")
KEYS = [p.key for p in load_patterns()]
CASES = list(itertools.product(KEYS, WAYS))


def planned(key: str, way: Direction, manner: Manner = "easy") -> CutPlan:
    quilt = lay_out(load_patterns().get(key))
    cloth = {r: Fabric(r, colour="#88aacc", direction=way) for r in quilt.roles}
    return cut_plan(quilt, cloth, effort=4, options=CutOptions(manner=manner))


def strips_of(plan: FabricPlan) -> list[list[PlacedUnit]]:
    """Bands that crosswise cuts part."""
    return parted(plan.placed, along=True)


def is_long(p: PlacedUnit) -> bool:
    """A border or sashing strip, whole or a part."""
    return (
        bool(p.unit.members)
        and max(p.width, p.height) >= 18
        and p.unit.method in ("rectangle", "joined strip", "mitred border", "lengthwise border")
    )


def judge_easy(plan: FabricPlan) -> None:
    """What makes a plan easy to cut, seen by rectangles alone."""
    assert plan.manner == "easy"
    bands = strips_of(plan)
    for band in bands:
        height = max(p.y + p.height for p in band) - min(p.y for p in band)
        tall = max(p.height for p in band)
        assert height <= max(RULER, tall) + 1e-6  # only a patch that is so tall itself
        assert tall <= RULER or all(not may_lie(plan, p) for p in band if p.height > RULER), (
            plan.role
        )
        for stack in parted(band, along=False):
            assert len({(p.width, p.height) for p in stack}) <= 2
    boxes = [(p.x, p.y, p.width, p.height) for p in plan.placed]
    assert _stages(boxes, 1) <= 3
    longest = [max((max(p.width, p.height) for p in b if is_long(p)), default=0) for b in bands]
    assert longest == sorted(longest, reverse=True)


def may_lie(plan: FabricPlan, p: PlacedUnit) -> bool:
    """Whether a tall piece could have been laid across the cloth, or joined."""
    turn = plan.direction in ("four-way", "non-directional") and not p.unit.fixed
    return turn and p.height <= plan.width


def judge_grain(plan: CutPlan) -> None:
    """The strips of every border run one way of the cloth, and so do the parts of every strip."""
    for fabric in plan.fabrics:
        grains = defaultdict(set)
        for p in fabric.placed:
            for m in p.unit.members:
                piece = plan.quilt.pieces[m.piece]
                if piece.is_strip and p.width != p.height:
                    lying = p.width > p.height
                    grains[m.piece].add(lying)
                    if piece.in_border and fabric.direction == "non-directional":
                        grains[piece.place.rsplit(" ", 1)[0]].add(lying)
        assert all(len(g) == 1 for g in grains.values()), fabric.role
        binding = {p.width > p.height for p in fabric.placed if p.unit.method == "binding"}
        assert len(binding) < 2


@pytest.mark.parametrize(("key", "way"), CASES if EVERY else CASES[::5])
def test_easy_plans(key: str, way: Direction) -> None:
    plan = planned(key, way)
    judge(plan)
    judge_grain(plan)
    for fabric in plan.fabrics:
        judge_easy(fabric)


@pytest.mark.parametrize(("key", "way"), CASES if EVERY else CASES[3::11])
def test_thrifty_plans_have_one_grain_to_a_border(key: str, way: Direction) -> None:
    plan = planned(key, way, "thrifty")
    judge(plan)
    judge_grain(plan)


@pytest.mark.parametrize(("key", "way"), CASES[::16])
def test_easy_is_the_default_where_it_costs_a_step_at_most(key: str, way: Direction) -> None:
    for fabric in planned(key, way, "auto").fabrics:
        assert fabric.manner == "easy" or (
            fabric.rival is not None and fabric.rival.buy > fabric.buy + 4.5 + 1e-6
        )


def test_no_patch_that_shows_the_print_is_joined() -> None:
    """Gull Cove's squares of 12.7 in from cloth 9 1/4 in wide: no plan, not twelve halves."""
    quilt = lay_out(load_patterns().get("gull-cove"))
    focus = {"focus": Fabric("focus", colour="#88aacc")}
    made = cut_plan(quilt, focus, have={"focus": (120.0, 9.25)}, effort=2).fabrics
    plan = next(f for f in made if f.role == "focus")
    assert plan.status == "impossible"
    assert "cannot be cut" in plan.why
    assert all(m.parts == 1 for p in plan.placed for m in p.unit.members)


@pytest.mark.parametrize("key", KEYS)
def test_only_strips_are_joined(key: str) -> None:
    """Whatever the cloth: 9 in wide, and as long as need be."""
    quilt = lay_out(load_patterns().get(key))
    chosen = choose_units(quilt, {}, {r: 9.0 for r in quilt.roles})
    for units in chosen.units.values():
        assert all(m.parts == 1 for u in units for m in u.members)
    for role, shapes in chosen.strips.items():
        for shape in shapes:
            piece = quilt.pieces[shape.piece]
            assert piece.is_strip
            assert piece.role == role
            assert not piece.in_block


def test_lamp_room_from_one_way_cloth() -> None:
    """Side borders of 62 1/2 in from cloth 36 in long: joined upright."""
    quilt = lay_out(load_patterns().get("lamp-room"))
    cloth = {"focus": Fabric("focus", colour="#88aacc", direction="one-way")}
    plan = next(
        f for f in cut_plan(quilt, cloth, have={"focus": (36.0, 40.0)}).fabrics if f.role == "focus"
    )
    assert plan.status == "fits"
    parts = [p for p in plan.placed if p.unit.method == "joined strip" and p.height > p.width]
    assert parts
    assert all(p.lie(0) == 0 for p in parts)


def test_joined_strips_are_as_long_as_they_must_be() -> None:
    """Worked by hand: a border of 62 1/2 in cut from lengths of 40 is two of 31 1/2 (31 finished),
    or 40 (39 1/2 finished) and 23; seams of 1/4 in are taken twice."""
    quilt = lay_out(load_patterns().get("lamp-room"))
    shapes = choose_units(quilt, {}, {r: 40.0 for r in quilt.roles}).strips["focus"]
    side = [s for s in shapes if quilt.pieces[s.piece].place.endswith("left")]
    even = strip_units(side, "one-way", Joins(40.0, 40.0), CutOptions())
    assert [(u.width / 8, u.height / 8) for u in even] == [(4.5, 31.5), (4.5, 31.5)]
    rest = strip_units(side, "one-way", Joins(40.0, 40.0, even_along=False), CutOptions())
    assert [(u.width / 8, u.height / 8) for u in rest] == [(4.5, 40.0), (4.5, 23.0)]
    across = strip_units(side, "non-directional", Joins(40.0), CutOptions())
    assert [(u.width / 8, u.height / 8) for u in across] == [(31.5, 4.5), (31.5, 4.5)]
    for units in (even, rest, across):
        spans = [u.members[0].span or (0.0, 0.0) for u in units]
        assert math.isclose(sum(b - a for a, b in spans), 62.0)


def test_binding_from_odd_lengths_still_goes_round() -> None:
    """Strips of 20 in, 2 1/2 wide, joined on the diagonal: n x 20 - (n - 1) x 2 1/2 >= 250."""
    quilt = lay_out(load_patterns().get("lamp-room"))  # 50 x 70: 240 and 10 more
    units = binding_units(quilt, Joins(40.0, bound=20.0), CutOptions(), 40.0)
    n = len(units)
    assert n * 20 - (n - 1) * 2.5 >= 250 > (n - 1) * 20 - (n - 2) * 2.5
    assert {(u.width, u.height) for u in units} == {(160, 20)}


def test_binding_from_cloth_at_hand_is_no_longer_than_need_be() -> None:
    """250 in of 2 1/2 from cloth 40 wide: seven strips, together 265, of 37 7/8 instead of 40, or
    eight, 267 1/2, of 33 1/2; from odd cloth the strips are counted as they are cut, down to the
    eighth: of 21 1/2, not of 21.6 (13 of those would be 1/2 in short)."""
    quilt = lay_out(load_patterns().get("lamp-room"))
    units = binding_units(quilt, Joins(40.0, bound=40.0, more=0), CutOptions(), 40.0)
    assert [(u.width / 8, u.height / 8) for u in units] == [(37.875, 2.5)] * 7
    units = binding_units(quilt, Joins(40.0, bound=40.0, more=1), CutOptions(), 40.0)
    assert [(u.width / 8, u.height / 8) for u in units] == [(33.5, 2.5)] * 8
    odd = binding_units(quilt, Joins(21.6, bound=21.6), CutOptions(), 21.6)
    assert [u.width / 8 for u in odd] == [21.5] * 14
    assert 14 * 21.5 - 13 * 2.5 >= 250 > 13 * 21.5 - 12 * 2.5


def test_every_join_across_goes_with_every_join_along() -> None:
    """One-way strips of 22 1/2 in on cloth 18 x 13: both kinds too long, each has three choices;
    the halves of a strip take an allowance more at each new end: 11 1/2, not 11 1/4."""
    ways = thrifty_joins((18.0, 13.0), CutOptions(), turn=False, longest=(22.5, 22.5), binding=0)
    assert {(w.across, w.even, w.along, w.even_along) for w in ways} == set(
        (*a, *b)
        for a in ((18.0, True), (18.0, False), (9.0, True))
        for b in ((13.0, True), (13.0, False), (6.5, True))
    )
    short = thrifty_joins((40.0, 36.0), CutOptions(), turn=False, longest=(22.5, 0.0), binding=0)
    assert [w.across for w in short] == [40.0, 11.5]


def test_ways_start_with_the_fewest_joins() -> None:
    ways = thrifty_joins((40.0, 36.0), CutOptions(), turn=True, longest=(62.0, 62.0), binding=2.5)
    assert ways[0] == Joins(40.0, 36.0, bound=40.0, more=0)
    assert len(ways) == len(set(ways))
    assert {w.stand for w in ways} == {w.bound_along for w in ways} == {True, False}
