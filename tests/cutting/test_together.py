"""Several kits cut together: every piece of every kit once, each told whose it is."""

from __future__ import annotations

import csv
import json
from collections import Counter
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltgeom.cli import cli
from quiltgeom.cutting.buying.kits_together import (
    SharedCloth,
    Together,
    cut_together,
    sorting_csv,
    together_data,
    together_text,
)
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.options import CutOptions
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric
from tests.cutting.checker import faults


def plan(key: str, fabrics: dict[str, Fabric] | None = None, **cutting: object) -> CutPlan:
    quilt = lay_out(load_patterns().get(key), rows=2, columns=2)
    return cut_plan(quilt, fabrics or {}, effort=2, **cutting)  # type: ignore[arg-type]


def check(made: Together) -> None:
    """Cloth by cloth the independent judge; then kit by kit against each design's own list."""
    found: dict[tuple[int, int], Counter[tuple[str, int, int]]] = {}
    for cloth in made.cloths:
        p = cloth.plan
        boxes = [(q.x, q.y, q.width, q.height) for q in p.placed]
        wanted = Counter((q.unit.width / 8, q.unit.height / 8) for q in p.placed)
        free = p.direction in ("four-way", "non-directional")
        assert faults(boxes, wanted, p.width, p.length, may_turn=free) == []
        assert p.solution.bound <= p.solution.bought
        for q, owner in zip(p.placed, cloth.owners, strict=True):
            mine = found.setdefault((owner.design, owner.kit), Counter())
            mine[p.letters.of(q.unit).rpartition("-")[2], q.unit.width, q.unit.height] += 1
    for k, single in enumerate(made.plans, 1):
        own = Counter(
            (f.letters.of(q.unit), q.unit.width, q.unit.height)
            for f in single.fabrics
            for q in f.placed
            if q.unit.method != "spare strip"
        )
        assert [found.pop((k, kit)) for kit in range(1, made.kits + 1)] == [own] * made.kits
    assert all(owner == (0, 0) for owner in found)


@pytest.mark.parametrize("key", ["gull-cove", "rope-walk", "harbour-windows"])
def test_three_kits_of_one_design(key: str) -> None:
    single = plan(key)
    made = cut_together([single], kits=3, effort=1)
    check(made)
    assert [c.plan.role for c in made.cloths] == [f.role for f in single.fabrics]
    for cloth, f in zip(made.cloths, single.fabrics, strict=True):
        assert cloth.singly == 3 * f.buy
        assert cloth.together <= cloth.singly
    assert sum(c.together for c in made.cloths) < sum(c.singly for c in made.cloths)


def shared(made: Together) -> dict[str, tuple[tuple[int, str], ...]]:
    return {c.plan.role: c.roles for c in made.cloths}


def test_two_designs_share_the_cloth_that_is_the_same() -> None:
    kelp = Fabric("kelp", colour="#224466")
    fog = Fabric("fog", colour="#eeeeee")
    one = {"focus": kelp, "background": fog, "accent": Fabric("rope", colour="#aa8855")}
    two = {"focus": fog, "background": kelp, "accent": Fabric("rope", colour="#995544")}
    made = cut_together([plan("sail-loft", one), plan("rope-walk", two)], [one, two], effort=2)
    check(made)
    assert shared(made) == {
        "kelp": ((1, "focus"), (2, "background")),
        "fog": ((1, "background"), (2, "focus")),
        "rope": ((1, "accent"),),
        "rope 3": ((2, "accent"),),
    }
    assert made.title == "a: Sail Loft, b: Rope Walk"


def test_other_ways_widths_and_cloths_are_other_cloth() -> None:
    a = plan("sail-loft")
    for other in (
        plan("sail-loft", {"focus": Fabric("focus", colour="#888888", direction="one-way")}),
        plan("sail-loft", width={"focus": 60.0}),
        plan("sail-loft", have={"focus": (90.0, 40.0)}),
    ):
        worn = [
            {},
            {"focus": Fabric("focus", colour="#888888", direction="one-way")}
            if other.fabrics[0].direction == "one-way"
            else {},
        ]
        made = cut_together([a, other], worn, effort=1)
        assert len(made.cloths) == len(a.fabrics) + 1
        check(made)


