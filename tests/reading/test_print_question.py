"""One question instead of a guess: when it is asked, of whom, and what an answer does."""

from __future__ import annotations

import json
import os
import pty
import select
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

import quiltgeom as qg
from quiltgeom.cli import cli, photo_options
from quiltgeom.documents.proof_data import ProofInput, proof_data
from quiltgeom.documents.question_picture import question_views
from quiltgeom.fabric.reading.as_fabric import careful_direction, known_repeat
from quiltgeom.fabric.reading.directions.direction import DirectionReading
from quiltgeom.fabric.reading.reading import Reading, corrected, read_array
from quiltgeom.fabric.reading.repeats.repeat import RepeatReading
from quiltgeom.library.corrections import load_corrections
from quiltgeom.proposal.proposal import propose
from quiltgeom.render.scene import ClothPaint, Scene
from tests.reading.more_prints import make_any


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("scene") / "harbour.png"
    Image.fromarray(make_any("scene", 2).rgb).resize((300, 300)).save(path, dpi=(25, 25))
    return path


@pytest.fixture(scope="module")
def unsure(scene: Path) -> Reading:
    return qg.read(scene).reading


def test_the_unsafe_error_is_asked_of_first(unsure: Reading) -> None:
    question = unsure.question
    assert question is not None
    assert "upside down" in question.text
    assert careful_direction(unsure)[0] == "one-way"
    for number, way in enumerate(("one-way", "two-way", "non-directional"), 1):
        said = corrected(unsure, question.asked(number))
        assert careful_direction(said) == (way, "")
        assert said.question is None
        assert dict(said.corrections) == {"direction": way}
    assert unsure.to_json()["question"]["answers"][1]["option"] == "--direction two-way"


def test_what_is_sure_or_solid_is_not_asked() -> None:
    assert read_array(make_any("dots-straight", 3).rgb[::3, ::3], 12.0).question is None
    assert read_array(np.full((90, 90, 3), 120, np.uint8), 12.0).question is None


def test_an_unsure_repeat_is_asked_of_when_direction_is_sure(unsure: Reading) -> None:
    sure = DirectionReading("two-way", confidence=0.9)
    vectors = ((3.0, 0.0), (0.0, 4.0))
    repeat = RepeatReading("straight", vectors, (3.0, 4.0), confidence=0.4)
    reading = replace(unsure, direction=sure, repeat=repeat)
    question = reading.question
    assert question is not None
    assert known_repeat(reading) is None
    first, second = question_views(reading, question)
    assert (second[0] - first[0], second[1] - first[1]) == (0.0, 4.0)
    assert question.answers[0].option == "--repeat 3in 4in --repeat-kind straight"
    said = corrected(reading, question.asked(1))
    assert known_repeat(said) == qg.Repeat(3, 4)
    assert said.question is None


def test_a_check_that_is_nearly_the_same_sideways_is_asked_of(unsure: Reading) -> None:
    check = DirectionReading("four-way", "plaid", confidence=0.6)
    question = replace(unsure, direction=check).question
    assert question is not None
    assert question.turn_deg == 90
    assert [a.corrections[0][1] for a in question.answers] == ["four-way", "two-way"]


def test_both_pictures_lie_in_the_swatch_and_the_page_shows_them(scene: Path) -> None:
    swatch = qg.read(scene)
    made = propose(
        qg.Design("harbour-windows", {"focus": swatch.fabric}),
        planned=False,
        readings={"focus": swatch.reading},
    )
    shown = proof_data(ProofInput("A quilt", [made]))["reading"]["question"]
    assert shown["text"] == swatch.reading.question.text
    assert [view[3] for view in shown["views"]] == [0.0, 180.0]
    for x, y, side, _, _ in shown["views"]:
        assert min(x, y) >= 0
        assert max(x, y) + side <= max(swatch.reading.width_in, 12.0)
    asked = {"direction": "one-way"}
    with_it, without = swatch.scenes()[0], swatch.with_corrections(asked).scenes()[0]
    assert with_it.height > without.height
    assert _cloths(with_it) - _cloths(without) == 2


def _cloths(scene: Scene) -> int:
    return sum(
        isinstance(getattr(i, "paint", None), ClothPaint)
        for layer in scene.layers
        for i in layer.items
    )


def run(args: list[str], answer: str) -> str:
    result = CliRunner().invoke(cli, args, input=answer)
    assert result.exit_code == 0, result.output
    return result.output


def test_an_answer_at_a_terminal_is_kept(scene: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo_options, "at_terminal", lambda: True)
    told = run(["read", str(scene), "--save"], "7\n2\n")
    assert "1  No, it has an up" in told
    assert "Direction: two-way" in told
    assert load_corrections(scene) == {"direction": "two-way"}
    assert "upside down without" not in run(["read", str(scene)], "")  # answered already
    scene.with_name(scene.name + ".reading.json").unlink()
    told = run(["read", str(scene)], "\n")  # skipped
    assert "Direction: one-way (unsure)" in told


def test_nobody_is_asked_where_nobody_can_answer(scene: Path) -> None:
    data = json.loads(run(["read", str(scene), "--json"], ""))
    assert data["direction"]["kind"] == "one-way"
    assert data["question"]["text"].startswith("Could this print")
    said = json.loads(run(["read", str(scene), "--json", "--direction", "two-way"], ""))
    assert said["question"] is None


def test_advice_asks_before_it_begins(
    scene: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: dict[str, object] = {}

    def advise(brief: object, *_: object, **__: object) -> object:
        asked.update(brief.corrections)  # type: ignore[attr-defined]
        raise qg.QuiltError("enough")

    monkeypatch.setattr("quiltgeom.jobs.advise.advise", advise)
    monkeypatch.setattr("quiltgeom.cli.commands.advise_command.at_terminal", lambda: True)
    monkeypatch.setattr(photo_options, "at_terminal", lambda: True)
    result = CliRunner().invoke(cli, ["advise", str(scene), "-o", str(tmp_path / "a")], input="3\n")
    assert "upside down" in result.output
    assert asked == {"direction": "non-directional"}


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are of Unix")
def test_a_real_terminal_is_asked(scene: Path) -> None:
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "quiltgeom", "read", str(scene), "--json"]
    with subprocess.Popen(command, stdin=theirs, stderr=theirs, stdout=subprocess.PIPE) as child:
        os.close(theirs)
        shown, end = b"", time.monotonic() + 120
        while b"Your answer" not in shown and time.monotonic() < end:
            if select.select([ours], [], [], 1.0)[0]:
                shown += os.read(ours, 4096)
        os.write(ours, b"1\n")
        assert child.stdout is not None
        data = json.loads(child.stdout.read())
    os.close(ours)
    assert b"turned upside down" in shown
    assert data["corrections"] == {"direction": "one-way"}
    assert data["question"] is None
