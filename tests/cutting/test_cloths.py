"""Several pieces of cloth, terms of the shop, and what they say when it cannot be."""

from __future__ import annotations

import json
from collections import Counter

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.cloth_sizes import NAMED_CLOTH, parse_cloths
from quiltgeom.cutting.buying.largest import _Search, largest_version
from quiltgeom.cutting.buying.terms import Terms, parse_step
from quiltgeom.cutting.buying.yardage import squares_from
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solver.budget import Budget
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.several_cloths import cut_from_cloths
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric, Repeat
from tests.cutting.checker import faults


def inside(plan: CutPlan, cloths: dict[str, tuple[tuple[float, float], ...]]) -> None:
    """Every rectangle on its own cloth, by the independent judge, cloth by cloth."""
    for fabric in plan.fabrics:
        for number, (length, width) in enumerate(cloths[fabric.role]):
            mine = [p for p in fabric.placed if p.cloth == number]
            boxes = [(p.x, p.y, p.width, p.height) for p in mine]
            wanted = Counter((p.unit.width / 8, p.unit.height / 8) for p in mine)
            assert not mine or faults(boxes, wanted, width, length, may_turn=True) == []
    seen = Counter(
        m.piece for f in plan.fabrics for p in f.placed for m in p.unit.members if m.part == 1
    )
    assert seen == Counter({p.index: 1 for p in plan.quilt})


def test_fat_quarters_and_odd_pieces() -> None:
    cloths = {
        "focus": parse_cloths("4*18x40"),
        "background": parse_cloths("8*fat-eighth"),
        "accent": parse_cloths("4*fat-quarter+2*9x40"),
    }
    quilt = lay_out(load_patterns().get("rope-walk"), rows=6, columns=6)
    plan = cut_plan(quilt, {}, have=cloths)
    assert [f.status for f in plan.fabrics] == ["fits"] * 3
    assert plan.fits
    inside(plan, cloths)
    assert "pieces of cloth" in plan.fabrics[0].why


def test_too_little_in_several_pieces_is_proved() -> None:
    quilt = lay_out(load_patterns().get("rope-walk"))
    have = dict.fromkeys(quilt.roles, parse_cloths("2*fat-eighth"))
    plan = cut_plan(quilt, {}, have=have)
    assert [f.status for f in plan.fabrics] == ["impossible"] * 3
    for f in plan.fabrics:
        assert f.proof is not None
        assert f.proof.holds(f.demand)
        assert "cannot be cut from this cloth" in f.why


def test_a_wide_scrap_among_narrow_cloths_does_no_harm() -> None:
    """Strips are then joined from lengths that the narrow cloths give."""
    quilt = lay_out(load_patterns().get("rope-walk"), rows=6, columns=6)
    cloths = {"background": parse_cloths("8*fat-eighth+2.5x40")}
    plan = cut_plan(quilt, {}, have=cloths, effort=1)
    background = next(f for f in plan.fabrics if f.role == "background")
    assert background.status == "fits"
    assert "strips as long as the narrowest cloth is wide" in plan.ways


@given(st.integers(8, 60), st.integers(20, 200), st.integers(20, 320))
@settings(max_examples=60, deadline=None)
def test_squares_are_never_fewer_than_a_grid_gives(side: int, length: int, width: int) -> None:
    """Floor division (derived): a straight grid of cuts is always found."""
    many = squares_from(length, width, side)
    if many:
        spots = cut_from_cloths(Demand.of([(side, side, many)]), [(width, length)], tries=1)
        assert spots is not None
        assert len(spots) == many


@given(
    st.lists(
        st.tuples(st.integers(8, 60), st.integers(8, 60), st.integers(1, 6)), min_size=1, max_size=5
    ),
    st.booleans(),
)
@settings(max_examples=40, deadline=None)
def test_what_is_cut_from_several_cloths_is_all_there(
    rows: list[tuple[int, int, int]], may_turn: bool
) -> None:
    demand = Demand.of(rows, may_turn=may_turn)
    cloths = [(168, 72), (168, 72), (320, 100), (80, 80)]
    spots = cut_from_cloths(demand, cloths, tries=6)
    if spots is None:
        return
    assert Counter(s.item for s in spots) == Counter(
        {k: i.count for k, i in enumerate(demand.items)}
    )
    for number, (width, length) in enumerate(cloths):
        mine = [s for s in spots if s.cloth == number]
        boxes = [(float(s.x), float(s.y), float(s.width), float(s.height)) for s in mine]
        wanted = Counter(
            (float(demand.items[s.item].width), float(demand.items[s.item].height)) for s in mine
        )
        assert not mine or faults(boxes, wanted, width, length, may_turn=may_turn) == []


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("none", "LENGTHxWIDTH"),
        ("x*5x5", "a number up to 999"),
        ("0*5x5", "a number up to 999"),
        ("5x5+", "LENGTHxWIDTH"),
    ],
)
def test_cloth_that_is_none(text: str, words: str) -> None:
    with pytest.raises(QuiltError, match=words):
        parse_cloths(text)


def test_precut_sizes() -> None:
    """Extension fair books: fat quarter 18 x 20 to 22, fat eighth 9 x 21 to 22; 5 and 10 inch
    squares and 2 1/2 inch strips are common practice."""
    assert NAMED_CLOTH["fat-quarter"] == (18, 21)
    assert NAMED_CLOTH["fat-eighth"] == (9, 21)
    assert NAMED_CLOTH["strip-2.5"][0] == 2.5


