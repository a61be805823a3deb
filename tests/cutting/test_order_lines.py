"""The order of cuts in words, worked by hand, and as data in which every piece is named once."""

from __future__ import annotations

from collections import Counter

import pytest

from quiltgeom.cutting.buying.cloth_sizes import ClothSize, parse_cloths
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.fabric_plan import FabricPlan, PlacedUnit
from quiltgeom.cutting.letters import Letters
from quiltgeom.cutting.listing import plan_data, plan_text
from quiltgeom.cutting.methods.unit import CutUnit, Member
from quiltgeom.cutting.order import cut_order, leftovers
from quiltgeom.cutting.order_lines import order_lines
from quiltgeom.cutting.solver.solve import Solution
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns

Piece = tuple[str, float, float, float, float]
"""Letter, left, top, width, height in inches; a small letter: binding."""


def plan_of(
    pieces: list[Piece],
    *,
    lengthwise: bool = False,
    cloths: tuple[ClothSize, ...] = (),
    terms: Terms | None = None,
) -> FabricPlan:
    """A plan by hand; letters are those given."""
    known: dict[str, int] = {}
    placed = []
    for number, (letter, x, y, w, h) in enumerate(pieces, 1):
        index = known.setdefault(letter, len(known))
        unit = CutUnit(
            "binding" if letter.islower() else "rectangle",
            round(w * 8),
            round(h * 8),
            (Member(index, w / 2, h / 2, 0.0),),
        )
        placed.append(PlacedUnit(number, unit, x, y, w, h, False))
    long = round(8 * max(y + h for _, _, y, _, h in pieces))
    solution = Solution(320, long, long, long, (), (), lengthwise=lengthwise)
    letters = Letters({index: letter.upper() for letter, index in known.items()})
    have = sum(c.length for c in cloths) if cloths else None
    return FabricPlan(
        "focus",
        "focus",
        "one-way",
        cloths[0].width if cloths else 40.0,
        solution,
        tuple(placed),
        have,
        cloths,
        terms or Terms(),
        letters=letters,
    )


def said(plan: FabricPlan) -> list[str]:
    return [line.text for line in order_lines(plan)]


def test_equal_strips_share_a_line_and_their_squares_are_counted_together() -> None:
    rows = [("D", 2.5 * k, 2.5 * n, 2.5, 2.5) for n in range(6) for k in range(16 if n < 5 else 3)]
    assert said(plan_of(rows)) == [
        'Square up the end of the cloth (1" is included for this).',
        'Strips 1 to 6: cut 6 strips 2 1/2" across the cloth; from them 83 squares 2 1/2" (D).',
    ]


def test_a_mixed_strip_says_what_comes_from_the_rest() -> None:
    rows = [("A", 5.25 * k, 0, 5.25, 5.25) for k in range(3)]
    rows += [("C", 15.75 + 2.5 * k, 0, 2.5, 5.25) for k in range(4)]
    assert said(plan_of(rows))[1] == (
        'Strip 1: cut 1 strip 5 1/4" across the cloth; from it 3 squares 5 1/4" (A), then from the '
        'rest 4 pieces 2 1/2" x 5 1/4" (C).'
    )


def test_stacks_are_crosscut_first_and_then_cut_apart() -> None:
    rows = [("A", 0, 0, 10, 8)]
    rows += [("B", 10 + 2 * k, 2 * n, 2, 2) for k in range(5) for n in range(4)]
    rows += [("C", 20, 0, 9, 3), ("D", 20, 3, 3, 3), ("D", 23, 3, 3, 3), ("E", 26, 3, 2, 2)]
    assert said(plan_of(rows))[1] == (
        'Strip 1: cut 1 strip 8" across the cloth; from it 1 piece 10" x 8" (A). Then from the '
        'rest crosscut 5 lengths of 2"; from each 4 squares 2" (B). Then crosscut a length of 9"; '
        'from it 1 piece 9" x 3" (C), then a row of 2 squares 3" (D) and 1 square 2" (E), trimmed '
        "to size."
    )


def test_rows_of_one_kind_are_counted() -> None:
    rows = [("A", 0, 0, 5, 8), ("B", 5, 0, 9, 2)]
    rows += [("D", 5 + 3 * k, 2 + 3 * n, 3, 3) for n in range(2) for k in range(3)]
    assert said(plan_of(rows))[1].endswith(
        '. Then from the rest crosscut a length of 9"; from it 1 piece 9" x 2" (B), then 6 squares '
        '3" (D) in 2 rows.'
    )


def test_a_piece_lower_than_its_strip_is_trimmed() -> None:
    rows: list[Piece] = [("A", 0, 0, 5, 3), ("B", 5, 0, 4, 2)]
    assert said(plan_of(rows))[1].endswith(
        'from it 1 piece 5" x 3" (A), then from the rest 1 piece 4" x 2" (B), trimmed to size.'
    )


