"""The cheapest of several bolts: against every combination, with its words and its command."""

from __future__ import annotations

import itertools
import json

import pytest
from click.testing import CliRunner

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.bolts import cheapest_plan
from quiltgeom.cutting.buying.offers import Bolt, Offer, parse_bolt
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.listing import plan_data, plan_text
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns


def cost(plan: CutPlan, price: dict[float, float]) -> float:
    return sum(price[f.sold or 0.0] * f.buy / 36 for f in plan.fabrics)


@pytest.mark.parametrize("key", ["sail-loft", "rope-walk"])
@pytest.mark.parametrize("price", [{36.0: 9.0, 44.0: 11.0}, {36.0: 9.0, 44.0: 10.0, 60.0: 14.5}])
def test_no_combination_of_widths_is_cheaper(key: str, price: dict[float, float]) -> None:
    """Exhaustive: every width for every role, each planned and added up."""
    quilt = lay_out(load_patterns().get(key), rows=3, columns=3)
    bolts = [Bolt(w, p) for w, p in price.items()]
    plan = cheapest_plan(quilt, {}, {"*": bolts}, effort=1)
    roles = [f.role for f in plan.fabrics]
    all_costs = [
        cost(cut_plan(quilt, {}, width=dict(zip(roles, widths, strict=True)), effort=1), price)
        for widths in itertools.product(price, repeat=len(roles))
    ]
    assert cost(plan, price) == pytest.approx(min(all_costs))
    assert max(all_costs) > min(all_costs)
    for f in plan.fabrics:
        assert len(f.offers) == len(price)
        assert f.offers[0].bolt.width == f.sold
        assert f.offers[0].length == f.buy
        assert f.offers[0].cost == min(o.cost for o in f.offers)


def test_of_equal_costs_the_less_cloth_then_the_narrower() -> None:
    def offer(width: float, length: float, cost: float) -> Offer:
        return Offer(Bolt(width, 1.0), length, cost)

    dear, wide, narrow = offer(40, 9, 3), offer(60, 18, 2), offer(40, 18, 2)
    less = offer(60, 9, 2)
    assert sorted([dear, wide, narrow, less], key=lambda o: o.key) == [less, narrow, wide, dear]
    assert offer(40, 18, 2).key < offer(80, 9, 2).key


def test_a_bolt_that_is_too_narrow_is_said_and_not_taken() -> None:
    quilt = lay_out(load_patterns().get("sail-loft"), rows=2, columns=2)
    bolts = {"background": [Bolt(5.0, 0.5), Bolt(42.0, 12.0)]}
    plan = cheapest_plan(quilt, {}, bolts, effort=1)
    background = next(f for f in plan.fabrics if f.role == "background")
    assert background.sold == 42
    assert background.offers[1].length is None
    assert 'wide, on cloth of 5"' in background.offers[1].why
    assert '5" wide at 0.50: cannot be cut' in plan_text(plan)
    row = next(f for f in plan_data(plan)["fabrics"] if f["role"] == "background")
    assert [o["taken"] for o in row["offers"]] == [True, False]
    assert row["offers"][1]["cost"] is None
    assert all(not f.offers and f.sold == 40 for f in plan.fabrics if f.role != "background")


def test_cloth_at_hand_is_not_bought() -> None:
    quilt = lay_out(load_patterns().get("sail-loft"), rows=2, columns=2)
    plan = cheapest_plan(
        quilt,
        {},
        {"*": [Bolt(42, 10)], "accent": [Bolt(60, 1)]},
        have={"focus": (36.0, 40.0)},
        effort=1,
    )
    assert {f.role: f.sold for f in plan.fabrics} == {"focus": None, "background": 42, "accent": 60}
    with pytest.raises(QuiltError, match="'kelp'"):
        cheapest_plan(quilt, {}, {"kelp": [Bolt(42, 10)]})


def test_prices_are_per_yard_or_per_metre() -> None:
    """1 yd = 0.9144 m exactly."""
    assert Terms().cost(10.0, 36.0) == 10.0
    assert Terms(step=10 / 2.54).cost(10.0, 36.0) == pytest.approx(9.144)


def test_command() -> None:
    args = ["cut", "--pattern", "sail-loft", "--seconds", "3", "--bolt"]
    said = CliRunner().invoke(
        cli,
        [*args, "42in=11.50", "--bolt", "focus:60in=12", "--bolt", "focus:42in=11.50", "--json"],
    )
    assert said.exit_code == 0, said.output
    rows = {f["role"]: f for f in json.loads(said.stdout)["fabrics"]}
    assert [len(rows[r]["offers"]) for r in ("focus", "background", "accent")] == [2, 1, 1]
    taken = rows["focus"]["offers"][0]
    assert taken["cost"] == pytest.approx(taken["price"] * taken["buy_in"] / 36)
    for wrong in ("42in", "42in=", "=5", ":42in=5", "42in=nan", "42in=-1", "0.1in=5", "x=5"):
        result = CliRunner().invoke(cli, [*args, wrong])
        assert result.exit_code == 2, wrong
        assert "accepted" in result.output


def test_a_bolt_is_parsed() -> None:
    role, bolt = parse_bolt(" focus : 110cm = 12.5 ")
    assert (role, bolt.price) == ("focus", 12.5)
    assert bolt.width == pytest.approx(110 / 2.54)
    assert parse_bolt("1 1/4 yd=8") == ("*", Bolt(45, 8))
