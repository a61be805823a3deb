"""Every block file loads, covers its outline exactly, and agrees with closed forms."""

import math
from pathlib import Path

import pytest

from quiltgeom.library.block_file import check_block_file
from quiltgeom.library.blocks import block_folder, load_blocks

FILES = sorted(block_folder().glob("*.toml"))


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_file_has_no_findings(path: Path) -> None:
    block, findings, faults = check_block_file(path)
    assert [str(f) for f in findings] == []
    assert faults == []
    assert block is not None
    assert block.family
    assert block.source
    assert all(p.part for p in block.patches)


@pytest.mark.parametrize("block", list(load_blocks()), ids=lambda b: b.key)
def test_areas_add_up(block) -> None:
    total = math.fsum(p.outline.area for p in block.patches)
    assert total == pytest.approx(block.boundary.area, rel=1e-12)
    assert sum(block.area_share.values()) == pytest.approx(1, rel=1e-12)


def test_curved_areas_follow_the_closed_forms() -> None:
    """Plane geometry: quarter disc pi r^2 / 4; lens of two quarter arcs r^2 (pi/2 - 1)."""
    blocks = load_blocks()
    pie = next(p for p in blocks.get("Drunkard's Path").patches if p.part == "pie")
    assert pie.outline.area == pytest.approx(math.pi, abs=1e-12)  # r = 2
    ground = next(p for p in blocks.get("Drunkard's Path").patches if p.part == "ground")
    assert ground.outline.area == pytest.approx(9 - math.pi, abs=1e-12)
    shell = blocks.get("Clamshell")  # r = 1: exactly 2 r^2, perimeter 2 pi r
    assert shell.boundary.area == pytest.approx(2, abs=1e-12)
    assert shell.boundary.perimeter == pytest.approx(2 * math.pi, abs=1e-12)
    core = blocks.get("apple-core").patches[0]  # side 2: exactly the square
    assert core.outline.area == pytest.approx(4, abs=1e-12)
    robbing = blocks.get("Robbing Peter to Pay Paul")  # side s = 2
    areas = {p.part: p.outline.area for p in robbing.patches}
    assert areas["segment"] == pytest.approx(4 * (math.pi / 2 - 1) / 4, abs=1e-12)
    assert areas["centre"] == pytest.approx(4 * (2 - math.pi / 2), abs=1e-12)
    melon = next(p for p in blocks.get("Orange Peel").patches if p.part == "melon")
    assert melon.outline.area == pytest.approx(math.pi / 2 - 1, abs=1e-12)  # r = 1
