"""SVG, DXF, class sheets, foundation papers and the two commands."""

import json
import re
import xml.etree.ElementTree as ET

import pytest
from click.testing import CliRunner

from quiltgeom.cli import cli
from quiltgeom.library.blocks import load_blocks
from quiltgeom.sewing.sewing_sheet import sew_block
from quiltgeom.tracing.block_papers import foundation_pages
from quiltgeom.tracing.build import block_templates
from quiltgeom.tracing.shape_files import dxf_text, write_template_svgs

BLOCKS = load_blocks()
SVG = "{http://www.w3.org/2000/svg}"


def _run(*args):
    return CliRunner().invoke(cli, list(args))


def test_svg_has_the_cutting_line_alone_in_a_group(tmp_path):
    made = block_templates(BLOCKS.get("drunkards-path"), 6)
    files = write_template_svgs(made, tmp_path)
    assert [f.name for f in files] == ["template-A-accent.svg", "template-B-background.svg"]
    for file, t in zip(files, made.templates, strict=True):
        root = ET.parse(file).getroot()
        groups = {g.get("id"): g for g in root.iter(f"{SVG}g")}
        paths = list(groups["cut-1"].iter(f"{SVG}path"))
        assert len(paths) == 1
        assert paths[0].get("d").endswith("Z")
        assert " 0 0 " in paths[0].get("d")  # a true arc
        assert not list(root.iter(f"{SVG}text"))
        width = float(re.fullmatch(r"([\d.]+)in", root.get("width"))[1])
        assert width == pytest.approx(t.size[0] + 0.2, abs=1e-4)


def test_dxf_read_back_by_its_library():
    ezdxf = pytest.importorskip("ezdxf")
    import io

    made = block_templates(BLOCKS.get("drunkards-path"), 6)
    text = dxf_text(made)
    assert text == dxf_text(made)
    document = ezdxf.read(io.StringIO(text))
    assert document.header["$INSUNITS"] == 1
    cuts = [e for e in document.modelspace() if e.dxf.layer == "CUT"]
    assert len(cuts) == len(made.templates)
    from ezdxf import path as dxf_path

    for cut, t in zip(cuts, made.templates, strict=True):
        assert cut.closed
        points = list(dxf_path.make_path(cut).flattening(1e-4))
        area = (
            sum(a.x * b.y - b.x * a.y for a, b in zip(points, points[1:] + points[:1], strict=True))
            / 2
        )
        assert abs(area) == pytest.approx(t.cut.area, abs=1e-2)
        assert not document.audit().errors


def test_foundations_are_mirrored_and_hold_every_patch():
    sewing = sew_block(BLOCKS.get("log-cabin"), 6)
    (page,) = foundation_pages(sewing)
    assert page.title.startswith("Log Cabin: foundations")
    assert [s.order[0] for s in sewing.foundation.sections] == [0]  # the centre comes first


@pytest.mark.parametrize(
    ("args", "code", "text"),
    [
        (["sew", "churn-dash"], 0, "16 seams, all straight"),
        (["sew", "Bright Hopes Unknown"], 2, "accepted: a block, a pattern"),
        (["sew", "churn-dash", "-o", "x.gif"], 2, ".svg, .png, .pdf"),
        (["sew", "churn-dash", "--size", "-3in"], 2, "length"),
        (["sew", "churn-dash", "--fabric", "focus=#123456"], 2, "accepted: background, accent"),
        (["sew", "churn-dash", "--fabric", "accent=#123456"], 0, "16 seams"),
        (["templates", "churn-dash"], 0, "cut 4"),
        (["templates", "churn-dash", "-o", "x.svg"], 2, "accepted: .pdf"),
        (["templates", "churn-dash", "--seam", "broad"], 2, "seam"),
        (["templates", "churn-dash", "--role", "third"], 2, "accent, background"),
        (["templates", "eight-pointed-star", "--foundation"], 2, "straight seams only"),
        (["templates", "gull-cove", "--size", "9in"], 2, "which is said of a block"),
        (["templates", "nowhere.toml"], 2, "nowhere.toml"),
    ],
    ids=lambda v: " ".join(v) if isinstance(v, list) else "",
)
def test_commands(args, code, text):
    result = _run(*args)
    assert result.exit_code == code, result.output
    assert text in result.output
    assert "Traceback" not in result.output


def test_everything_at_once_is_written(tmp_path):
    pytest.importorskip("ezdxf")
    result = _run(
        "templates",
        "ohio-star",
        "--size",
        "9in",
        "--paper",
        "a4",
        "--class-sheet",
        "-o",
        str(tmp_path / "t.pdf"),
        "--svg",
        str(tmp_path / "s"),
        "--dxf",
        str(tmp_path / "t.dxf"),
        "--json",
    )
    assert result.exit_code == 0, result.output
    facts = json.loads(result.output)
    assert sum(t["count"] + t["reversed"] for t in facts["templates"]) == 21
    for name in facts["files"]:
        assert (tmp_path / name).stat().st_size > 200
    assert facts["pages"] >= 2


def test_sewing_facts_of_a_block_and_of_a_quilt(tmp_path):
    facts = json.loads(_run("sew", "bears-paw", "--json").output)
    assert (facts["seam_class"], facts["seams"], facts["foundation"]["sections"]) == (
        "straight",
        44,
        9,
    )
    assert facts["difficulty"]["word"] == "comfortable"
    result = _run("sew", "barn-lantern", "--json", "-o", str(tmp_path / "steps.pdf"))
    facts = json.loads(result.stdout)
    assert [b["count"] for b in facts["blocks"]] == [12]
    assert facts["top"]["set_in"] == 4  # the mitred corners of the border
    assert (tmp_path / "steps.pdf").read_bytes().startswith(b"%PDF")


def test_rows_of_a_quilt_come_out_as_rows():
    facts = json.loads(_run("sew", "harbour-windows", "--json").output)
    texts = [s["text"] for s in facts["top"]["steps"]]
    assert texts[-1].endswith("the top is done.")
    assert facts["top"]["seam_class"] == "straight"


def test_windows_are_closed_paths_of_their_own(tmp_path):
    ezdxf = pytest.importorskip("ezdxf")
    result = _run(
        "templates",
        "churn-dash",
        "--size",
        "9in",
        "--window",
        "--svg",
        str(tmp_path),
        "-o",
        str(tmp_path / "w.pdf"),
        "--dxf",
        str(tmp_path / "w.dxf"),
    )
    assert result.exit_code == 0, result.output
    made = block_templates(BLOCKS.get("churn-dash"), 9)
    for t in made.templates:
        root = ET.parse(tmp_path / f"template-{t.label}-{t.role}.svg").getroot()
        groups = {g.get("id"): list(g.iter(f"{SVG}path")) for g in root.iter(f"{SVG}g")}
        for name in ("cut-1", "window-2"):
            assert len(groups[name]) == 1
            assert groups[name][0].get("d").endswith("Z")
    space = ezdxf.readfile(tmp_path / "w.dxf").modelspace()
    assert sum(e.dxf.layer == "WINDOW" for e in space) == len(made.templates)
    assert not any(e.dxf.layer == "SEAM" for e in space)
    assert _run("templates", "churn-dash", "--window", "--seam", "0").exit_code == 2


@pytest.mark.parametrize(("seam", "says"), [("7mm", "7 mm"), ("1cm", "1 cm"), ("3/8in", '3/8"')])
def test_allowances_are_shown_as_they_were_given(seam, says):
    from quiltgeom.units import length_text, parse_length

    assert length_text(parse_length(seam)) == says
