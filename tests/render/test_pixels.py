"""Areas, seams and bytes of the drawn picture."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.mockup import mockup
from quiltgeom.render.png import draw_pixels, png_bytes
from quiltgeom.render.scene import Scene, grey_colour

PATTERNS = list(load_patterns())


def flat(quilt: Quilt, colours: dict[str, str]) -> Scene:
    fabrics = {r: Fabric(r, colour=c) for r, c in colours.items()}
    return mockup(quilt, fabrics).scene


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_pixel_count_by_fabric_is_finished_area(pattern: Pattern) -> None:
    """With pure red, green and blue each channel adds up one fabric, anti-aliasing included."""
    quilt = lay_out(pattern)
    scene = flat(quilt, {"focus": "#ff0000", "background": "#00ff00", "accent": "#0000ff"})
    pixels = draw_pixels(scene, 20.0).astype(float) / 255
    share = pixels.reshape(-1, 4)[:, 2::-1].mean(axis=0)
    whole = quilt.width * quilt.height
    for part, role in zip(share, ("focus", "background", "accent"), strict=True):
        assert part == pytest.approx(quilt.area_by_role[role] / whole, abs=1e-3)


def seam_excess(pixels: np.ndarray, levels: list[int]) -> tuple[int, int]:
    """Interior pixels lighter than the lightest fabric by more than 3, and the worst excess."""
    inner = pixels[2:-2, 2:-2, :3].astype(int).max(axis=2)
    excess = inner - max(levels)
    return int((excess > 3).sum()), int(excess.max())


DARK = {"focus": "#0c0c0c", "background": "#141414", "accent": "#101010"}


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.key)
def test_no_hairlines_between_dark_fabrics_on_white(pattern: Pattern) -> None:
    scene = flat(lay_out(pattern), DARK)
    assert scene.ground == "#ffffff"
    pixels = draw_pixels(scene, 1500 / max(scene.width, scene.height))
    assert seam_excess(pixels, [0x0C, 0x14, 0x10]) == (0, pytest.approx(0, abs=3))


def test_the_hairline_check_can_fail() -> None:
    """Painted over instead of added, the white ground shines through the seams."""
    from dataclasses import replace

    scene = flat(lay_out(load_patterns().get("gull-cove")), DARK)
    plain = replace(scene, layers=tuple(replace(x, kind="over") for x in scene.layers))
    count, worst = seam_excess(draw_pixels(plain, 25.0), [0x0C, 0x14, 0x10])
    assert count > 1000
    assert worst > 30


def test_outer_edge_is_anti_aliased_into_the_ground() -> None:
    """A quilt whose size is no whole number of pixels blends its edge with the sheet's colour."""
    quilt = lay_out(load_patterns().get("gull-cove"))
    sheet = Scene(quilt.width + 2, quilt.height + 2).with_scene(flat(quilt, DARK), 1.013, 1.013)
    row = draw_pixels(sheet, 20.0)[200, :, 1].astype(int)
    edge = row[18:24]
    assert list(edge) == sorted(edge, reverse=True)
    assert edge[0] == 255
    assert edge[-1] < 0x14 + 4


def test_value_study_keeps_lightness() -> None:
    """sRGB's own luminance (IEC 61966-2-1): Y = 0.2126 R + 0.7152 G + 0.0722 B in linear light."""

    def linear(v: float) -> float:
        return v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4

    for colour in ("#c9702f", "#2f5d73", "#ffffff", "#000000", "#3366cc"):
        r, g, b = (linear(v / 255) for v in bytes.fromhex(colour[1:]))
        grey = grey_colour(colour)
        assert grey[1:3] == grey[3:5] == grey[5:7]
        assert linear(int(grey[1:3], 16) / 255) == pytest.approx(
            0.2126 * r + 0.7152 * g + 0.0722 * b, abs=0.004
        )


def test_png_states_its_density() -> None:
    """pHYs counts pixels per metre: 96 to the inch is 3780 (PNG specification, 11.3.5.3)."""
    quilt = lay_out(PATTERNS[0], rows=1, columns=1)
    data = png_bytes(flat(quilt, DARK), ppi=96)
    at = data.index(b"pHYs") + 4
    assert int.from_bytes(data[at : at + 4], "big") == 3780
    assert data[at + 8] == 1


