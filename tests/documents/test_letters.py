"""One letter for each kind of piece: the same in the list, the diagrams, the sewing, the templates,
the kit and the proof page."""

from __future__ import annotations

import re
import shutil
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import quiltgeom
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.letters import Letters, line_key
from quiltgeom.cutting.listing import cut_lines, plan_csv, plan_data, plan_text
from quiltgeom.cutting.order import cut_order
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.demo.swatches import write_swatches
from quiltgeom.documents import kit_html, proof_data
from quiltgeom.documents.cutting_pages import cutting_diagram
from quiltgeom.documents.cutting_pages.cutting_sheet import cutting_sheets
from quiltgeom.documents.cutting_pages.piece_marks import Mark
from quiltgeom.documents.flow import Flow
from quiltgeom.documents.kit import kit_pages
from quiltgeom.library.design_file import load_design
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.piecing.quilt_plan import spoken
from quiltgeom.piecing.seam_check.sews_together import sewn_quilt
from quiltgeom.proposal.proposal import propose
from quiltgeom.render.preview import make_quilt
from quiltgeom.sewing.sewing_sheet import QuiltSewing, sew_quilt
from quiltgeom.tracing.template_files import find_subject, sewing_of, templates_of

DEMO = sorted((Path(quiltgeom.__file__).parent / "demo" / "designs").glob("*.toml"))
SUBJECTS = [p.key for p in load_patterns()] + [p.stem for p in DEMO]
LETTER = re.compile(r"[A-Z]{1,2}")
KNOWN: dict[str, CutPlan] = {}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example designs with their swatches."""
    folder = tmp_path_factory.mktemp("demo")
    for path in DEMO:
        shutil.copy(path, folder)
        design = load_design(path)
        names = [f.image.stem for f in design.fabrics.values() if f.image]
        write_swatches(folder / "swatches", names=names, ppi=30)
    return folder


def source(what: str, demo: Path) -> str:
    """A pattern's key, or the file of a demo design."""
    return str(demo / f"{what}.toml") if what in [p.stem for p in DEMO] else what


def design_of(what: str) -> Design:
    return load_design(what) if what.endswith(".toml") else Design(what)


def plan_of(what: str) -> CutPlan:
    if what not in KNOWN:
        design = design_of(what)
        KNOWN[what] = cut_plan(make_quilt(design), design.fabrics, fussy=design.fussy, effort=0)
    return KNOWN[what]


def letter(label: str) -> str:
    """The letter in ``C``, ``C2`` (of a length), ``C-2`` (of a template) and ``Cr`` (mirrored)."""
    found = LETTER.match(label)
    assert found, label
    return found[0]


# What each document says: by piece of the quilt its letters, or by label how many are cut.


def on_plan(data: dict[str, Any]) -> dict[int, set[str]]:
    out: dict[int, set[str]] = {}
    for piece in (p for f in data["fabrics"] for p in f["pieces"]):
        for patch in piece["patches"]:
            out.setdefault(patch["piece"], set()).add(letter(piece["label"]))
    return out


def in_sewing(made: QuiltSewing) -> dict[int, set[str]]:
    """By piece; every block of one look has its letters, whichever one is drawn."""
    facts = made.to_json()
    out = {p["piece"]: {letter(p["label"])} for b in facts["blocks"] for p in b["patches"]}
    out |= {
        p["pieces"][0]: {letter(p["label"])} for p in facts["top"]["parts"] if len(p["pieces"]) == 1
    }
    return out


def in_rows(rows: list[list[str]]) -> Counter[str]:
    return Counter({row[0]: int(row[1]) for row in rows if row[0] != "piece"})


def in_text(text: str, pattern: str) -> Counter[str]:
    return in_rows([[m[1], m[2]] for m in re.finditer(pattern, text, re.M)])


def in_list(plan: CutPlan) -> Counter[str]:
    return Counter({c["label"]: c["count"] for f in plan_data(plan)["fabrics"] for c in f["cuts"]})


def in_templates(facts: dict[str, Any]) -> Counter[str]:
    """Patches by letter."""
    out: Counter[str] = Counter()
    for t in facts["templates"]:
        out[letter(t["label"])] += t["count"] + t["reversed"]
    for r in facts["by_ruler"]:
        out[r["label"]] += r["count"]
    return out


def twice(plan: CutPlan) -> list[str]:
    """Letters that stand for two things: two fabrics, methods or thicknesses, or two lines."""
    lines = [n for f in plan.fabrics for n in cut_lines(f)]
    found = [label for label, n in Counter(n.label for n in lines).items() if n > 1]
    kinds: dict[str, set[object]] = {}
    for n in lines:
        method = n.unit.method.replace("half of a square cut twice", "square cut twice")
        strips = method in ("slanted strip", "strip set", "square cut twice")
        w, h = n.unit.width, n.unit.height
        size = () if strips else (min(w, h),) if method == "joined strip" else (w, h)
        kinds.setdefault(letter(n.label), set()).add((n.role, method, size))
    return found + [n for n, several in kinds.items() if len(several) > 1]


