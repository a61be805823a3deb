"""Straightening and washing of cloth at hand and of cloth to buy, widths by role, spare strips."""

from __future__ import annotations

import json
from collections import Counter

import pytest
from click.testing import CliRunner

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.cloth_sizes import NAMED_CLOTH, ClothSize
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import CutPlan, FabricPlan, cut_plan, plan_list
from quiltgeom.cutting.listing import plan_backing, plan_data, plan_text
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.order import cut_order
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.quilt import Quilt
from tests.cutting.checker import faults


def small(key: str = "sail-loft") -> Quilt:
    return lay_out(load_patterns().get(key), rows=2, columns=2)


def role(plan: CutPlan, name: str) -> FabricPlan:
    return next(f for f in plan.fabrics if f.role == name)


@pytest.mark.parametrize(
    ("terms", "cloth", "left"),
    [
        (Terms(), (36, 40), (35, 40)),
        (Terms(straighten=2.5), (18, 21), (15.5, 21)),
        (Terms(), (10, 10), (10, 10)),
        (Terms(), (10.25, 10), (9.25, 10)),
        (Terms(straighten=0), (36, 40), (36, 40)),
        # (36 - 1) / 1.05 = 33.33, 40 / 1.05 = 38.095; 5 / 1.25 = 4
        (Terms(shrink=0.05), (36, 40), (33.25, 38)),
        (Terms(shrink=0.25), (5, 5), (4, 4)),
        # 18 - 2 = 16, 16 / 1.25 = 12.8; 21 / 1.25 = 16.8
        (Terms(shrink=0.25, straighten=2), (18, 21), (12.75, 16.75)),
    ],
)
def test_what_is_left_of_a_piece_of_cloth(
    terms: Terms, cloth: tuple[float, float], left: tuple[float, float]
) -> None:
    """Worked by hand: (length - straightening) / (1 + shrinkage), width / (1 + shrinkage), then
    down to 1/8; up to 10 in long nothing is straightened."""
    assert terms.cloth(ClothSize(*cloth)) == left


def test_precut_squares_and_strips_are_not_straightened() -> None:
    for name in ("square-5", "square-10", "strip-2.5", "strip-1.5"):
        assert Terms().cloth(NAMED_CLOTH[name]) == NAMED_CLOTH[name]
    assert Terms().cloth(NAMED_CLOTH["fat-quarter"]) == (17, 21)


def test_cloth_that_is_all_straightened_away_is_one_error() -> None:
    with pytest.raises(QuiltError, match="0 in of it after straightening"):
        Terms(straighten=18).cloth(ClothSize(12, 40))


def test_a_yard_at_hand_is_35_inches_and_says_so() -> None:
    """Nine squares of 12 in take 36 in of cloth 36 in wide: a yard that is still to be straightened
    does not give them, one that was does."""
    squares = [CutUnit("rectangle", 96, 96, fixed=True)] * 9
    yard = plan_list("focus", None, squares, cloths=(36, 36))
    assert yard.status == "impossible"
    assert yard.have == 35
    assert yard.at_hand == '36" x 36", 35" after straightening'
    squared = plan_list("focus", None, squares, cloths=(36, 36), terms=Terms(straighten=0))
    assert (squared.status, squared.at_hand) == ("fits", '36" x 36"')
    assert squared.why == "fits: takes 36 of 36 in"
    long = plan_list("focus", None, squares, cloths=(40, 36))
    assert long.why == "fits: takes 36 of 39 in"
    washed = plan_list("focus", None, squares, cloths=(42, 36), terms=Terms(shrink=0.05))
    assert washed.status == "impossible"  # 34 1/4 in wide
    assert washed.at_hand == '42" x 36", 39" x 34 1/4" after straightening and washing'


def test_several_cloths_lose_each_their_own() -> None:
    eights = [CutUnit("rectangle", 64, 64)] * 4
    pair = plan_list("focus", None, eights, cloths=(ClothSize(17, 8), ClothSize(17, 8)))
    assert pair.status == "fits"
    assert pair.at_hand == '2 of 17" x 8", 16" after straightening'
    assert max(p.y + p.height for p in pair.placed) <= 16
    less = plan_list("focus", None, eights, cloths=(ClothSize(16.5, 8), ClothSize(17, 8)))
    assert less.status != "fits"