def focus(made: Together) -> SharedCloth:
    return next(c for c in made.cloths if c.plan.role == "focus")


def test_cloth_at_hand_is_for_all_of_them() -> None:
    """Three kits of two squares of 10 1/2 in, three to a strip: 21 in, of 22 before the end is
    straightened."""
    enough = cut_together([plan("sail-loft", have={"focus": (22.0, 40.0)})], kits=3)
    assert focus(enough).plan.status == "fits"
    short = cut_together([plan("sail-loft", have={"focus": (21.0, 40.0)})], kits=3)
    assert focus(short).plan.status == "impossible"
    assert (enough.fits, short.fits) == (True, False)


def test_one_spare_strip_for_all_kits() -> None:
    made = cut_together([plan("sail-loft", options=CutOptions(spare=2.5))], kits=2, effort=1)
    check(made)
    for cloth in made.cloths:
        assert sum(p.unit.method == "spare strip" for p in cloth.plan.placed) == 1
        assert [o.kit for o in cloth.owners].count(0) == 1


def test_every_form_says_whose_a_piece_is() -> None:
    made = cut_together([plan("sail-loft"), plan("rope-walk")], kits=2, effort=1)
    data = together_data(made)
    pieces = [p for f in data["fabrics"] for p in f["pieces"]]
    rows = list(csv.DictReader(sorting_csv(made).splitlines()))
    names = [d["quilt"] for d in data["designs"]]
    assert Counter((r["design"], int(r["kit"])) for r in rows) == Counter(
        (names[p["design"] - 1], p["kit"]) for p in pieces
    )
    assert [r["piece"] for r in rows] == [p["label"] for p in pieces]
    assert all(p["label"].startswith("ab"[p["design"] - 1] + "-") for p in pieces)
    text = together_text(made)
    assert text.startswith("Cut together: a: Sail Loft, b: Rope Walk (2 kits of each)\n")
    assert text.count("Cut one by one the kits would take") == len(made.cloths)


def test_too_many_kits() -> None:
    with pytest.raises(QuiltError, match="accepted: 1 to 100"):
        cut_together([plan("sail-loft")], kits=101)


def test_command(tmp_path: Path) -> None:
    for name, key in (("a", "sail-loft"), ("b", "harbour-windows")):
        (tmp_path / f"{name}.toml").write_text(
            f'format = 2\npattern = "{key}"\nrows = 2\ncolumns = 2\n'
        )
    files = [str(tmp_path / "a.toml"), str(tmp_path / "b.toml")]
    out = tmp_path / "class"
    args = ["cut", *files, "--kits", "2", "--width", "focus=54in", "--seconds", "0.3"]
    said = CliRunner().invoke(cli, [*args, "-o", str(out), "--json"])
    assert said.exit_code == 0, said.output
    data = json.loads(said.stdout)
    assert data == json.loads((out / "plan.json").read_text())
    assert (data["kits"], len(data["designs"])) == (2, 2)
    assert {"cut-focus.svg", "cut-focus.png", "cutting.txt", "sorting.csv"} <= {
        p.name for p in out.iterdir()
    }
    pattern = CliRunner().invoke(
        cli, ["cut", "--pattern", "sail-loft", "--kits", "2", "--seconds", "0.3", "--json"]
    )
    assert json.loads(pattern.stdout)["kits"] == 2
    for more in (
        ["--largest"],
        ["--bolt", "42in=11"],
        ["--have", "kelp=36x40"],
        ["--width", "kelp=54in"],
        ["--pattern", "sail-loft"],
        ["--kits", "60"],
    ):
        wrong = CliRunner().invoke(cli, [*args, *more])
        assert wrong.exit_code == 2, more
        assert "accepted" in wrong.output
