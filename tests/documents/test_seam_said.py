"""Whatever is written about a quilt says the seam allowance that it is cut with, and no other."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltgeom.cli import cli
from quiltgeom.cutting.cutting_plan import CutPlan
from quiltgeom.cutting.listing import cut_lines, plan_text
from quiltgeom.cutting.options import CutOptions
from quiltgeom.documents.cutting_pages.cutting_folder import plan_design
from quiltgeom.documents.kit_folder import write_kit
from quiltgeom.errors import ContentError
from quiltgeom.library.design_file import design_text, load_design
from quiltgeom.model.design import Design
from quiltgeom.proposal.proposal import propose
from quiltgeom.render import text as drawn
from quiltgeom.tracing.template_files import sewing_of, templates_of
from quiltgeom.units import parse_length

CM = parse_length("1 cm")
SMALL = Design("gull-cove", rows=1, columns=1)


def wrong(text: str) -> list[str]:
    """Sentences about seams and allowances that say a quarter of an inch by itself."""
    sentences = re.split(r"(?<=[.;:])\s", " ".join(html.unescape(text).split()))
    return [
        s
        for s in sentences
        if re.search(r"(?<![\d ] )(?<!\d )1/4(\"| in\b)", s)
        and re.search(r"seam|allowance|trim", s, re.IGNORECASE)
    ]


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every line of text that is drawn (as outlines, which nobody can search)."""
    lines: list[str] = []
    real = drawn.text_path

    def noted(text: str, *args: object, **more: object) -> object:
        lines.append(text)
        return real(text, *args, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(drawn, "text_path", noted)
    return lines


def test_a_wrong_sentence_would_be_found() -> None:
    assert len(wrong(plan_text(plan_design(SMALL)))) == 1
    assert wrong('All sizes include the 1/4" seam allowance. Sew with a 1/4" seam.')
    assert not wrong('2 widths, seam across, 34 1/4" from the top; blocks of 7 1/4". Cut 1/4" off.')


def sizes(plan: CutPlan) -> list[tuple[str, int, str]]:
    return [(f.role, n.count, n.size) for f in plan.fabrics for n in cut_lines(f)]


@pytest.mark.parametrize(("seam", "words"), [(0.375, '3/8"'), (CM, "1 cm")])
def test_a_whole_kit_says_one_allowance(
    seam: float, words: str, written: list[str], tmp_path: Path
) -> None:
    plan = plan_design(SMALL, options=CutOptions(seam=seam, binding="bias"))
    made = write_kit(propose(SMALL, plan=plan), tmp_path / "kit")
    texts = {
        f.name: f.read_text("utf-8")
        for f in made.files
        if f.suffix in (".txt", ".md", ".html", ".csv")
    }
    texts["pages"] = " ".join(written)
    found = {name: wrong(text) for name, text in texts.items()}
    assert not any(found.values()), found
    for name in ("cutting.txt", "cutting.md", "kit.html", "pages"):
        plain = html.unescape(texts[name])
        assert (
            f"ncludes {words} seam" in plain
            or f"nclude {words} seam" in plain
            or (f"nclude the {words} seam" in plain)
        ), name
    for name in ("kit.html", "pages"):
        assert f"Sew with a {words} seam" in html.unescape(texts[name])
    pages = texts["pages"]
    assert f"Seam allowance {words} included" in pages  # templates
    assert "seams take" in pages
    both = {0.375: '3/4"', CM: "2 cm"}[seam]
    assert f"seams take {both} each" in pages  # the back
    data = json.loads((tmp_path / "kit" / "cutting" / "plan.json").read_text("utf-8"))
    assert data["seam_allowance_in"] == seam
    again = load_design(tmp_path / "kit" / "design.toml")
    assert again.seam == seam
    assert sizes(plan_design(again, options=CutOptions(binding="bias"))) == sizes(plan)


def test_diagrams_say_it(written: list[str], tmp_path: Path) -> None:
    from quiltgeom.documents.cutting_pages.cutting_folder import write_cutting

    plan = plan_design(SMALL, options=CutOptions(seam=0.375))
    write_cutting(plan, {}, tmp_path)
    said = " ".join(written)
    assert said.count('Sizes include 3/8" seam allowances') == len(plan.fabrics)


def test_the_design_carries_it_and_an_option_overrides_it(tmp_path: Path) -> None:
    wide = Design("gull-cove", rows=1, columns=1, seam=0.375)
    assert 'seam = "3/8 in"' in design_text(wide, tmp_path)
    metric = Design("gull-cove", seam=CM)
    assert 'seam = "1 cm"' in design_text(metric, tmp_path)
    odd = Design("gull-cove", seam=0.3)
    for design in (wide, metric, odd, Design("gull-cove")):
        path = tmp_path / "again.toml"
        path.write_text(design_text(design, tmp_path), "utf-8")
        assert load_design(path).seam == design.seam
    assert plan_design(wide).options.seam == 0.375
    assert plan_design(wide, options=CutOptions(rule="exact")).options.seam == 0.375
    assert plan_design(wide, options=CutOptions(seam=0.5)).options.seam == 0.5
    (tmp_path / "wide.toml").write_text(design_text(wide, tmp_path), "utf-8")
    name = str(tmp_path / "wide.toml")
    assert templates_of(name).to_json()["seam_allowance_in"] == 0.375
    assert templates_of(name, seam=0.5).to_json()["seam_allowance_in"] == 0.5
    assert templates_of(name, seam=0).to_json()["seam_allowance_in"] == 0
    assert sewing_of(name).to_json()["seam_allowance_in"] == 0.375
    assert sewing_of("pinwheel", seam=CM).seam_note.startswith("Sew with a 1 cm seam")
    for option, seam in ((), 0.375), (("--seam", "1cm"), CM), (("--seam", "1/4in"), 0.25):
        run = CliRunner().invoke(cli, ["cut", name, "--json", "--seconds", "0.1", *option])
        assert json.loads(run.stdout)["seam_allowance_in"] == seam
        run = CliRunner().invoke(cli, ["sew", name, "--json", *option])
        assert json.loads(run.stdout)["seam_allowance_in"] == seam


def test_a_kit_may_be_asked_for_another_allowance(tmp_path: Path) -> None:
    (tmp_path / "small.toml").write_text(design_text(SMALL, tmp_path), "utf-8")
    kit = str(tmp_path / "kit")
    run = CliRunner().invoke(cli, ["kit", str(tmp_path / "small.toml"), "-o", kit, "--seam", "1cm"])
    assert run.exit_code == 0, run.output
    assert load_design(tmp_path / "kit" / "design.toml").seam == CM
    assert "1 cm seam" in (tmp_path / "kit" / "cutting" / "cutting.txt").read_text("utf-8")


def test_advice_cuts_with_it(tmp_path: Path) -> None:
    from quiltgeom.jobs.advise import Brief, advise
    from quiltgeom.library.patterns import load_patterns
    from tests.documents.pages import soft_picture

    soft_picture(200).save(tmp_path / "soft.png")
    brief = Brief(tmp_path / "soft.png", width=6.0, size=(30, 30), seam=0.375, kit=False)
    advice = advise(brief, tmp_path / "advice", patterns=[load_patterns().get("gull-cove")])
    assert {p.options.seam for p in advice.plans.values()} == {0.375}
    page = (tmp_path / "advice" / "proof.html").read_text("utf-8")
    assert re.search(r"Sizes include 3/8\\*(\"|&quot;|u0022) seam", page)
    assert "Sizes include 1/4" not in page
    assert advice.design.seam == 0.375  # and so the kit's: as of any design with one


@pytest.mark.parametrize("seam", ["-3", "0.01", "5", "nan", "1.01in", "3mm", "wide"])
def test_the_command_line_refuses_other_allowances(seam: str, tmp_path: Path) -> None:
    (tmp_path / "small.toml").write_text(design_text(SMALL, tmp_path), "utf-8")
    design = str(tmp_path / "small.toml")
    for args in (
        ["cut", design],
        ["kit", design, "-o", str(tmp_path / "kit")],
        ["sew", design],
        ["templates", design],
        ["advise", "none.jpg", "-o", str(tmp_path / "a")],
    ):
        run = CliRunner().invoke(cli, [*args, "--seam", seam])
        assert run.exit_code == 2
        assert "accepted: 1/8 in to 1 in" in run.output.replace("\n", " ")
        assert repr(seam) in run.output
    assert not (tmp_path / "kit").exists()


def test_only_templates_go_without(tmp_path: Path) -> None:
    run = CliRunner().invoke(cli, ["templates", "pinwheel", "--seam", "0", "--json"])
    assert json.loads(run.stdout)["seam_allowance_in"] == 0
    assert CliRunner().invoke(cli, ["cut", "--pattern", "gull-cove", "--seam", "0"]).exit_code == 2
    path = tmp_path / "none.toml"
    for value in ('"2 in"', '"0.01 in"', "-3", "true", "nan"):
        path.write_text(f'pattern = "gull-cove"\nseam = {value}\n', "utf-8")
        with pytest.raises(ContentError, match="seam"):
            load_design(path)
