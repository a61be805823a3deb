"""Centring the motif by fussy cutting: what the advice says of it, and what it makes of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from quiltgeom.cutting.plan import CutPlan, cut_plan
from quiltgeom.demo.swatches import write_swatches
from quiltgeom.documents.advise import Brief, advise
from quiltgeom.documents.centred import centred, with_centring
from quiltgeom.fabric.reading.as_fabric import fabric_from_reading
from quiltgeom.fabric.reading.reading import Reading, read_swatch
from quiltgeom.layout.quilt import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.falls import motif_falls
from quiltgeom.matching.rules import falls_verdict

PATTERN = load_patterns().get("fish-boxes")
QUILT = lay_out(PATTERN, rows=4, columns=4)
ROLE = PATTERN.main_role


@pytest.fixture(scope="module")
def print_(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Reading]:
    """Anchors of 1 7/8 in: they just go into the diamonds of the pattern, if they lie well."""
    folder = tmp_path_factory.mktemp("swatches")
    write_swatches(folder, ["anchorage"])
    photo = next(folder.glob("*.jpg"))
    return photo, read_swatch(photo, 12.0)


def test_windows_on_the_motif_show_more_of_them(print_: tuple[Path, Reading]) -> None:
    photo, reading = print_
    worn = {ROLE: fabric_from_reading("Anchorage", photo, reading)}
    plain = cut_plan(QUILT, worn)
    other = centred(QUILT, worn, ROLE, reading)
    assert other is not None
    windows = [p for f in other.plan.fabrics if f.role == ROLE for p in f.placed
               if p.unit.method == "fussy cut"]  # fmt: skip
    assert len(windows) == sum(p.role == ROLE and not p.place.startswith("border") for p in QUILT)
    before = motif_falls(plain, ROLE, reading)
    # only those that the edge of the quilt trims are too small for an anchor
    whole = max(p.polygon.area for p in QUILT if p.role == ROLE)
    untrimmed = sum(p.role == ROLE and p.polygon.area > 0.99 * whole for p in QUILT)
    assert other.falls.whole == untrimmed > before.whole


def test_the_verdict_says_what_it_takes(print_: tuple[Path, Reading]) -> None:
    photo, reading = print_
    worn = {ROLE: fabric_from_reading("Anchorage", photo, reading)}
    plain = cut_plan(QUILT, worn)
    verdict = falls_verdict(motif_falls(plain, ROLE, reading))
    poor = replace(verdict, outcome="caution")
    said = with_centring(poor, plain, centred(QUILT, worn, ROLE, reading)).sentence
    assert "centred by fussy cutting" in said
    assert "of cloth instead of" in said
    have = {ROLE: (QUILT.block_size * 2, 40.0)}  # two rows of windows; the repeat asks for more
    short = with_centring(poor, cut_plan(QUILT, worn, have=have),
                          centred(QUILT, worn, ROLE, reading, have=have)).sentence  # fmt: skip
    assert short.endswith("more than is at hand")
    good = replace(verdict, outcome="pass")
    assert with_centring(good, plain, centred(QUILT, worn, ROLE, reading)) == good


def test_a_print_without_a_repeat_cannot_be_centred(print_: tuple[Path, Reading]) -> None:
    photo, reading = print_
    fabric = replace(fabric_from_reading("Anchorage", photo, reading), repeat=None)
    assert centred(QUILT, {ROLE: fabric}, ROLE, reading) is None


def test_advice_is_centred_on_request(print_: tuple[Path, Reading], tmp_path: Path) -> None:
    photo, _ = print_
    brief = Brief(photo, width=12.0, fussy=True, kit=False)
    advice = advise(brief, tmp_path, patterns=[PATTERN])
    assert advice.design.fussy == (ROLE,)
    falls = next(v for v in advice.fits[0].verdicts if v.rule == "where the motif falls")
    assert falls.outcome == "pass"
    assert f'"fussy":["{ROLE}"]' in (tmp_path / "proof.html").read_text("utf-8").replace(" ", "")


def test_a_wish_that_cannot_be_met_is_answered(tmp_path: Path) -> None:
    """Noise has no repeat: it is cut in strips, and the advice says so."""
    noise = np.random.default_rng(3).integers(0, 256, (240, 240, 3)).astype(np.uint8)
    Image.fromarray(noise).save(tmp_path / "sand.png")
    brief = Brief(tmp_path / "sand.png", width=12.0, fussy=True, kit=False)
    advice = advise(brief, tmp_path / "out", patterns=[PATTERN])
    assert advice.design.fussy == ()
    falls = next(v for v in advice.fits[0].verdicts if v.rule == "where the motif falls")
    assert "not centred" in falls.sentence


def test_the_verdict_is_of_the_plan_that_is_given(
    print_: tuple[Path, Reading], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Patterns are ranked by quick plans, here on other cloth; the recommended one is then planned
    in full."""
    photo, reading = print_
    quick: list[str] = []

    def narrow(job: Any) -> CutPlan:
        plan = cut_plan(job[0], job[1], width=21.0, effort=1)
        quick.append(motif_falls(plan, ROLE, reading).sentence)
        return plan

    monkeypatch.setattr("quiltgeom.documents.advise._quick_plan", narrow)
    advice = advise(Brief(photo, width=12.0, kit=False), tmp_path, patterns=[PATTERN])
    falls = next(v for v in advice.fits[0].verdicts if v.rule == "where the motif falls")
    final = motif_falls(advice.plans[PATTERN.key], ROLE, reading)
    assert falls.sentence.split(";")[0] == final.sentence != quick[0]
