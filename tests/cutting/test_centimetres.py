"""Centimetres throughout: sizes worked by hand, plans in millimetres judged by independent code,
and not one inch in any document."""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.plain_list import ListedPiece, list_text, plan_pieces
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import CutPlan
from quiltgeom.cutting.listing import cut_lines, plan_csv, plan_data, plan_text
from quiltgeom.cutting.methods.squares import half_side
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.solver.items import Demand
from quiltgeom.cutting.solver.solve import shortest
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.documents.cutting_pages import piece_marks
from quiltgeom.documents.cutting_pages.cutting_folder import plan_design
from quiltgeom.documents.cutting_pages.cutting_sheet import cutting_sheets
from quiltgeom.documents.cutting_pages.finishing_sheet import finishing_sheet
from quiltgeom.documents.kit import kit_pages
from quiltgeom.documents.kit_html import kit_html
from quiltgeom.errors import QuiltValueError
from quiltgeom.library.design_file import design_from_data, design_text
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.piecing.seam_check.sews_together import sewn_quilt
from quiltgeom.proposal.proposal import propose
from quiltgeom.render import text as words
from quiltgeom.render.preview import make_quilt
from quiltgeom.tracing.template_files import sewing_of, templates_of
from quiltgeom.units import CENTIMETRES, INCH_IN_CM
from tests.cutting.checker import faults

CM = 1 / INCH_IN_CM
INCH_WORDS = re.compile(r'"|″|\binch|\byd\b|\byard|\d/\d|\d in\b')
KEYS = ["harbour-windows", "sail-loft", "net-menders-chain"]


def in_cm(plan: CutPlan, method: str) -> set[tuple[float, float]]:
    """Cut sizes of a method, centimetres."""
    return {
        (round(p.unit.wide / CM, 6), round(p.unit.high / CM, 6))
        for f in plan.fabrics
        for p in f.placed
        if p.unit.method == method
    }