def bare(made: QuiltSewing) -> list[str]:
    """Units whose name looks like the letter of a patch."""
    steps = [*made.top.steps, *(s for block in made.blocks for s in block[3])]
    names = [s.name for s in steps if not s.whole]
    names += [
        said for s in steps for part, said in zip(s.node.parts, s.said, strict=True) if part.parts
    ]
    names += [
        said
        for s in made.top.steps
        for part, said in zip(s.node.parts, s.said, strict=True)
        if len(part.faces) == 1 and made.top.parts[part.faces[0]].name
    ]
    return [n for n in names if re.fullmatch(r"[A-Z]{1,2}r?\d*", n)]


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[Mark]:
    """What the cutting diagrams write on the pieces."""
    marks: list[Mark] = []
    made = cutting_diagram.piece_marks

    def noted(*given: Any) -> list[Mark]:
        marks.extend(found := made(*given))
        return found

    monkeypatch.setattr(cutting_diagram, "piece_marks", noted)
    return marks


@pytest.mark.parametrize("name", SUBJECTS)
def test_every_document_has_the_same_letters(name: str, written: list[Mark], demo: Path) -> None:
    what = source(name, demo)
    plan, design = plan_of(what), design_of(what)
    data, wanted = plan_data(plan), in_list(plan)
    truth = on_plan(data)
    assert set(truth) == {p.index for p in plan.quilt}
    assert all(len(found) == 1 for found in truth.values())
    assert twice(plan) == []
    assert in_text(plan_text(plan), r"^  ([A-Z]+\d*) +(\d+)  ") == wanted
    assert in_text(plan_text(plan, markdown=True), r"^\| ([A-Z]+\d*) \| (\d+) \|") == wanted
    assert in_text(plan_csv(plan), r"^[^,]*,[^,]*,(?=.*,([A-Z]+\d*)$)(\d+),") == wanted
    order = Counter[str]()
    for fabric in plan.fabrics:
        for label, n in (c for s in cut_order(fabric) for t in s.stacks for c in t):
            order[label] += n
        cutting_sheets(fabric, plan.quilt.name)
    assert order == wanted
    drawn = Counter[str]()
    for mark in written:
        words = " ".join(text for text, _ in mark.rows).split()
        assert words[:2] == [str(mark.count), mark.label] or (
            mark.count == 1 and words[0] == mark.label
        ), mark
        drawn[mark.label] += mark.count
    assert drawn == wanted

    sewing = sewing_of(what)
    assert isinstance(sewing, QuiltSewing)
    sewn = in_sewing(sewing)
    assert sewn == {k: truth[k] for k in sewn}
    for part, _ in sewing.top.different_blocks():
        same = [p for p in sewing.top.parts if p.look == part.look]
        used = {tuple(sorted(min(truth[i]) for i in p.pieces)) for p in same}
        assert len(used) == 1, part.name
    assert bare(sewing) == []

    made = templates_of(what).to_json()
    assert made["findings"] == []
    assert in_templates(made) == Counter(min(found) for found in truth.values())

    kit = propose(design, plan=plan)
    assert kit.sewing.to_json() == sewing.to_json()
    html = kit_html._cutting(kit)
    assert in_text(html, r"<td>([A-Z]+\d*)</td><td>(\d+)</td>") == wanted
    shown = proof_data._plan(plan)
    for fabric, row in zip(data["fabrics"], shown["fabrics"], strict=True):
        assert in_rows([[n[0], n[1]] for n in row["lines"]]) == Counter(
            {c["label"]: c["count"] for c in fabric["cuts"]}
        )
        numbers = [row["lines"][p[4]][0] for s in row["sheets"] for p in s["pieces"]]
        assert Counter(numbers) == Counter(p["label"] for p in fabric["pieces"])


