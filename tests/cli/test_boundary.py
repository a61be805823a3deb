"""What nobody foresaw ends in one sentence and a report without anything of the user's."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import pytest

from quiltgeom.cli import main
from quiltgeom.cli.report import report_text


def fail(*_: object, **__: object) -> None:
    raise KeyError("the secret folder /home/anna/wedding.jpg")


def test_an_unforeseen_error_is_one_sentence_and_a_report(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    secret = tmp_path / "anna-wedding.jpg"
    secret.write_bytes(b"x")
    monkeypatch.setattr("quiltgeom.jobs.read_print.read_swatch", fail)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(
        sys, "argv", ["quiltgeom", "read", str(secret), "--width", "12in", "--motif=3in"]
    )
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
    (report,) = tmp_path.glob("quiltgeom-report-*.txt")
    assert str(report) in said.err
    text = report.read_text()
    assert "builtins.KeyError" in text
    assert "quiltgeom/cli/commands/read_command.py:" in text
    assert "command read --width --motif" in text
    assert "numpy " in text
    for private in ("anna", "wedding", "secret", "12in", "3in", str(tmp_path), str(Path.home())):
        assert private not in text


def test_causes_are_in_the_report_but_not_their_words() -> None:
    try:
        try:
            fail()
        except KeyError as e:
            raise ValueError("anna") from e
    except ValueError as error:
        text = report_text(error)
    assert text.index("builtins.ValueError") < text.index("builtins.KeyError")
    assert "anna" not in text


def test_memory_is_called_by_its_name(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def full(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr("quiltgeom.jobs.read_print.read_swatch", full)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(sys, "argv", ["quiltgeom", "read", "x.jpg"])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 1
    assert "not enough memory" in capsys.readouterr().err
