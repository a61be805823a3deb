"""The greyscale check: what is measured at the seams of the drawn picture."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from quiltgeom.colour import munsell_value
from quiltgeom.errors import QuiltKeyError
from quiltgeom.matching.separation import STEP, seam_contrast, value_contrast
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.greyscale_check import Separation, separation


def check(background: str, accent: str, pattern: str = "gull-cove", **more: Fabric) -> Separation:
    fabrics = {"background": Fabric("b", colour=background), "accent": Fabric("a", colour=accent)}
    return separation(Design(pattern, fabrics | more))


def between(found: Separation, *roles: str) -> tuple[float, float, str]:
    seam = next(s for s in found.seams if set(s.roles) == set(roles))
    return seam.steps, seam.lost, seam.outcome


def grey_hex(light: float) -> str:
    """The grey of a given CIE L* (CIE 1976: Y = ((L + 16) / 116)^3; sRGB's curve)."""
    y = ((light + 16) / 116) ** 3
    code = 12.92 * y if y <= 0.0031308 else 1.055 * y ** (1 / 2.4) - 0.055
    return "#" + f"{round(code * 255):02x}" * 3


def test_equal_value_is_flagged_and_a_clear_pair_passes() -> None:
    """A red and a green of the same luminance: as different in hue as can be."""
    same = check("#c8473a", "#5b8433")
    steps, lost, outcome = between(same, "background", "accent")
    assert (lost, outcome, same.outcome) == (1.0, "fail", "fail")
    assert steps < 0.3
    assert between(check("#f3ead8", "#1f3a5c"), "background", "accent")[1:] == (0.0, "pass")


@pytest.mark.parametrize(("gap", "expected"), [(5, "fail"), (15, "caution"), (25, "pass")])
def test_steps_are_those_of_the_munsell_scale(gap: float, expected: str) -> None:
    """Greys a known number of L* apart; 8-bit greys are within 0.2 L* of the wanted ones."""
    found = between(check(grey_hex(70), grey_hex(70 - gap)), "background", "accent")
    assert found[0] == pytest.approx(gap / 10, abs=0.04)
    assert found[2] == expected


def test_a_step_is_ten_units_of_lightness() -> None:
    """ASTM D1535's quintic against CIE 1976 L*: V = L*/10 within 0.11 from 1 to 10."""
    light = np.arange(10.0, 100.1, 1.0)
    value = munsell_value(100 * ((light + 16) / 116) ** 3)
    assert np.abs(value - light / STEP).max() < 0.11


@pytest.mark.parametrize("pattern", ["gull-cove", "lamp-room", "tide-tables", "net-menders-chain"])
def test_colour_blind_and_order_blind(pattern: str) -> None:
    """The same lightness in other hues, and the two cloths the other way round."""
    one = between(check("#dcd3c2", "#2f5d73", pattern), "background", "accent")
    other = between(check("#2f5d73", "#dcd3c2", pattern), "background", "accent")
    assert one[0] == pytest.approx(other[0], abs=1e-9)
    assert one[1:] == other[1:]


def test_texture_is_averaged_on_its_own_side_of_the_seam(tmp_path: Path) -> None:
    """A black and white check has half the light of white, L* 76 (drawn small, its edges darken a
    little); beside black and beside white it is the same cloth, so the two gaps add up to 100."""
    y, x = np.mgrid[0:960, 0:960]
    picture = np.where((x // 20 + y // 20) % 2, 255, 0).astype(np.uint8)
    path = tmp_path / "check.png"
    Image.fromarray(picture).convert("RGB").save(path)
    check_cloth = Fabric("check", image=path, width=12.0)
    gaps = []
    for beside in ("#000000", "#ffffff"):
        cloth = {"background": Fabric("plain", colour=beside), "accent": check_cloth}
        gaps.append(between(separation(Design("gull-cove", cloth)), "background", "accent")[0])
    assert sum(gaps) == pytest.approx(10.0, abs=0.1)
    assert 6.7 < gaps[0] < 7.7


def test_a_print_of_two_values_loses_half_of_its_seam(tmp_path: Path) -> None:
    """Broad stripes, one of them of the background's value."""
    light = np.where(np.arange(300) // 50 % 2, 230, 60).astype(np.uint8)
    path = tmp_path / "broad.png"
    Image.fromarray(np.tile(light, (300, 1))).convert("RGB").save(path)
    stripes = Fabric("broad", image=path, width=24.0)
    found = check("#e6e6e6", "#202020", focus=stripes)
    _, lost, outcome = between(found, "background", "focus")
    assert 0.3 < lost < 0.7
    assert outcome == "caution"
    assert found.outcome == "caution"


def test_one_cloth_in_two_roles_is_said_and_not_judged() -> None:
    cloth = Fabric("c", colour="#336699")
    found = separation(Design("gull-cove", {"background": cloth, "accent": cloth}))
    assert found.same == (("background", "accent"),)
    assert all(set(s.roles) != {"background", "accent"} for s in found.seams)


def test_unknown_roles_are_refused() -> None:
    with pytest.raises(QuiltKeyError, match="lining"):
        separation(Design("gull-cove", {"lining": Fabric("x", colour="#000000")}))


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 100))
def test_more_contrast_never_scores_less(a: float, b: float, c: float) -> None:
    near, far = sorted((abs(a - b), abs(a - c)))
    rank = ["fail", "caution", "pass"]
    one, two = value_contrast(0, near), value_contrast(0, far)
    assert one.score <= two.score
    assert rank.index(one.outcome) <= rank.index(two.outcome)
    assert value_contrast(a, b) == value_contrast(b, a) or a != b


def test_sentences_carry_the_numbers() -> None:
    seam = seam_contrast(("background", "accent"), [80, 80, 80, 80], [76, 76, 50, 50])
    assert "50% of the seam" in seam.sentence
    assert seam.to_json()["lost"] == 0.5
    assert "runs into" in seam_contrast(("focus", "background"), [80], [79], show=True).sentence
