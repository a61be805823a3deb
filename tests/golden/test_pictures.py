"""Golden pictures of the mockup: one behaviour each, named for it.

The swatches say which place of them is seen and how it lies (:mod:`tests.golden.cloths`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.library.blocks import load_blocks
from quiltgeom.model.fabric import Fabric, Repeat
from quiltgeom.model.pattern import Border
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.mockup import block_scene, mockup
from quiltgeom.render.scene import Scene
from tests.golden.compare import compare
from tests.golden.conftest import PICTURES, CheckPicture, drawn
from tests.golden.facts import small
from tests.golden.quilts import signal_pattern, signal_quilt

Cloths = dict[str, Path]


def cloth(cloths: Cloths, name: str, **more: Any) -> Fabric:
    """A swatch as a fabric; one-way unless said otherwise."""
    return Fabric(name, image=cloths[name], **{"width": 12.0, "direction": "one-way", **more})


def scene(
    cloths: Cloths,
    quilt: Quilt,
    focus: str | Fabric = "numbers",
    *,
    background: str = "linen",
    **more: Any,
) -> Scene:
    """A quilt with a print in its focus, linen and tide beside it."""
    first = cloth(cloths, focus) if isinstance(focus, str) else focus
    fabrics = {
        "focus": first,
        "background": cloth(cloths, background),
        "accent": cloth(cloths, "tide"),
    }
    fabrics |= {"edge": cloth(cloths, "arrows")} if "edge" in quilt.roles else {}
    return mockup(quilt, {r: f for r, f in fabrics.items() if r in quilt.roles}, **more).scene


def signals(cloths: Cloths, focus: str | Fabric = "arrows", **more: Any) -> Scene:
    return scene(cloths, signal_quilt(signal_pattern(**more), 2, 4), focus)


def bordered(cloths: Cloths, *borders: Border) -> Scene:
    """Two blocks as drawn, with a border of arrows."""
    pattern = signal_pattern(borders=borders, turning=False)
    return scene(cloths, signal_quilt(pattern, 2, 1))


def large(cloths: Cloths, **more: Any) -> Scene:
    """A swatch of 6 inches in patches of 9: it must go on beyond its edge."""
    print_ = cloth(cloths, "numbers", width=6, **more)
    return scene(cloths, small("net-menders-chain", 2, 2), print_)


def turned(cloths: Cloths, name: str, up: float) -> Scene:
    return scene(cloths, small("net-menders-chain", 2, 2), cloth(cloths, name, up_deg=up))


def repeating(cloths: Cloths, kind: str) -> Scene:
    """A repeat of 3 x 4 inches in patches of 12 inches, larger than one repeat."""
    repeat = Repeat(3, 4, kind)  # type: ignore[arg-type]
    image = cloth(cloths, kind, width=12, repeat=repeat)
    return scene(cloths, small("net-menders-chain", 2, 2, block_size=12), image)


def fussy(cloths: Cloths, key: str, **more: Any) -> Scene:
    motif = cloth(cloths, "motif", motif=(4, 5), **more)
    return scene(cloths, small(key, 2, 2), motif, fussy=["focus"])


def as_cut(cloths: Cloths) -> Scene:
    """Places from a cutting plan; strips of the border joined end to end."""
    quilt = small("gull-cove", 2, 2)
    fabrics = {
        r: cloth(cloths, n)
        for r, n in (("focus", "numbers"), ("background", "linen"), ("accent", "arrows"))
    }
    made, places = cut_plan(quilt, fabrics, effort=1).as_cut()
    return mockup(made, fabrics, places=places).scene


def two_way(cloths: Cloths) -> Scene:
    """As cut, a two-way print may lie on its head, not sideways."""
    quilt = small("sail-loft", 2, 2)
    fabrics = {
        r: cloth(cloths, n, direction="two-way")
        for r, n in (("focus", "stripes"), ("background", "linen"), ("accent", "arrows"))
    }
    made, places = cut_plan(quilt, fabrics, effort=1).as_cut()
    return mockup(made, fabrics, places=places).scene


def plain_colours(cloths: Cloths) -> Scene:
    return mockup(small("sail-loft", 2, 2), {"focus": Fabric("f", colour="#b04a3a")}).scene


CASES: dict[str, Callable[[Cloths], Scene]] = {
    "setting-straight": lambda c: scene(c, small("harbour-windows", 2, 2), seed=3),
    "setting-alternate-blocks": lambda c: scene(c, small("net-menders-chain", 3, 3)),
    "setting-on-point-triangles": lambda c: scene(c, small("gull-cove", 2, 2), background="arrows"),
    "setting-columns": lambda c: scene(c, small("tide-tables", 2, 3), "arrows"),
    "setting-medallion": lambda c: scene(c, small("lighthouse-keep", 3, 2)),
    "lattice-hexagons": lambda c: scene(c, small("buoy-field", 4, 4)),
    "lattice-diamonds": lambda c: scene(c, small("fish-boxes", 3, 3), "stripes"),
    "lattice-shells": lambda c: scene(c, small("mussel-bed", 5, 3), "arrows"),
    "curved-patches": lambda c: scene(c, small("slipway", 4, 4)),
    "sashing-cornerstones": lambda c: scene(c, small("barn-lantern", 2, 2)),
    "blocks-turned-print-upright": signals,
    "blocks-turned-print-with-block": lambda c: signals(c, lie="block"),
    "blocks-turned-print-with-unit": lambda c: signals(c, lie="unit"),
    "blocks-turned-print-along-strip": lambda c: signals(c, lie="strip"),
    "blocks-on-point-print-upright": lambda c: signals(c, setting="on-point"),
    "border-butted": lambda c: bordered(c, Border(1 / 2, "edge")),
    "border-mitred-along-strip": lambda c: bordered(
        c, Border(1 / 2, "edge", "mitred", lie="strip")
    ),
    "border-corner-squares": lambda c: bordered(c, Border(1 / 2, "edge", "squares", "accent")),
    "border-pieced": lambda c: bordered(
        c, Border(1 / 2, unit="S", unit_length=1 / 2, corner_unit="U")
    ),
    "one-way-up-at-0": lambda c: turned(c, "arrows", 0),
    "one-way-up-at-90": lambda c: turned(c, "arrows-right", 90),
    "up-at-45": lambda c: turned(c, "arrows", 45),
    "two-way-as-cut": two_way,
    "places-of-a-plan": as_cut,
    "fussy-centring": lambda c: fussy(c, "slipway"),
    "fussy-centring-up-at-90": lambda c: fussy(c, "gull-cove", up_deg=90.0),
    "repeat-half-drop": lambda c: repeating(c, "half-drop"),
    "repeat-brick": lambda c: repeating(c, "brick"),
    "beyond-the-swatch-one-way": large,
    "beyond-the-swatch-mirrored-both-ways": lambda c: large(c, direction="two-way"),
    "style-flat": lambda c: scene(c, small("barn-lantern", 1, 1), style="flat"),
    "style-values": lambda c: scene(c, small("barn-lantern", 1, 1), style="values"),
    "style-lines": lambda c: scene(c, small("slipway", 2, 2), style="lines"),
    "seams-drawn": lambda c: scene(c, small("gull-cove", 1, 1), seams=True),
    "roles-without-cloth": plain_colours,
    "block-alone": lambda c: block_scene(load_blocks().get("eight-pointed-star")),
}


@pytest.mark.parametrize("name", CASES)
def test_picture(name: str, cloths: Cloths, check_picture: CheckPicture) -> None:
    check_picture(name, CASES[name](cloths))


def test_every_picture_has_its_case() -> None:
    assert sorted(p.stem for p in PICTURES.glob("*.png")) == sorted(CASES)


def test_pictures_are_small() -> None:
    assert sum(p.stat().st_size for p in PICTURES.glob("*.png")) < 1_500_000


def test_turning_the_photo_changes_nothing(cloths: Cloths) -> None:
    """A photo taken sideways, with its up said, gives the quilt of the upright one: places of a
    plan are those of the upright cloth."""
    quilt = small("net-menders-chain", 2, 2)
    upright = cloth(cloths, "arrows")
    sideways = replace(upright, image=cloths["arrows-right"], up_deg=90.0)
    forgotten = replace(sideways, up_deg=0.0)
    places = {p.index: (5.0 + p.index % 3, 5.5) for p in quilt}
    one, same, other = (
        drawn(mockup(quilt, {"focus": f}, places=places).scene)
        for f in (upright, sideways, forgotten)
    )
    assert compare(one, same).same
    assert not compare(one, other).same
