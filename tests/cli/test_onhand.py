"""The commands about cloth on hand: what they print, and how they refuse."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from quiltgeom.cli import cli, main
from quiltgeom.demo.swatches import write_swatches

SMALL = ("shoal", "sailcloth", "night-watch", "sea-glass", "buoy-red", "lighthouse-row")


@pytest.fixture(scope="session")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six demo swatches, drawn small, with their index."""
    folder = tmp_path_factory.mktemp("on hand")
    write_swatches(folder, SMALL, ppi=30)
    assert run("onhand", str(folder), "--workers", "1", "--quick").exit_code == 0
    return folder


def run(*args: str) -> Result:
    return CliRunner().invoke(cli, list(args))


def data(result: Result) -> dict[str, Any]:
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_onhand_lists_and_notes(shelf: Path) -> None:
    listed = run(
        "onhand",
        str(shelf),
        "--quick",
        "--note",
        "sailcloth",
        "--length",
        "1 1/2 yd",
        "--across",
        "42in",
        "--say",
        "washed",
        "--call",
        "Sailcloth, cream",
    )
    assert listed.exit_code == 0
    line = next(x for x in listed.stdout.splitlines() if x.startswith("Sailcloth, cream"))
    assert '42" x 54"' in line
    assert "reads as solid" in line
    assert line.endswith("washed")
    found = data(run("onhand", str(shelf), "--quick", "--json"))
    assert len(found["swatches"]) == len(SMALL)
    cream = next(s for s in found["swatches"] if s["name"] == "Sailcloth, cream")
    assert (cream["length_on_hand_in"], cream["width_on_hand_in"]) == (54, 42)
    assert cream["reading"]["palette"]
    run("onhand", str(shelf), "--quick", "--note", "Sailcloth, cream", "--call", "")


def test_onhand_tells_what_it_could_not_read(tmp_path: Path) -> None:
    (tmp_path / "bad.jpg").write_text("no picture")
    Image.new("RGB", (64, 64), "#336699").save(tmp_path / "good.png")
    result = run("onhand", str(tmp_path), "--width", "5in", "--workers", "1")
    assert result.exit_code == 0
    assert "not read" in result.stderr
    assert "bad.jpg" in result.stderr
    assert "1 unreadable" in result.stderr


def test_companions_of_a_print(shelf: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "trios.png"
    asked = ["companions", str(shelf / "shoal.jpg"), "--from", str(shelf), "--most", "3"]
    found = data(run(*asked, "--json", "-o", str(sheet), "--need", "background=54inx40in"))
    assert found["searched"] == 5  # the print itself is not proposed
    best = found["pairs"][0]
    assert {best["background"], best["accent"]} <= set(SMALL) - {"shoal"}
    assert all(v["sentence"] for v in best["verdicts"])
    assert "enough-cloth" in [v["rule"] for v in found["backgrounds"][0]["verdicts"]]
    with Image.open(sheet) as image:
        assert image.width > image.height > 500
    words = run("companions", str(shelf / "shoal.jpg"), "--from", str(shelf / "on-hand.sqlite"))
    assert f"1  {best['background']} + {best['accent']}" in words.stdout


def test_something_like_a_print(shelf: Path) -> None:
    found = data(run("alike", str(shelf / "shoal.jpg"), "--from", str(shelf), "--json"))
    assert len(found["swatches"]) == 5
    assert found["swatches"][0]["role"] == "substitute"
    assert "1  " in run("alike", str(shelf / "shoal.jpg"), "--from", str(shelf)).stdout


def test_values_of_a_pair(tmp_path: Path) -> None:
    picture = tmp_path / "greys.png"
    clear = data(
        run(
            "values",
            "--pattern",
            "gull-cove",
            "--fabric",
            "background=#f3ead8",
            "--fabric",
            "accent=#2f5d73",
            "--json",
            "-o",
            str(picture),
        )
    )
    assert clear["outcome"] == "pass"
    assert picture.exists()
    merged = run(
        "values",
        "--pattern",
        "gull-cove",
        "--fabric",
        "background=#f3ead8",
        "--fabric",
        "accent=#efe6d2",
    )
    assert merged.stdout.startswith("does not suit")


WRONG: list[tuple[list[str], str]] = [
    (["onhand", "nowhere"], "no such folder"),
    (["onhand", "{shelf}", "--note", "sailcloth"], "--note NAME"),
    (["onhand", "{shelf}", "--say", "x"], "--note NAME"),
    (["onhand", "{shelf}", "--quick", "--note", "velvet", "--say", "x"], "no swatch called"),
    (["onhand", "{shelf}", "--width", "wide"], "length"),
    (["companions", "{shelf}/shoal.jpg", "--from", "nowhere"], "no such file"),
    (["companions", "missing.jpg", "--from", "{shelf}"], "no such file"),
    (["companions", "{shelf}/shoal.jpg", "--from", "{shelf}/shoal.jpg"], "no usable index"),
    (
        ["companions", "{shelf}/shoal.jpg", "--from", "{shelf}", "--pattern", "x", "-o", "a.png"],
        "pattern",
    ),
    (["companions", "{shelf}/shoal.jpg", "--from", "{shelf}", "-o", "a.doc"], "file ending"),
    (["companions", "x.jpg", "--from", "{shelf}", "--need", "lining=1inx1in"], "--need"),
    (["alike", "{shelf}/shoal.jpg", "--from", "{shelf}/sailcloth.jpg"], "no usable index"),
    (["values"], "neither"),
    (["values", "--pattern", "gull-cove", "--fabric", "lining=#000000"], "lining"),
]


@pytest.mark.parametrize(("args", "says"), WRONG, ids=[" ".join(a)[:50] for a, _ in WRONG])
def test_wrong_input_is_refused_in_one_message(
    args: list[str], says: str, shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = run(*[a.replace("{shelf}", str(shelf)) for a in args])
    assert result.exit_code == 2
    assert says in result.output
    assert "Traceback" not in result.output
    assert list(tmp_path.iterdir()) == []


def test_the_command_keeps_each_process_to_its_core(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OMP_NUM_THREADS", "7")  # said by the user: left alone
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", "")
    monkeypatch.delenv("OPENBLAS_NUM_THREADS")
    monkeypatch.setattr(sys, "argv", ["quiltgeom", "--version"])
    with pytest.raises(SystemExit):
        main()
    assert (os.environ["OPENBLAS_NUM_THREADS"], os.environ["OMP_NUM_THREADS"]) == ("1", "7")
