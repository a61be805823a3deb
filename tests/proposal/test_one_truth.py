"""One proposal, one truth: places, amounts and pictures of all documents are views of one value."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from quiltgeom.cutting.listing import plan_csv, plan_data, plan_text
from quiltgeom.demo.swatches import design_folder, write_swatches
from quiltgeom.documents.kit import role_rows
from quiltgeom.documents.kit_folder import write_kit
from quiltgeom.documents.proof_data import ProofInput, proof_data
from quiltgeom.errors import ContentError, QuiltKeyError
from quiltgeom.fabric.reading.read_file import read_swatch
from quiltgeom.library.design_file import design_text, load_design
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.proposal.proposal import Proposal, propose
from quiltgeom.render.png import draw_pixels
from quiltgeom.render.svg import path_data, svg_text

DEMOS = sorted(p.stem for p in design_folder().glob("*.toml"))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's designs beside their swatches."""
    folder = tmp_path_factory.mktemp("demo")
    designs = [load_design(p) for p in design_folder().glob("*.toml")]
    names = sorted({f.image.stem for d in designs for f in d.fabrics.values() if f.image})
    write_swatches(folder / "swatches", names, ppi=40)
    for path in design_folder().glob("*.toml"):
        (folder / path.name).write_bytes(path.read_bytes())
    return folder


def made(name: str, folder: Path) -> Proposal:
    if name in DEMOS:
        return propose(load_design(folder / f"{name}.toml"), effort=1)
    print_ = Fabric("Herons", image=folder / "swatches" / "reed-herons.jpg", direction="one-way")
    return propose(Design(name, {load_patterns().get(name).main_role: print_}), effort=1)


def laid_of(data: dict) -> dict[tuple[str, str], list[list[float]]]:
    """By role and path, the places of the page's patches."""
    out: dict[tuple[str, str], list[list[float]]] = {}
    for role, row in data["laid"].items():
        for path, k in zip(row["d"], row["of"], strict=True):
            out.setdefault((role, path), []).append([round(v, 5) for v in row["places"][k][1:]])
    return out


@pytest.mark.parametrize("name", [*DEMOS, *[p.key for p in load_patterns()][::3]])
def test_every_document_tells_the_same(name: str, folder: Path) -> None:
    proposal = made(name, folder)
    plan = proposal.cutting
    page = proof_data(ProofInput("a proof", [proposal]))["patterns"][0]
    # places: the page's, the data's, the picture's
    fills = proposal.picture.scene.layers[0].items
    assert len(fills) == len(proposal.shown)
    own: dict[tuple[str, str], list[list[float]]] = {}
    for row, fill in zip(proposal.patches(), fills, strict=True):
        assert row["final"] if "matrix" in row else row["role"] in proposal.quilt.roles
        if "matrix" in row:
            key = (row["role"], path_data(fill.path, 2))
            own.setdefault(key, []).append([round(v, 5) for v in row["matrix"]])
            assert fill.paint.matrix == pytest.approx(row["matrix"], abs=1e-5)
    theirs = laid_of(page)
    assert own.keys() == theirs.keys()
    assert all(np.allclose(own[k], theirs[k], atol=2e-5) for k in own)
    assert page["final"] is True
    # the plan's own places, read back from its file, draw the same picture
    again = json.loads(json.dumps(plan_data(plan)))
    spots = sum(len(p["patches"]) for f in again["fabrics"] for p in f["pieces"])
    assert spots == len(plan.patches)
    # amounts: list, page, kit
    for fabric, shown, data in zip(
        plan.fabrics, page["plan"]["fabrics"], again["fabrics"], strict=True
    ):
        assert data["buy_in"] == fabric.buy
        assert shown["buy"] == fabric.terms.said(fabric.buy)
        assert fabric.terms.said(fabric.buy) in plan_text(plan)
        assert role_rows(fabric)[1].startswith("buy ")
        assert [line[:3] for line in shown["lines"]] == [
            [c["label"], c["count"], line[2]]
            for c, line in zip(data["cuts"], shown["lines"], strict=True)
        ]
    rows = list(csv.DictReader(io.StringIO(plan_csv(plan))))
    assert [int(r["count"]) for r in rows] == [
        c["count"] for f in again["fabrics"] for c in f["cuts"]
    ]


@pytest.mark.parametrize("name", ["herons-at-high-tide", "long-rope"])
def test_the_kit_draws_one_picture(name: str, folder: Path, tmp_path: Path) -> None:
    """Quilt, as-cut picture and the page's first picture, in pixels and in the SVG's places."""
    proposal = made(name, folder)
    kit = write_kit(proposal, tmp_path / "kit", templates=False)
    assert kit.kit is proposal
    svg = (tmp_path / "kit" / "quilt.svg").read_text()
    plain = svg_text(proposal.picture.scene)
    assert re.sub(r"<!-- quiltgeom [^>]*-->", "", svg) == plain
    cut = draw_pixels(proposal.picture.scene, 8)
    folder_data = json.loads((tmp_path / "kit" / "cutting" / "plan.json").read_text())
    assert folder_data == json.loads(json.dumps(plan_data(proposal.cutting)))
    other = replace(proposal, design=replace(proposal.design, seed=5))
    assert np.array_equal(draw_pixels(other.picture.scene, 8), cut)  # a seed moves no final place
    provisional = replace(proposal, plan=None)
    assert not np.array_equal(draw_pixels(provisional.picture.scene, 8), cut)
    assert not provisional.final
    assert not any(r.get("final") for r in provisional.patches())


def test_a_persons_word_stands_against_a_verdict(folder: Path, tmp_path: Path) -> None:
    """Saved in the design, printed on the kit, and of no weight any more."""
    design = load_design(folder / "herons-at-high-tide.toml")
    print_ = design.fabrics["focus"].image
    assert print_ is not None
    readings = {"focus": read_swatch(print_)}
    plain = propose(design, effort=1, readings=readings)
    doubts = [v.rule for v in plain.verdicts if v.outcome != "pass"]
    assert doubts
    words = dict.fromkeys(doubts, "she likes it so")
    (folder / "word.toml").write_text(design_text(replace(design, overruled=words), folder))
    again = load_design(folder / "word.toml")
    assert again == replace(design, overruled=words)
    made = propose(again, plan=plain.cutting, readings=readings)
    assert made.outcome == "pass"
    assert len(made.remarks) == len(doubts)
    assert all("your word: she likes it so" in r for r in made.remarks)
    kit = write_kit(made, tmp_path / "kit", templates=False)
    assert "she likes it so" in (tmp_path / "kit" / "kit.html").read_text()
    assert load_design(tmp_path / "kit" / "design.toml").overruled == words
    assert kit.files
    with pytest.raises(QuiltKeyError, match="overruled: found 'moon'"):
        propose(replace(design, overruled={"moon": "full"}), planned=False)


def test_old_design_files_open_and_later_ones_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "d.toml"
    path.write_text('pattern = "gull-cove"\n')
    assert load_design(path) == Design("gull-cove")
    path.write_text('format = 3\npattern = "gull-cove"\n')
    with pytest.raises(ContentError, match="format is a whole number: found 3"):
        load_design(path)


def test_places_without_a_plan_are_deterministic_and_marked(folder: Path) -> None:
    design = load_design(folder / "herons-at-high-tide.toml")
    one, two = (propose(design, planned=False) for _ in range(2))
    assert one.patches() == two.patches()
    data = proof_data(ProofInput("a proof", [one]))["patterns"][0]
    assert data["final"] is False
    assert data["plan"] is None
