"""The comparator of pictures notices what a quilter would, and no rounding."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from quiltgeom.fabric.image import load_image
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Border
from quiltgeom.model.quilt import Quilt
from quiltgeom.render import png
from quiltgeom.render.mockup import mockup
from quiltgeom.render.scene import Fill, Scene, Solid
from tests.golden.compare import LEVELS, MEAN, SHARE, Pixels, compare, load, side_by_side
from tests.golden.conftest import PICTURES, drawn
from tests.golden.facts import small
from tests.golden.quilts import signal_pattern

Cloths = dict[str, Path]


def quilt_of(border: float = 3.0) -> Quilt:
    """Signal blocks within a border, 18 x 18 inches as usual: 13 1/3 pixels per inch."""
    pattern = signal_pattern(borders=[Border(1 / 2, "edge")], turning=False)
    return lay_out(pattern, rows=2, columns=2, borders=[border])


def picture(cloths: Cloths, quilt: Quilt | None = None, width: float = 12.0) -> Scene:
    quilt = quilt or quilt_of()
    fabrics = {"focus": Fabric("a", image=cloths["arrows"], width=width, direction="one-way")}
    places = {p.index: (6.0, 6.0) for p in quilt}
    return mockup(quilt, fabrics, places=places).scene


def test_the_same_picture_is_the_same(cloths: Cloths) -> None:
    found = compare(drawn(picture(cloths)), drawn(picture(cloths)))
    assert found.same
    assert (found.mean, found.share) == (0.0, 0.0)


def test_one_patch_on_its_head_is_noticed(cloths: Cloths) -> None:
    quilt = quilt_of()
    number = next(p.index for p in quilt if p.role == "focus")
    pieces = tuple(replace(p, lie_deg=180.0) if p.index == number else p for p in quilt)
    found = compare(drawn(picture(cloths)), drawn(picture(cloths, replace(quilt, pieces=pieces))))
    assert not found.same
    assert found.share > 5 * SHARE


@pytest.mark.parametrize("name", ["arrows", "stripes", "numbers"])
def test_a_swatch_two_percent_too_large_is_noticed(name: str, cloths: Cloths) -> None:
    """With the same places: patches show the same point of the cloth in their middle."""
    quilt = small("net-menders-chain", 2, 2)
    places = {p.index: (6.0, 6.0) for p in quilt}
    larger = {i: (u * 1.02, v * 1.02) for i, (u, v) in places.items()}
    made = [
        drawn(
            mockup(
                quilt,
                {"focus": Fabric("f", image=cloths[name], width=w, direction="one-way")},
                places=at,
            ).scene
        )
        for w, at in ((12.0, places), (12.24, larger))
    ]
    assert not compare(*made).same


def test_a_border_one_pixel_off_is_noticed(cloths: Cloths) -> None:
    """The inner edge of one side alone; and a border that is laid out a pixel wider."""
    pixel = 18 / 240
    one = drawn(picture(cloths))
    moved, at = one.copy(), round(3.0 / pixel)
    moved[at, at:-at] = one[at - 1, at:-at]
    assert not compare(one, moved).same
    assert not compare(one, drawn(picture(cloths, quilt_of(3.0 + pixel)))).same


def test_one_patch_in_a_wrong_colour_is_noticed(cloths: Cloths) -> None:
    """The smallest patch of a quilt (a ninth of a star, 38 pixels) in a colour 40 levels off."""
    quilt = small("gull-cove", 2, 2)
    scene = mockup(quilt, {}).scene
    smallest = min(quilt, key=lambda p: (p.area, p.index)).index
    layer = scene.layers[0]
    items = list(layer.items)
    fills = [k for k, item in enumerate(items) if isinstance(item, Fill)]
    target = next(
        k
        for k in fills
        if items[k].path.bounds == pytest.approx(quilt.pieces[smallest].polygon.bounds)
    )
    paint = items[target].paint
    assert isinstance(paint, Solid)
    rgb = bytes.fromhex(paint.colour[1:])
    other = bytes(v - 40 if v > 127 else v + 40 for v in rgb)
    items[target] = replace(items[target], paint=Solid("#" + other.hex()))
    changed = replace(scene, layers=(replace(layer, items=tuple(items)), *scene.layers[1:]))
    found = compare(drawn(scene), drawn(changed))
    assert not found.same
    assert found.mean < MEAN  # a mean alone would have let it pass


def test_a_tint_over_everything_is_noticed(cloths: Cloths) -> None:
    one = drawn(picture(cloths))
    tinted = np.clip(one.astype(int) + np.array([0, 0, 6]), 0, 255).astype(np.uint8)
    found = compare(one, tinted)
    assert not found.same
    assert found.share == 0.0  # the share alone would have let it pass


def test_another_size_is_noticed() -> None:
    assert not compare(np.zeros((4, 4, 3), np.uint8), np.zeros((4, 5, 3), np.uint8)).same


@pytest.mark.parametrize("seed", [0, 1])
def test_noise_of_one_level_passes(seed: int, cloths: Cloths) -> None:
    one = drawn(picture(cloths))
    noise = np.random.default_rng(seed).integers(-1, 2, one.shape)
    worst = np.where(np.random.default_rng(seed).random(one.shape) < 0.5, -1, 1)
    for off in (noise, worst):
        assert compare(one, np.clip(one.astype(int) + off, 0, 255).astype(np.uint8)).same


def redrawn(scene: Scene, bands: int, monkeypatch: pytest.MonkeyPatch) -> Pixels:
    with monkeypatch.context() as patch:
        patch.setattr(png, "BANDS", bands)
        return drawn(scene)


def test_rounding_of_cairo_passes(cloths: Cloths, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cairo rounds otherwise where a surface begins elsewhere."""
    from tests.golden.test_pictures import CASES

    for name in ("setting-on-point-triangles", "lattice-shells", "repeat-half-drop"):
        scene = CASES[name](cloths)
        for bands in (1, 7):
            found = compare(drawn(scene), redrawn(scene, bands, monkeypatch))
            assert found.same, f"{name}: {found}"


def test_a_failure_shows_both_and_their_difference(tmp_path: Path) -> None:
    one = np.zeros((6, 5, 3), np.uint8)
    other = one.copy()
    other[2, 3] = (LEVELS + 1, 0, 0)
    path = side_by_side(one, other, tmp_path / "new" / "both.png")
    sheet = load(path)
    assert sheet.shape == (6, 3 * 5 + 16, 3)
    assert sheet[2, 3 + 13].tolist() == [LEVELS + 1, 0, 0]
    assert sheet[2, 3 + 26].tolist() == [3 * (LEVELS + 1), 0, 0]
    assert side_by_side(one[:0], other, path) == path  # a picture that is not there yet


def test_golden_pictures_differ_from_each_other() -> None:
    """A case that is drawn as another one, or a comparator that says yes, would be seen here."""
    known = [(p.stem, load(p)) for p in sorted(PICTURES.glob("*.png"))]
    alike = [
        (a, b) for k, (a, one) in enumerate(known) for b, two in known[:k] if compare(one, two).same
    ]
    assert alike == []


def test_files_are_read_as_they_were_written(tmp_path: Path, cloths: Cloths) -> None:
    one = drawn(picture(cloths))
    Image.fromarray(one).save(tmp_path / "one.png", optimize=True)
    assert compare(one, load(tmp_path / "one.png")).mean == 0.0
    assert load_image(tmp_path / "one.png").size == (240, 240)