@pytest.mark.parametrize("what", ["gull-cove", "fish-boxes"])
def test_the_kit_lists_the_same_letters(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    plan, rows = plan_of(what), list[list[str]]()
    row = Flow.row
    monkeypatch.setattr(
        Flow,
        "row",
        lambda self, cells, *rest, **more: (
            rows.append(list(cells)),
            row(self, cells, *rest, **more),
        ),
    )
    kit_pages(propose(design_of(what), plan=plan))
    assert in_rows([r for r in rows if len(r) == 5]) == in_list(plan)


@pytest.mark.parametrize("way", ["one-way", "two-way"])
@pytest.mark.parametrize("key", ["buoy-field", "fish-boxes", "lobster-pots", "mussel-bed"])
def test_other_lengths_of_strips_shift_no_letter(key: str, way: Any) -> None:
    """A solver may take the list with shorter strips; its patches keep their letters."""
    quilt = make_quilt(Design(key))
    fabrics = {r: Fabric(r, colour="#335544", direction=way) for r in quilt.roles}
    wanted = wanted_units(quilt, fabrics)
    for ways in wanted.ways.values():
        for way in ways:
            for unit in way.units:
                found = {wanted.letters.pieces[m.piece] for m in unit.members}
                assert found <= {wanted.letters.of(unit)}
    plan = cut_plan(quilt, fabrics, effort=0)
    assert plan.letters.pieces == wanted.letters.pieces
    assert {k: min(v) for k, v in on_plan(plan_data(plan)).items()} == wanted.letters.pieces
    assert twice(plan) == []


def test_letters_run_in_the_order_of_fabrics_tallest_first() -> None:
    plan = plan_of("gull-cove")
    lines = [n for f in plan.fabrics for n in cut_lines(f)]
    assert "".join(dict.fromkeys(letter(n.label) for n in lines)) == "ABCDEFGHJK"
    for fabric in plan.fabrics:
        heights = [n.unit.high for n in cut_lines(fabric) if n.unit.method != "binding"]
        assert heights == sorted(heights, reverse=True)


def test_another_cloth_shifts_no_letter() -> None:
    """A narrower accent fabric changes what is cut from it, but no letter of the others."""
    quilt = make_quilt(Design("net-menders-chain"))
    wide, narrow = (wanted_units(quilt, {}, cloths={"accent": ((80.0, w),)}) for w in (40.0, 30.0))
    assert narrow.units != wide.units
    others = [p.index for p in quilt if p.role != "accent"]
    assert [narrow.letters.pieces[k] for k in others] == [wide.letters.pieces[k] for k in others]


def test_lengths_of_one_strip_share_its_letter() -> None:
    """The last strip of a set is shorter: the same pile, numbered by its length."""
    labels = [n.label for f in plan_of("net-menders-chain").fabrics for n in cut_lines(f)]
    assert {"B1", "B2"} <= set(labels)
    assert "B" not in labels


def test_squares_of_two_strip_sets_are_one_piece() -> None:
    """A nine-patch falls into columns or rows alike: its corner and middle are cut alike, too."""
    rows = sewing_of("net-menders-chain")
    assert isinstance(rows, QuiltSewing)
    ((_, _, _, steps, _),) = rows.blocks
    dark, light = steps.steps[0].parts[:2]
    assert [s.parts for s in steps.steps[:2]] == [(dark, light, dark), (light, dark, light)]


def test_a_block_has_one_letter_for_a_shape_in_sewing_and_templates() -> None:
    for key in ("churn-dash", "bears-paw", "ohio-star"):
        sewing = sewing_of(key)
        sewn = Counter(letter(p["label"]) for p in sewing.to_json()["patches"])
        assert in_templates(templates_of(key).to_json()) == sewn
        assert sorted(sewn) == list("ABCDEFGHJ"[: len(sewn)])


def test_no_block_is_called_by_a_letter() -> None:
    from quiltgeom.library.blocks import load_blocks

    assert [b.key for b in load_blocks() if re.fullmatch(r"[A-Z]{1,2}r?", spoken(b.key))] == []


# The checks above, on maps that are wrong.


def wrong(plan: CutPlan, pieces: dict[int, str]) -> CutPlan:
    letters = Letters({**plan.letters.pieces, **pieces}, plan.letters.binding)
    return replace(plan, fabrics=tuple(replace(f, letters=letters) for f in plan.fabrics))


def test_a_letter_for_two_lines_is_seen() -> None:
    plan = plan_of("gull-cove")
    assert twice(plan) == []
    first = {f.role: f.letters.of(f.placed[0].unit) for f in plan.fabrics}
    other = next(f for f in plan.fabrics if f.role != "focus")
    moved = {
        m.piece: first["focus"]
        for p in other.placed
        for m in p.unit.members
        if line_key(p.unit) == line_key(other.placed[0].unit)
    }
    assert first["focus"] in twice(wrong(plan, moved))


def test_a_letter_that_sewing_or_templates_do_not_have_is_seen() -> None:
    plan, design = plan_of("gull-cove"), Design("gull-cove")
    named = sorted(set(plan.letters.pieces.values()))
    swap = {named[0]: named[1], named[1]: named[0]}
    bad = wrong(plan, {k: swap.get(n, n) for k, n in plan.letters.pieces.items()})
    truth = on_plan(plan_data(plan))
    sewn = in_sewing(
        sew_quilt(plan.quilt, design, sewn=sewn_quilt(plan.quilt, bad.letters, seam=0.25))
    )
    assert sewn != {k: truth[k] for k in sewn}
    assert on_plan(plan_data(bad)) != truth
    assert in_templates(templates_of("gull-cove").to_json()) != Counter(
        min(found) for found in on_plan(plan_data(bad)).values()
    )
    assert in_text(plan_text(bad), r"^  ([A-Z]+\d*) +(\d+)  ") != in_list(plan)


def test_a_unit_called_by_a_letter_is_seen() -> None:
    quilt, design = find_subject("gull-cove")  # type: ignore[misc]
    made = sew_quilt(quilt, design)
    part, count, plan, steps, pressing = made.blocks[0]
    lettered = replace(steps, steps=(replace(steps.steps[0], name="A"), *steps.steps[1:]))
    bad = replace(made, blocks=((part, count, plan, lettered, pressing),))
    assert (bare(made), bare(bad)) == ([], ["A"])
