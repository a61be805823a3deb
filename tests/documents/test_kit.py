"""The kit: pages that a second library can open, a page that asks for nothing, a whole folder."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

import quiltgeom as qg
from quiltgeom.cli import cli
from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.cutting.listing import finishing_rows, trimming
from quiltgeom.documents.cutting_pages.cutting_folder import plan_design
from quiltgeom.documents.flow import MARGIN, Flow, on_paper
from quiltgeom.documents.kit import CARE, kit_pages, role_rows
from quiltgeom.documents.kit_folder import write_kit
from quiltgeom.documents.kit_html import kit_html
from quiltgeom.documents.sheet import A4, LETTER
from quiltgeom.errors import QuiltError
from quiltgeom.library.design_file import design_text, load_design
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.proposal.proposal import propose
from quiltgeom.render.preview import make_quilt
from quiltgeom.render.scene import Scene


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Design:
    folder = tmp_path_factory.mktemp("cloth")
    for name, size in (("kelp", 60), ("rope", 40)):
        Image.effect_noise((size, size), 60).convert("RGB").save(folder / f"{name}.png")
    return Design(
        "harbour-windows",
        rows=1,
        columns=2,
        title="Kelp & <Rope>",
        fabrics={
            "focus": Fabric("kelp", folder / "kelp.png", width=6, direction="one-way"),
            "background": Fabric("rope", folder / "rope.png", width=4),
            "accent": Fabric("plain", colour="#224466"),
        },
    )


@pytest.fixture(scope="module")
def kit(design: Design):
    plan = plan_design(design)
    return propose(design, plan=plan, notes=["chosen for its large windows"])


@pytest.mark.parametrize("paper", [LETTER, A4])
def test_every_page_has_the_paper_asked_for(kit, paper) -> None:
    pages = kit_pages(kit, paper=paper)
    assert {(p.width, p.height) for p in pages} == {paper}
    assert len(pages) >= 3 + len(kit.plan.fabrics)


def test_nothing_is_drawn_beyond_the_paper(kit) -> None:
    for page in kit_pages(kit):
        for layer in page.layers:
            for item in layer.items:
                x0, y0, x1, y1 = item.path.bounds
                assert min(x0, y0) >= -1e-6
                assert x1 <= page.width + 1e-6
                assert y1 <= page.height + 1e-6


def test_the_amounts_are_those_of_the_plan(kit) -> None:
    for plan in kit.plan.fabrics:
        assert f"buy {int(plan.buy)}" in role_rows(plan)[1]
    words = dict(finishing_rows(kit.plan))
    assert f"{kit.plan.binding_strips} strips" in words["Binding"]
    assert "Backing" in words


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def test_the_web_page_is_whole_and_asks_for_nothing(kit) -> None:
    text = kit_html(kit)
    page = _Page()
    page.feed(text)
    images = [a for t, a in page.tags if t == "img"]
    assert images
    assert all(a["alt"] and str(a["src"]).startswith("data:image/") for a in images)
    assert not re.findall(r'(?:src|href|url\()\s*=?\s*["\']?(?:https?:)?//', text)
    assert not [t for t, _ in page.tags if t in ("script", "link", "iframe")]
    assert "rope" not in {t for t, _ in page.tags}
    assert "Kelp & <Rope>" in page.text
    for caution in CARE:
        assert caution in page.text
    for plan in kit.plan.fabrics:
        assert f"buy {int(plan.buy)}" in page.text


def test_the_folder_can_be_sent_on(design: Design, kit, tmp_path: Path) -> None:
    keep = tmp_path / "kit" / "my-notes.txt"
    keep.parent.mkdir()
    keep.write_text("mine", encoding="utf-8")
    steps: list[int] = []
    made = write_kit(
        kit,
        tmp_path / "kit",
        paper="a4",
        progress=lambda _, done, total: steps.append(total - done),
    )
    assert steps == sorted(steps, reverse=True)
    assert steps[-1] == 0
    assert keep.read_text(encoding="utf-8") == "mine"
    assert all(f.is_file() and f.stat().st_size for f in made.files)
    assert {f.name for f in made.files} >= {
        "kit.pdf",
        "kit.html",
        "quilt.svg",
        "quilt.png",
        "quilt.pdf",
        "design.toml",
        "kelp.png",
        "plan.json",
        "cutting.csv",
    }
    moved = (tmp_path / "kit").rename(tmp_path / "sent")
    again = load_design(moved / "design.toml")
    assert all(moved in (f.image or moved).parents or f.colour for f in again.fabrics.values())
    assert len(make_quilt(again)) == len(kit.quilt)
    assert again.title == "Kelp & <Rope>"


def test_the_command_cuts_as_it_is_told(design: Design, tmp_path: Path) -> None:
    source = tmp_path / "windows.toml"
    source.write_text(design_text(design, tmp_path), "utf-8")
    args = [
        "kit",
        str(source),
        "-o",
        str(tmp_path / "kit"),
        "--have",
        "accent=3*fat-quarter",
        "--bias",
        "--method",
        "background=foundation",
        "--json",
    ]
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 0, result.output
    made = json.loads(result.stdout)
    assert made["buy_in"]["accent"] == 0
    listed = (tmp_path / "kit" / "cutting" / "cutting.txt").read_text("utf-8")
    assert '3 of 18" x 21"' in listed
    assert "continuous bias" in listed
    assert "on the foundation" in listed
    wrong = CliRunner().invoke(cli, [*args, "--method", "kelp=pairs"])
    assert wrong.exit_code == 2
    assert "accepted" in wrong.output


def test_the_pdf_opens_in_another_library(design: Design, kit, tmp_path: Path) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    made = write_kit(kit, tmp_path, paper="a4", templates=False)
    path = next(f for f in made.files if f.name == "kit.pdf")
    document = pdfium.PdfDocument(path)
    assert len(document) == len(kit_pages(kit, paper=A4))
    width, height = document[0].get_size()
    assert (width, height) == pytest.approx((A4[0] * 72, A4[1] * 72), abs=0.01)


def test_two_pictures_of_one_name_stay_two(design: Design, kit, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    Image.new("RGB", (30, 30), "#804020").save(other / "kelp.png")
    fabrics = {**design.fabrics, "background": Fabric("kelp", other / "kelp.png", width=3)}
    twin = Design(design.pattern, fabrics, rows=1, columns=2)
    made = write_kit(propose(twin, plan=kit.plan), tmp_path / "kit", templates=False)
    copies = sorted(f.name for f in made.files if f.parent.name == "swatches")
    assert copies == ["kelp-2.png", "kelp.png"]


def test_a_kit_of_one_s_own_pattern_is_made_again_from_its_own_folder(
    design: Design, tmp_path: Path
) -> None:
    block = qg.make_block(
        "Gable", grid=1, patch=[{"role": "focus", "at": [[0, 0], [1, 0], [1, 1], [0, 1]]}]
    )
    lane = qg.make_pattern(
        "Gable Lane",
        [block],
        block="8 in",
        rows=1,
        columns=2,
        cells=["A"],
        tiles={"A": {"use": "gable"}},
        roles={"focus": {"main": True}},
    )
    folder = tmp_path / "kit"
    cloth = {"focus": design.fabrics["focus"]}
    first = qg.kit(lane, cloth).save_folder(folder)
    there = {p for p in folder.rglob("*") if p.is_file() and "manifest" not in p.name}
    assert set(first.files) == there  # patterns and blocks, too
    before = {p: p.read_bytes() for p in there}
    again = qg.kit(qg.load_design(folder / "design.toml")).save_folder(folder)
    assert set(again.files) == there
    assert {p: p.read_bytes() for p in there} == before
    picture = folder / "swatches" / "kelp.png"
    Image.new("RGB", (60, 60)).save(picture)
    with pytest.raises(QuiltError, match="not as quiltgeom wrote it"):
        qg.kit(qg.load_design(folder / "design.toml")).save_folder(folder)
    qg.kit(qg.load_design(folder / "design.toml")).save_folder(folder, force=True)


def test_a_folder_that_cannot_be_written_is_said_so(design: Design, kit, tmp_path: Path) -> None:
    (tmp_path / "kit").write_text("a file", encoding="utf-8")
    with pytest.raises(QuiltError, match="found a file; accepted: a folder"):
        write_kit(kit, tmp_path / "kit")


def test_text_flows_over_pages_and_never_over_the_edge() -> None:
    flow = Flow(LETTER, "a long one")
    for n in range(120):
        flow.paragraph(f"{n}: " + "words that go on and on " * 6)
    pages = flow.finished()
    assert len(pages) > 3
    for page in pages:
        boxes = [i.path.bounds for layer in page.layers for i in layer.items]
        assert max(b[2] for b in boxes) <= LETTER[0] - MARGIN + 0.02
        assert max(b[3] for b in boxes) <= LETTER[1] - 0.3


def test_a_sheet_for_other_paper_is_made_to_fit() -> None:
    from quiltgeom.geometry.outline import rectangle
    from quiltgeom.render.scene import Fill, Solid, path_of

    box = Fill(path_of(rectangle(0, 0, 8.5, 11)), Solid("#ffffff"))
    page = on_paper(Scene(8.5, 11).with_items(box), A4)
    x0, y0, x1, y1 = page.layers[0].items[0].path.bounds
    assert (page.width, page.height) == A4
    assert x0 >= 0
    assert x1 <= A4[0] + 1e-9
    assert y1 - y0 == pytest.approx((x1 - x0) * 11 / 8.5)


def test_joined_borders_are_whole_in_the_sewing_pictures() -> None:
    """A strip that is joined end to end is cut in lengths but sewn on in one piece."""
    design = Design("tide-tables")
    kit = propose(design, plan=cut_plan(make_quilt(design), {}, effort=1))
    cut, _ = kit.plan.as_cut()
    assert len(cut) > len(kit.quilt)  # some are joined
    fills = kit.sewing.fills
    assert len(fills) == len(kit.quilt)
    for piece, fill in zip(kit.quilt, fills, strict=True):
        if piece.patch.outline.is_straight:
            assert fill.path.bounds == pytest.approx(piece.polygon.bounds, abs=0.02)


def test_what_falls_between_marks_is_trimmed() -> None:
    """Thirds of 10 inches lie between the marks of a ruler; whole inches do not."""
    between = make_quilt(Design("harbour-windows", block_size=11.0))
    assert "trim each to its finished size" in trimming(cut_plan(between, {}, effort=1))
    assert not trimming(cut_plan(make_quilt(Design("harbour-windows")), {}, effort=1))