def test_washing_narrows_what_is_bought_and_the_back() -> None:
    """Two squares of 20 in lie side by side on 40 in, but not after it has shrunk to 38 in."""
    squares = [CutUnit("rectangle", 160, 160)] * 2
    assert plan_list("focus", None, squares).length == 20
    washed = plan_list("focus", None, squares, terms=Terms(shrink=0.05))
    assert (washed.length, washed.width, washed.sold) == (40, 38, 40)
    # 40 x 1.05 + 1 = 43: ten steps of 4 1/2 in
    assert washed.buy == 45
    assert washed.across == '40" wide, 38" after washing'
    quilt = small()
    plan = cut_plan(quilt, {}, terms=Terms(shrink=0.3), effort=1)
    assert all(p.x + p.width <= 30.75 for f in plan.fabrics for p in f.placed)
    assert plan_backing(plan).panels >= plan_backing(cut_plan(quilt, {}, effort=1)).panels
    assert '40" wide, 30 3/4" after washing' in plan_text(plan)


def test_width_by_role() -> None:
    quilt = small()
    plain = cut_plan(quilt, {}, effort=1)
    plan = cut_plan(quilt, {}, width={"focus": 54.0, "*": 42.0}, effort=1)
    assert {f.role: f.width for f in plan.fabrics} == {"focus": 54, "background": 42, "accent": 42}
    assert {f.width for f in cut_plan(quilt, {}, width={"focus": 40.0}, effort=1).fabrics} == {40}
    assert role(plan, "focus").length <= role(plain, "focus").length
    assert '54" wide' in plan_text(plan)
    with pytest.raises(QuiltError, match=r"'kelp'.*accepted: focus"):
        cut_plan(quilt, {}, width={"kelp": 54.0})


@pytest.mark.parametrize("wide", [False, True])
def test_a_spare_strip_lies_right_across_every_cloth(wide: bool) -> None:
    quilt = small()
    have = {"accent": (60.0, 44.0)} if wide else None
    plan = cut_plan(quilt, {}, have=have, options=CutOptions(spare=2.5), effort=1)
    for f in plan.fabrics:
        spare = [p for p in f.placed if p.unit.method == "spare strip"]
        assert [(p.x, p.width, p.height) for p in spare] == [(0, f.width, 2.5)]
        boxes = [(p.x, p.y, p.width, p.height) for p in f.placed]
        wanted = Counter((p.width, p.height) for p in f.placed)
        assert faults(boxes, wanted, f.width, f.length, may_turn=False) == []
        assert any(("spare", 1) in stack for s in cut_order(f) for stack in s.stacks)
    assert all(f["cuts"][-1]["label"] == "spare" for f in plan_data(plan)["fabrics"])
    assert plan_text(plan).count("spare strip, for what goes wrong") == len(plan.fabrics)
    without = cut_plan(quilt, {}, have=have, effort=1)
    assert [f.letters for f in plan.fabrics] == [f.letters for f in without.fabrics]


def test_command() -> None:
    args = ["cut", "--pattern", "sail-loft", "--json", "--seconds", "2"]

    def focus(*more: str) -> dict[str, object]:
        result = CliRunner().invoke(cli, [*args, *more])
        assert result.exit_code == 0, result.output
        return next(f for f in json.loads(result.stdout)["fabrics"] if f["role"] == "focus")

    yard = focus("--have", "focus=48inx40in")
    assert (yard["have_in"], yard["at_hand_in"]) == (47, [[48, 40]])
    assert focus("--have", "focus=48inx40in", "--straighten", "0")["have_in"] == 48
    assert focus("--have", "focus=48inx40in", "--straighten", "0in")["have_in"] == 48
    wide = focus("--width", "42in", "--width", "focus=54in", "--spare", "2.5in")
    assert wide["width_in"] == 54
    assert wide["cuts"][-1]["method"] == "spare strip"  # type: ignore[index]
    for more in (
        ["--straighten", "-1in"],
        ["--spare", "60in"],
        ["--width", "=42in"],
        ["--width", "kelp=42in"],
        ["--have", "36inx40in"],
    ):
        wrong = CliRunner().invoke(cli, [*args, *more])
        assert wrong.exit_code == 2, more
        assert "accepted" in wrong.output