@pytest.fixture(scope="module", params=KEYS)
def plan(request: pytest.FixtureRequest) -> CutPlan:
    """A pattern in its usual size in centimetres, its focus print one-way."""
    print_ = Fabric("kelp", colour="#88aacc", direction="one-way")
    return plan_design(Design(request.param, {"focus": print_}, units="cm"), effort=2)


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every text that is drawn, in any scene."""
    seen: list[str] = []
    draw = words.text_path

    def spy(text: str, *args: object, **more: object) -> object:
        seen.append(text)
        return draw(text, *args, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(words, "text_path", spy)
    monkeypatch.setattr(piece_marks, "text_path", spy)
    return seen


def test_a_nine_patch_of_15_cm_is_cut_from_squares_of_6_5_cm() -> None:
    """By hand: 15 / 3 + 2 x 0.75."""
    design = Design("net-menders-chain", block_size=15 * CM, units="cm")
    quilt = make_quilt(design)
    patch = next(p for p in quilt if p.block == "nine-patch")
    roles = {r: "squares" for r, n in quilt.count_by_role.items() if n}
    options = CutOptions.usual(CENTIMETRES, methods=roles)
    units = wanted_units(quilt, {}, options=options).units[patch.role]
    found = {(u.width, u.height) for u in units if any(m.piece == patch.index for m in u.members)}
    assert found == {(65, 65)}


@pytest.mark.parametrize(("finished", "cut"), [(10.0, 12.6), (5.0, 7.6), (12.5, 15.1)])
def test_half_square_triangles_by_hand(finished: float, cut: float) -> None:
    """Finished + (2 + sqrt 2) x 0.75 = finished + 2.5607, up to the millimetre."""
    side = half_side(finished * CM, CutOptions.usual(CENTIMETRES))
    assert side / CM == pytest.approx(cut, abs=1e-9)


def test_the_trades_additions_are_of_inches() -> None:
    with pytest.raises(QuiltValueError, match="accepted: exact"):
        CutOptions(ruler=CENTIMETRES)


def test_cloth_by_hand() -> None:
    """0.995 m with 2.5 cm for straightening: 1.02 m, sold by 10 cm: 1.1 m."""
    terms = Terms.usual(CENTIMETRES)
    assert terms.said(terms.buy(99.5 * CM)) == "1.1 m"
    assert terms.text.startswith("Lengths to buy include 2.5 cm for straightening.")


def test_plans_in_millimetres_pass_the_independent_judge(plan: CutPlan) -> None:
    for f in plan.fabrics:
        boxes = [(p.x, p.y, p.width, p.height) for p in f.placed]
        wanted = Counter((p.unit.width, p.unit.height) for p in f.placed)
        whole = [tuple(round(v / CM * 10, 6) for v in b) for b in boxes]
        assert all(v == int(v) for b in whole for v in b)  # all in whole millimetres
        free = f.direction in ("four-way", "non-directional")
        size = (round(f.width / CM * 10), round(f.length / CM * 10))
        sizes = Counter({(float(w), float(h)): n for (w, h), n in wanted.items()})
        found = faults([(x, y, w, h) for x, y, w, h in whole], sizes, *size, may_turn=free)
        assert found == []
        assert f.buy / CM / 10 == pytest.approx(round(f.buy / CM / 10), abs=1e-6)
        assert f.terms.usable(f.buy) >= f.length - 1e-9


def test_no_document_speaks_inches(plan: CutPlan, drawn: list[str]) -> None:
    """List, order of cuts, diagrams, finishing, kit and its page."""
    kit = propose(Design(plan.quilt.pattern, units="cm"), plan=plan)
    kit_pages(kit)
    for f in plan.fabrics:
        cutting_sheets(f, plan.quilt.name, None, seam=plan.options.seam)
    finishing_sheet(plan)
    page = re.sub(r"<style>.*?</style>|<[^>]*>", " ", kit_html(kit)).replace("&quot;", '"')
    texts = [
        *drawn,
        page,
        plan_text(plan),
        plan_text(plan, markdown=True),
        plan_csv(plan),
        *kit.sewing.lines(),
        kit.sewing.seam_note,
    ]
    assert len(drawn) > 100
    assert [m for t in texts for m in re.findall(f".{{0,30}}(?:{INCH_WORDS.pattern})", t)] == []
    assert any(" cm" in t for t in drawn)
    assert INCH_WORDS.search('2 1/2"')
    assert INCH_WORDS.search("45 x 60 in package")


def test_what_is_cut_in_millimetres_sews_together(plan: CutPlan) -> None:
    sewn = sewn_quilt(plan.quilt, plan.letters, seam=plan.options.seam)
    assert sewn.faults == ()
    assert all(" cm" in t or "template" in t for t in sewn.trims)


@pytest.mark.parametrize("key", ["lighthouse-keep", "tide-tables", "harbour-diamonds"])
@pytest.mark.parametrize("block", [None, 23.3 * CM])
def test_lists_in_millimetres_sew_together(key: str, block: float | None) -> None:
    """At the usual size, and at one that lies between all marks."""
    quilt = make_quilt(Design(key, block_size=block, units="cm"))
    options = CutOptions.usual(CENTIMETRES)
    letters = wanted_units(quilt, {}, options=options).letters
    assert sewn_quilt(quilt, letters, seam=options.seam).faults == ()


def test_usual_sizes_become_half_centimetres() -> None:
    quilt = make_quilt(Design("harbour-windows", units="cm"))
    assert quilt.block_size / CM == pytest.approx(30)
    asked = make_quilt(Design("harbour-windows", size=(120 * CM, 150 * CM), units="cm"))
    assert (asked.width / CM, asked.height / CM) == pytest.approx((120, 150), abs=15)
    assert asked.block_size / CM * 2 == pytest.approx(round(asked.block_size / CM * 2))
    own = make_quilt(Design("harbour-windows", block_size=31 * CM, units="cm"))
    assert own.block_size == 31 * CM


def test_a_list_is_solved_on_what_divides_all_its_sizes() -> None:
    """With and without: straight cuts lie on multiples of 5 mm wherever they matter."""
    demand = Demand.of([(265, 265, 10), (40, 540, 4), (1000, 65, 6)])
    fine = shortest(demand, 1003, step=100)
    coarse = shortest(demand.over(5), 200, step=20).times(5)
    assert (coarse.bought, coarse.bound) == (fine.bought, fine.bound) == (1500, 1500)
    assert math.gcd(*coarse.strips) % 5 == 0


def test_a_plain_list_in_centimetres() -> None:
    made = plan_pieces(
        [ListedPiece(20 * CM, 30.01 * CM, 4, "bags")], terms=Terms.usual(CENTIMETRES)
    )
    assert [(n.count, n.size) for n in cut_lines(made)] == [(4, "20 cm x 30.1 cm")]
    assert not INCH_WORDS.search(list_text(made))


def test_a_design_keeps_its_units() -> None:
    data = {"pattern": "gull-cove", "units": "cm", "variant": {"imperial": {"units": "in"}}}
    made = design_from_data(data, folder=Path(), where="d")
    assert (made.units, made.variants["imperial"].units) == ("cm", "in")
    assert made.allowance == pytest.approx(0.75 * CM)
    assert 'units = "cm"' in design_text(made, Path())
    assert 'units = "in"' in design_text(made, Path())
    assert "units" not in design_text(Design("gull-cove"), Path())


def test_the_command_wins(tmp_path: Path) -> None:
    path = tmp_path / "d.toml"
    path.write_text('pattern = "harbour-windows"\nrows = 1\ncolumns = 1\nunits = "cm"\n')
    run = CliRunner().invoke
    own = run(cli, ["cut", str(path), "--json"])
    said = json.loads(own.stdout)
    assert said["units"] == "cm"
    assert said["seam_allowance_in"] == pytest.approx(0.75 * CM)
    asked = json.loads(run(cli, ["cut", str(path), "--units", "in", "--json"]).stdout)
    assert "units" not in asked
    assert asked["seam_allowance_in"] == 0.25
    wrong = run(cli, ["cut", str(path), "--units", "mm"])
    assert wrong.exit_code == 2


def test_templates_and_steps_of_a_block(tmp_path: Path, drawn: list[str]) -> None:
    made = templates_of("churn-dash", size=25 * CM, units="cm", class_sheet=True, paper="a4")
    made.save(tmp_path / "t.pdf")
    papers = templates_of("log-cabin", size=15 * CM, units="cm", foundation=True, paper="a4")
    papers.save(tmp_path / "f.pdf")
    facts = made.to_json()
    said = [
        *drawn,
        *sewing_of("log-cabin", 20 * CM, units="cm").lines(),
        *(row["text"] for row in facts["by_ruler"]),
    ]
    assert [t for t in said if INCH_WORDS.search(t)] == []
    assert facts["seam_allowance_in"] == pytest.approx(0.75 * CM)
    assert "2 cm" in drawn


def test_json_is_in_inches_all_the_same(plan: CutPlan) -> None:
    data = plan_data(plan)
    assert data["units"] == "cm"
    assert data["width_in"] == plan.quilt.width