def test_along_the_cloth_and_strips_that_no_ruler_measures() -> None:
    rows: list[Piece] = [("A", 0, 0, 3, 50), ("A", 3, 0, 3, 50), ("b", 6, 0, 25, 40)]
    lines = said(plan_of(rows, lengthwise=True))
    assert lines[1] == (
        'Strips 1 and 2: cut 2 strips 3" along the cloth; from them 2 pieces 3" x 50" (A).'
    )
    assert lines[2] == (
        'Strip 3: cut 1 strip 25" along the cloth (open the cloth; mark and cut); '
        'from it 1 binding strip 25" x 40" (B).'
    )
    assert "open" not in said(plan_of([("A", 0, 0, 5, 24)]))[1]
    assert "open the cloth; mark and cut" in said(plan_of([("A", 0, 0, 5, 24.125)]))[1]


def test_squaring_up_says_what_is_included() -> None:
    rows: list[Piece] = [("A", 0, 0, 5, 5)]
    assert said(plan_of(rows, terms=Terms(straighten=2 / 2.54)))[0].endswith(
        "(2 cm is included for this)."
    )
    assert "(nothing is included for this)" in said(plan_of(rows, cloths=parse_cloths("9x21")))[0]


@pytest.mark.parametrize(("size", "spare"), [("10x10.25", True), ("10x10.5", False)])
def test_cloth_with_next_to_nothing_over_says_so(size: str, spare: bool) -> None:
    plan = plan_of([("A", 0, 0, 10, 10)], cloths=parse_cloths(size))
    assert (plan.spare_note != "") is spare
    assert plan.spare_share == pytest.approx(1 - 10 / float(size[3:]))
    assert plan_of([("A", 0, 0, 10, 10)]).spare_share is None


def test_the_list_warns_of_cloth_without_room_for_a_mistake() -> None:
    quilt = lay_out(load_patterns().get("sail-loft"), rows=2, columns=2)
    words = "leaves under 3 %: cut carefully, there is no room for a mistake"
    tight = cut_plan(quilt, {}, have={"focus": (11.5, 21.0)}, effort=0)
    assert words in plan_text(tight)
    assert words not in plan_text(cut_plan(quilt, {}, have={"focus": (12.0, 22.0)}, effort=0))


@pytest.fixture(scope="module")
def plans() -> list[CutPlan]:
    rope = lay_out(load_patterns().get("rope-walk"), rows=6, columns=6)
    have = {"accent": parse_cloths("4*fat-quarter+2*9x40"), "focus": parse_cloths("4*18x40")}
    keys = ["fish-boxes", "lamp-room", "lighthouse-keep", "tide-tables"]
    return [
        cut_plan(rope, {}, have=have, effort=0),
        *(cut_plan(lay_out(load_patterns().get(k)), {}, effort=0) for k in keys),
    ]


def test_in_the_data_every_piece_is_in_one_line_and_one_strip(plans: list[CutPlan]) -> None:
    for plan in plans:
        for fabric, data in zip(plan.fabrics, plan_data(plan)["fabrics"], strict=True):
            listed = Counter({c["label"]: c["count"] for c in data["cuts"]})
            in_lines = Counter[str]()
            for line in data["order"]:
                in_lines.update(line["pieces"])
            in_strips = Counter[str]()
            for strip in data["strips"]:
                for stack in strip["stacks"]:
                    for row in stack["rows"]:
                        in_strips.update(row)
            assert in_lines == in_strips == listed
            ids = [k for line in data["order"] for k in line["ids"]]
            assert sorted(ids) == sorted(p["id"] for p in data["pieces"])
            assert (
                [k for line in data["order"] for k in line["strips"]]
                == [s["number"] for s in data["strips"]]
                == [s.number for s in cut_order(fabric)]
            )
            assert data["order"][0]["text"].startswith("Square up the end")
            assert len(data["leftovers"]) == len(leftovers(fabric))


def test_the_pieces_of_a_line_lie_in_its_strips(plans: list[CutPlan]) -> None:
    for plan in plans:
        for data in plan_data(plan)["fabrics"]:
            strips = {s["number"]: s for s in data["strips"]}
            pieces = {p["id"]: p for p in data["pieces"]}
            for line in data["order"][1:]:
                mine = [strips[n] for n in line["strips"]]
                assert {(s["size"], s["cloth"]) for s in mine} == {(line["size"], line["cloth"])}
                for p in (pieces[k] for k in line["ids"]):
                    low, size = (p["x"], p["w"]) if mine[0]["way"] == "along" else (p["y"], p["h"])
                    ends = [(s["start"] - 1e-9, s["start"] + s["size"] + 1e-9) for s in mine]
                    assert any(a <= low and low + size <= b for a, b in ends)
                    assert p["cloth"] == line["cloth"]
