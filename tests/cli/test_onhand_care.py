"""``quiltgeom onhand`` takes care of its index; every command tells of a damaged one."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from quiltgeom.cli import cli
from quiltgeom.onhand.index import INDEX_NAME, open_index
from quiltgeom.onhand.indexing import index_folder
from tests.onhand.cloths import write_cloths


def run(*args: str) -> Result:
    return CliRunner().invoke(cli, list(args))


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    folder = tmp_path / "cloth"
    write_cloths(folder, 3, side=64)
    index_folder(folder, workers=1, quick=True)
    with open_index(folder) as index:
        index.say(index.find("cloth-01"), notes="washed", name="Kelp")
    return folder


def spoil(folder: Path) -> None:
    with closing(sqlite3.connect(folder / INDEX_NAME)) as db:
        db.execute("UPDATE reading SET json = '[]' WHERE swatch = 1")
        db.execute("UPDATE swatch SET features = NULL WHERE id = 1")
        db.commit()


def test_check_and_repair(shelf: Path) -> None:
    whole = run("onhand", str(shelf), "--check")
    assert (whole.exit_code, whole.stdout) == (0, "")
    assert "whole, 3 swatches" in whole.stderr
    assert json.loads(run("onhand", str(shelf), "--check", "--json").stdout)["findings"] == []
    assert "nothing to repair" in run("onhand", str(shelf), "--repair").stdout
    spoil(shelf)
    found = run("onhand", str(shelf), "--check", "--json")
    assert found.exit_code == 2
    assert [f["where"] for f in json.loads(found.stdout)["findings"]] == [
        f"index {INDEX_NAME}: swatch 1"
    ]
    assert "swatch 1: its reading" in run("onhand", str(shelf), "--check").stdout
    repaired = run("onhand", str(shelf / INDEX_NAME), "--repair")
    assert repaired.exit_code == 0
    assert "saved: cloth-01.png: Kelp; washed" in repaired.stdout
    assert f"{INDEX_NAME}.damaged" in repaired.stdout
    assert "3 swatches saved, 1 of them" in repaired.stdout
    listed = run("onhand", str(shelf), "--quick", "--workers", "1")
    assert listed.exit_code == 0
    assert "3 read now" in listed.stderr
    assert "washed" in listed.stdout
    assert run("onhand", str(shelf), "--check").exit_code == 0


def test_backup_and_export(shelf: Path, tmp_path: Path) -> None:
    for option, name in (("--backup", "copy.sqlite"), ("--export", "list.csv")):
        target = tmp_path / name
        assert run("onhand", str(shelf), option, str(target)).exit_code == 0
        again = run("onhand", str(shelf), option, str(target))
        assert again.exit_code == 2
        assert "--force" in again.stderr
        assert run("onhand", str(shelf), option, str(target), "--force").exit_code == 0
    assert "Kelp,cloth-01.png,read,,,,washed" in (tmp_path / "list.csv").read_text()
    other = run("onhand", "nowhere", "--index", str(tmp_path / "copy.sqlite"), "--check")
    assert other.exit_code == 0


@pytest.mark.parametrize(
    "options",
    [
        ["--check", "--repair"],
        ["--check", "--again"],
        ["--repair", "--say", "x"],
        ["--backup", "b", "--export", "e.csv"],
        ["--force"],
        ["--check", "--force"],
        ["--repair", "--json"],
        ["--export", "e.csv", "--note", "Kelp", "--say", "x"],
    ],
)
def test_options_that_do_not_go_together(shelf: Path, options: list[str]) -> None:
    result = run("onhand", str(shelf), *options)
    assert result.exit_code == 2
    assert "accepted: one of --check" in result.stderr


@pytest.mark.parametrize("damage", ["content", "bytes"])
def test_every_command_tells_of_a_damaged_index(shelf: Path, damage: str) -> None:
    picture = shelf.parent / "print.png"
    write_cloths(shelf.parent, 1, first=40, side=64)[0].rename(picture)
    if damage == "content":
        spoil(shelf)
    else:
        data = bytearray((shelf / INDEX_NAME).read_bytes())
        data[100:5000] = os.urandom(4900)
        (shelf / INDEX_NAME).write_bytes(data)
    before = (shelf / INDEX_NAME).read_bytes()
    for command in (
        ["companions", str(picture), "--from", str(shelf)],
        ["alike", str(picture), "--from", str(shelf)],
        ["alike", str(picture), "--from", str(shelf / INDEX_NAME)],
        ["advise", str(picture), "--swatches", str(shelf)],
        ["onhand", str(shelf), "--quick", "--workers", "1"],
        ["onhand", str(shelf), "--quick", "--json"],
    ):
        if command[0] == "advise":
            command += ["-o", str(shelf.parent / "advice")]
        result = run(*command)
        assert result.exit_code == 2, command
        assert "--repair" in result.stderr, command
        assert "Traceback" not in result.output
    if damage == "bytes":
        assert (shelf / INDEX_NAME).read_bytes() == before


def processes_of(session: int) -> list[int]:
    """Processes of a session that are alive."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rsplit(")", 1)[1].split()
        except OSError:
            continue
        if int(fields[3]) == session and fields[0] != "Z":
            found.append(int(stat.parent.name))
    return found


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="needs /proc")
def test_killed_at_random_moments_it_leaves_no_process(tmp_path: Path) -> None:
    folder, rng = tmp_path / "cloth", np.random.default_rng(5)
    write_cloths(folder, 16, side=200)
    caught = 0
    for _ in range(6):
        process = subprocess.Popen(
            [sys.executable, "-m", "quiltgeom", "onhand", str(folder), "--again", "--workers", "2"],
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        deadline = time.monotonic() + 30
        while len(processes_of(process.pid)) < 3 and process.poll() is None:  # its workers
            assert time.monotonic() < deadline
            time.sleep(0.01)
        time.sleep(rng.uniform(0, 0.3))
        caught += len(processes_of(process.pid)) >= 3
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
        deadline = time.monotonic() + 30
        while processes_of(process.pid) and time.monotonic() < deadline:
            time.sleep(0.05)
        assert processes_of(process.pid) == []
    assert caught >= 3, "the kills came too late to test anything"
    assert run("onhand", str(folder), "--check").exit_code == 0
    assert index_folder(folder, workers=1, quick=True).waiting == 0