SAME = """
import sys, hashlib
from pathlib import Path
from quiltgeom.library.design_file import load_design
from quiltgeom.render.preview import preview
made = preview(load_design(sys.argv[1]))
for suffix in ('.svg', '.png', '.pdf'):
    path = made.save(Path(sys.argv[2]) / ('q' + suffix), px=400)
    print(hashlib.sha256(path.read_bytes()).hexdigest())
"""


def test_same_bytes_in_two_processes_with_different_hash_seeds(tmp_path: Path) -> None:
    Image.effect_noise((300, 300), 60).convert("RGB").save(tmp_path / "n.png")
    (tmp_path / "d.toml").write_text(
        'pattern = "gull-cove"\nrows = 3\n[fabric.focus]\nimage = "n.png"\nwidth = 8\n'
        '[fabric.accent]\nimage = "n.png"\nwidth = 3\nrepeat = [1, 2]\nrepeat_kind = "half-drop"\n'
    )
    out = []
    for seed in ("1", "77"):
        done = subprocess.run(
            [sys.executable, "-c", SAME, str(tmp_path / "d.toml"), str(tmp_path)],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        out.append(done.stdout)
    assert out[0] == out[1]
    assert len(set(out[0].split())) == 3


def test_another_seed_shows_other_places_of_the_cloth(arrow_files: list[Path]) -> None:
    quilt = lay_out(load_patterns().get("net-menders-chain"), rows=2, columns=2)
    fabrics = {"focus": Fabric("arrows", image=arrow_files[0], width=12)}
    first, again, other = (mockup(quilt, fabrics, seed=s).places for s in (1, 1, 2))
    assert first == again
    assert first != other


def test_patches_that_fit_show_real_cloth_only(arrow_files: list[Path]) -> None:
    quilt = lay_out(load_patterns().get("net-menders-chain"))
    fabrics = {r: Fabric(r, image=arrow_files[0], width=12) for r in ("focus", "accent")}
    made = mockup(quilt, fabrics)
    for index, place in made.places.items():
        piece = quilt.pieces[index]
        big = max(np.ptp(piece.polyline, axis=0)) > 12
        assert place.beyond == big
        assert (place.cloth.kind == "plain") != big
    assert "your photo is smaller than" in made.notes[0]
    assert "we guessed the cloth" in made.notes[0]


def test_places_from_a_plan_are_taken_as_given(arrow_files: list[Path]) -> None:
    """The point of the cloth named by the plan lies at the middle of the piece."""
    quilt = lay_out(load_patterns().get("gull-cove"), rows=2, columns=2)
    fabric = Fabric("focus", image=arrow_files[0], width=12)
    plan = {p.index: (3.0 + 0.01 * p.index, 5.0) for p in quilt}
    made = mockup(quilt, {"focus": fabric}, places=plan)
    for index, place in made.places.items():
        a, b, c, d, e, f = place.matrix
        u, v = plan[index]
        x0, y0, x1, y1 = quilt.pieces[index].polygon.bounds
        assert (a * u + c * v + e, b * u + d * v + f) == pytest.approx(
            ((x0 + x1) / 2, (y0 + y1) / 2)
        )


def test_a_patch_larger_than_its_swatch_shows_the_whole_of_it(tmp_path: Path) -> None:
    """An 8-inch swatch in 9-inch patches: only the inch that is missing is a continuation."""
    Image.new("RGB", (360, 240), "#446688").save(tmp_path / "low.png")
    quilt = lay_out(load_patterns().get("net-menders-chain"))
    fabric = Fabric("low", image=tmp_path / "low.png", width=12, direction="one-way")
    made = mockup(quilt, {"focus": fabric})
    for index, place in made.places.items():
        top = quilt.pieces[index].polygon.bounds[1] - place.matrix[5]
        assert -1 - 1e-9 <= top <= 1e-9  # inches on the cloth at the patch's upper edge
        assert place.beyond