def test_terms_of_the_shop() -> None:
    """1 yd = 0.9144 m exactly; eighths of a yard are 4 1/2 inches."""
    yard, metre = Terms(), Terms(step=parse_step("10cm"))
    assert yard.buy(36 - 1) == 36
    assert yard.buy(36) == 40.5
    assert metre.buy(36) * 0.0254 == pytest.approx(1.0)
    assert metre.said(metre.buy(36)) == "1 m"
    assert Terms(shrink=0.05, straighten=0).buy(100) >= 105
    assert [parse_step(f"{t}yd") for t in ("1/8", "1/4", "1/3", "3/8", "1/2", "1")] == [
        4.5,
        9,
        12,
        13.5,
        18,
        36,
    ]
    with pytest.raises(QuiltError, match="accepted"):
        Terms(step=0)


def test_command_takes_several_cloths_and_metric_steps() -> None:
    args = [
        "cut",
        "--pattern",
        "rope-walk",
        "--have",
        "accent=4*fat-quarter",
        "--have",
        "accent=2*9x40",
        "--step",
        "10cm",
        "--shrink",
        "4",
        "--seconds",
        "1",
        "--json",
    ]
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 0, result.output
    rows = {f["role"]: f for f in json.loads(result.output)["fabrics"]}
    assert len(rows["accent"]["cloths_in"]) == 6
    assert rows["focus"]["buy_in"] / 3.937007874 == pytest.approx(
        round(rows["focus"]["buy_in"] / 3.937007874)
    )
    for more in (
        ["--step", "0"],
        ["--method", "accent"],
        ["--method", "accent=folded"],
        ["--method", "kelp=pairs"],
        ["--method", "focus=geese"],
        ["--have", "accent=2*"],
        ["--lengthwise", "kelp"],
        ["--back-width", "3in"],
    ):
        wrong = CliRunner().invoke(cli, ["cut", "--pattern", "rope-walk", *more])
        assert wrong.exit_code == 2, more
        assert "accepted" in wrong.output


def test_versions_that_are_ruled_out_do_not_fit() -> None:
    """The quick bound against whole plans: of the sizes just ruled out none can be planned."""
    pattern = load_patterns().get("gull-cove")
    have = {r: (20.0, 40.0) for r in pattern.roles}
    search = _Search(pattern, {}, have, 40.0, CutOptions(), Terms(), None, (), Budget(0.3), 2)
    search.collect(0.5, 1.0)
    assert search.too_large
    known = {(v.rows, v.columns, v.size) for v in search.versions}
    out = [
        (r, n, 6 + k / 4)
        for r in (2, 3, 4)
        for n in (2, 3)
        for k in range(13)
        if (r, n, 6 + k / 4) not in known
    ]
    assert out
    for rows, columns, size in out[:: max(1, len(out) // 6)]:
        quilt = lay_out(pattern, rows=rows, columns=columns, block_size=size)
        assert not cut_plan(quilt, {}, have=have, effort=1).fits


def test_the_largest_version_fits_and_says_what_is_proved() -> None:
    pattern = load_patterns().get("sail-loft")
    have = {r: (20.0, 40.0) for r in pattern.roles}
    found = largest_version(pattern, {}, have, effort=1, tries=2, least=0.6, most=0.8)
    assert found is not None
    assert found.plan.fits
    inside(found.plan, {r: ((20.0, 40.0),) for r in pattern.roles})
    assert 0 < found.proved <= found.larger
    assert str(found.larger) in found.sentence


def test_the_largest_version_keeps_to_what_is_asked() -> None:
    """Without a binding the same cloth makes at least as much; windows on motifs are windows."""
    pattern = load_patterns().get("harbour-windows")
    have = {"accent": (30.0, 40.0), "focus": (40.0, 40.0)}
    found = {
        b: largest_version(
            pattern, {}, have, effort=0, tries=0, least=0.8, most=0.8, binding_role=b
        )
        for b in (None, "")
    }
    area = {b: f.plan.quilt.width * f.plan.quilt.height for b, f in found.items() if f}
    assert area[""] >= area[None]
    assert found[""] is not None
    assert found[""].plan.binding_strips == 0
    print_ = Fabric(
        "kelp", colour="#224466", direction="one-way", repeat=Repeat(6, 6), motif=(3, 3)
    )
    aimed = largest_version(
        pattern, {"focus": print_}, have, effort=0, tries=0, least=0.8, most=0.8, fussy=("focus",)
    )
    assert aimed is not None
    windows = [p for f in aimed.plan.fabrics for p in f.placed if p.unit.method == "fussy cut"]
    assert windows


def test_command_largest() -> None:
    args = ["cut", "--pattern", "rope-walk", "--largest", "--tries", "0", "--seconds", "20"]
    have = [x for r in ("focus", "background", "accent") for x in ("--have", f"{r}=15x40")]
    result = CliRunner().invoke(cli, [*args, *have])
    assert result.exit_code == 0, result.output
    assert "proved not to fit" in result.output
    assert CliRunner().invoke(cli, args).exit_code == 2
    none = CliRunner().invoke(cli, [*args, "--have", "focus=1x1"])
    assert none.exit_code == 2
    assert "found no version" in none.output
