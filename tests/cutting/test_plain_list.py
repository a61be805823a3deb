"""A plain list of pieces: read with every fault, cut by the same solver, judged independently."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.plain_list import ListedPiece, list_data, parse_pieces, plan_pieces
from quiltgeom.cutting.buying.terms import Terms
from quiltgeom.errors import ContentError
from tests.cutting.checker import faults

GOOD = """width,height,count,name,may_turn
2 1/2,6.5cm,40,"corners, outer",yes
18,1/3yd,6,apron,no
"""


def test_lengths_as_people_write_them_are_rounded_up_to_the_ruler() -> None:
    """6.5 cm are 2.559 in: 2 5/8 on the ruler; 1/3 yd is 12 in."""
    corners, apron = parse_pieces(GOOD)
    assert (corners.name, corners.count, corners.may_turn) == ("corners, outer", 40, True)
    assert corners.height == pytest.approx(2.559, abs=1e-3)
    plan = plan_pieces([corners, apron])
    assert {(p.unit.width / 8, p.unit.height / 8) for p in plan.placed} == {(2.5, 2.625), (18, 12)}
    assert [p.turned for p in plan.placed if p.unit.fixed] == [False] * 6


@given(
    st.lists(
        st.tuples(st.integers(1, 240), st.integers(1, 240), st.integers(1, 9), st.booleans()),
        min_size=1,
        max_size=5,
    )
)
@settings(max_examples=25, deadline=None)
def test_every_piece_once_on_the_cloth(rows: list[tuple[int, int, int, bool]]) -> None:
    pieces = [ListedPiece(w / 8, h / 8, n, f"{k}", turn) for k, (w, h, n, turn) in enumerate(rows)]
    plan = plan_pieces(pieces, width=30.0, effort=1)
    boxes = [(p.x, p.y, p.width, p.height) for p in plan.placed]
    wanted = Counter[tuple[float, float]]()
    for p in pieces:
        wanted[p.width, p.height] += p.count
    assert faults(boxes, wanted, 30.0, plan.length, may_turn=True) == []
    fixed = Counter[tuple[float, float]]()
    for p in pieces:
        fixed[p.width, p.height] += 0 if p.may_turn else p.count
    lying = Counter((p.width, p.height) for p in plan.placed if p.unit.fixed)
    assert lying == +fixed
    counts = Counter({c["note"]: c["count"] for c in list_data(plan)["fabrics"][0]["cuts"]})
    assert counts == Counter({p.name: p.count for p in pieces})


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        (
            "width,height,count\nx,12,2\n5,5,0\n5,,1\n5,5,1,7\n",
            ["line 2: width", "line 3: count", "line 4: height", "line 5: as many fields"],
        ),
        (
            "width;height;count;may_turn\n5;5;2;perhaps\n5;5;1.5;no\n",
            ["line 2: may_turn", "line 3: count"],
        ),
        (
            "breadth,height,height\n",
            [
                "known columns: found 'breadth'",
                "each column once",
                "a column width",
                "a column count",
            ],
        ),
        ("", ["a column width"]),
        ("width,height,count\n", ["pieces to cut: found 0"]),
        ("width,height,count\n1,1,9999\n1,1,9999\n", ["pieces to cut: found 19,998"]),
        ("width,height,count\n2000,1,1\n", ["up to 1,000 in"]),
        ("width,height,count\n" + "9" * 200_000 + ",1,1\n", ["line 2: CSV"]),
    ],
)
def test_all_findings_with_their_lines(text: str, wrong: list[str]) -> None:
    with pytest.raises(ContentError) as caught:
        parse_pieces(text, "pieces.csv")
    for part in wrong:
        assert part in str(caught.value)
    assert all(str(f).startswith("pieces.csv") for f in caught.value.findings)
    assert len(caught.value.findings) >= len(wrong)


def test_semicolons_and_a_byte_order_mark() -> None:
    found = parse_pieces("\ufeffWidth;Height;Count;Name\n\n5;7;3;a, b\n")
    assert [(p.width, p.height, p.count, p.name) for p in found] == [(5, 7, 3, "a, b")]
    assert found[0].where.endswith("line 3")


def test_pieces_that_are_too_wide_are_all_named() -> None:
    found = parse_pieces("width,height,count,may_turn\n50,10,3,no\n50,10,3,yes\n41,41,1,yes\n", "p")
    with pytest.raises(ContentError) as caught:
        plan_pieces(found)
    assert [str(f).partition(": pieces")[0] for f in caught.value.findings] == [
        "p: line 2",
        "p: line 4",
    ]


def test_cloth_at_hand_and_a_spare_strip() -> None:
    squares = [ListedPiece(12, 12, 6)]
    plan = plan_pieces(squares, cloths=(25, 40), spare=2)
    assert plan.status == "impossible"  # 24 and 2 of the 24 that are left of 25
    assert plan_pieces(squares, cloths=(27, 40), spare=2).status == "fits"
    assert plan_pieces(squares, cloths=(24, 40), terms=Terms(straighten=0)).status == "fits"


def test_command(tmp_path: Path) -> None:
    (tmp_path / "aprons.csv").write_text(GOOD)
    out = tmp_path / "plan"
    args = ["cut", "--list", str(tmp_path / "aprons.csv"), "--width", "42in"]
    said = CliRunner().invoke(cli, [*args, "-o", str(out), "--json"])
    assert said.exit_code == 0, said.output
    data = json.loads(said.stdout)
    assert data == json.loads((out / "plan.json").read_text())
    assert sum(len(f["pieces"]) for f in data["fabrics"]) == 46
    assert {"cut-aprons.svg", "cut-aprons.pdf", "cut-aprons.png", "cutting.txt"} <= {
        p.name for p in out.iterdir()
    }
    text = (out / "cutting.txt").read_text()
    assert "as cut (corners, outer)" in text
    assert "Order of cuts" in text
    have = CliRunner().invoke(cli, [*args, "--have", "36inx40in", "--have", "18x21", "--json"])
    assert json.loads(have.stdout)["fabrics"][0]["at_hand_in"] == [[36, 40], [18, 21]]
    for more in (
        ["--pattern", "sail-loft"],
        ["--kits", "2"],
        ["--have", "focus=36x40"],
        ["--width", "focus=42in"],
        ["--method", "focus=pairs"],
        ["--bolt", "42in=3"],
        ["-o", str(tmp_path / "aprons.csv")],
    ):
        assert CliRunner().invoke(cli, [*args, *more]).exit_code == 2, more
    gone = CliRunner().invoke(cli, ["cut", "--list", str(tmp_path / "none.csv")])
    assert gone.exit_code == 2


def test_the_list_and_the_code_in_the_documents_are_right() -> None:
    text = (Path(__file__).parents[2] / "docs" / "cutting.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```csv\n(.*?)```", text, re.DOTALL)
    assert parse_pieces(example) == parse_pieces(GOOD)
    codes = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    assert codes
    for code in codes:
        exec(code, {})
