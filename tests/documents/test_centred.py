"""Centring the motif by fussy cutting: what the advice says of it, and what it makes of it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from quiltgeom.demo.swatches import write_swatches
from quiltgeom.fabric.reading.as_fabric import fabric_from_reading
from quiltgeom.fabric.reading.read_file import read_swatch
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.jobs.advise import Brief, advise
from quiltgeom.jobs.centred import RULE, centred, with_centring
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.proposal.judge import judge_seen
from quiltgeom.proposal.proposal import Proposal, propose

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


def made(print_: tuple[Path, Reading], **cutting: Any) -> Proposal:
    photo, reading = print_
    worn = {ROLE: fabric_from_reading("Anchorage", photo, reading)}
    return propose(Design(PATTERN.key, worn), quilt=QUILT, readings={ROLE: reading}, **cutting)


def held(proposal: Proposal | None) -> int:
    """Patches that show a whole motif."""
    assert proposal is not None
    assert proposal.seen is not None
    return len(proposal.seen.patches) - proposal.seen.absent


def test_windows_on_the_motif_show_more_of_them(print_: tuple[Path, Reading]) -> None:
    plain = made(print_)
    other = centred(plain)
    assert other is not None
    windows = [
        p
        for f in other.cutting.fabrics
        if f.role == ROLE
        for p in f.placed
        if p.unit.method == "fussy cut"
    ]
    assert len(windows) == sum(p.role == ROLE and not p.in_border for p in QUILT)
    # only those that the edge of the quilt trims are too small for an anchor
    whole = max(p.polygon.area for p in QUILT if p.role == ROLE)
    untrimmed = sum(p.role == ROLE and p.polygon.area > 0.99 * whole for p in QUILT)
    assert held(other) == untrimmed > held(plain)


def test_the_verdict_says_what_it_takes(print_: tuple[Path, Reading]) -> None:
    plain = made(print_)
    said = with_centring(plain, centred(plain))
    assert said.outcome == "caution"  # diamonds of this size cut anchors however they lie
    assert "centred by fussy cutting" in said.sentence
    assert "of cloth instead of" in said.sentence
    have = {ROLE: (QUILT.block_size * 2, 40.0)}  # two rows of windows; the repeat asks for more
    short = made(print_, have=have)
    assert with_centring(short, centred(short, have=have)).sentence.endswith("more than is at hand")


def test_a_print_without_a_repeat_cannot_be_centred(print_: tuple[Path, Reading]) -> None:
    photo, reading = print_
    fabric = replace(fabric_from_reading("Anchorage", photo, reading), repeat=None)
    plain = made(print_)
    design = replace(plain.design, fabrics={ROLE: fabric})
    assert centred(replace(plain, design=design)) is None


def test_advice_is_centred_on_request(print_: tuple[Path, Reading], tmp_path: Path) -> None:
    photo, _ = print_
    brief = Brief(photo, width=12.0, fussy=True, kit=False)
    advice = advise(brief, tmp_path, patterns=[PATTERN])
    assert advice.design.fussy == (ROLE,)
    assert advice.best.seen is not None
    assert advice.best.seen.whole >= 0.8 * len(advice.best.seen.patches)
    assert f'"fussy":["{ROLE}"]' in (tmp_path / "proof.html").read_text("utf-8").replace(" ", "")


def test_a_wish_that_cannot_be_met_is_answered(tmp_path: Path) -> None:
    """Noise has no repeat: it is cut in strips, and the advice says so."""
    noise = np.random.default_rng(3).integers(0, 256, (240, 240, 3)).astype(np.uint8)
    Image.fromarray(noise).save(tmp_path / "sand.png")
    brief = Brief(tmp_path / "sand.png", width=12.0, fussy=True, kit=False)
    advice = advise(brief, tmp_path / "out", patterns=[PATTERN])
    assert advice.design.fussy == ()
    said = next(v for v in advice.fits[0].verdicts if v.rule == RULE)
    assert "not centred" in said.sentence


def test_the_verdict_is_of_the_plan_that_is_given(
    print_: tuple[Path, Reading], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Patterns are ranked by quick plans, here on other cloth; the recommended one is then planned
    in full."""
    photo, reading = print_
    quick: list[str] = []

    def narrow(job: Any) -> Proposal:
        design, quilt, readings, given, _ = job
        made = propose(design, quilt=quilt, readings=readings, given=given, width=21.0, effort=1)
        quick.append(next(v.sentence for v in made.verdicts if v.rule == RULE))
        return made

    monkeypatch.setattr("quiltgeom.jobs.advise._quick_proposal", narrow)
    advice = advise(Brief(photo, width=12.0, kit=False), tmp_path, patterns=[PATTERN])
    said = next(v.sentence for v in advice.fits[0].verdicts if v.rule == RULE)
    own = next(v.sentence for v in judge_seen(advice.best.seen, reading) if v.rule == RULE)
    assert said.split("; centred")[0].split("; fussy")[0] == own != quick[0]
    data = json.loads((tmp_path / "advice.json").read_text("utf-8"))
    assert said in [v["sentence"] for v in data["patterns"][0]["verdicts"]]
