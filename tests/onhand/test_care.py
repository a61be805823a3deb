"""Check, backup and export: what they find, what they write, and what they never write over."""

from __future__ import annotations

import csv
import io
import json
import multiprocessing
import os
import signal
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from quiltgeom.errors import QuiltError, QuiltFileError, QuiltValueError
from quiltgeom.files import csv_cell
from quiltgeom.onhand.export import export_index
from quiltgeom.onhand.index import INDEX_NAME, open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.repair.check import check_index
from quiltgeom.onhand.repair.index_care import backup_index
from tests.onhand.cloths import write_cloths
from tests.onhand.version_1 import digest, write_version_1


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "cloth"
    write_cloths(folder, 3, side=32)
    index_folder(folder, workers=1, quick=True)
    with open_index(folder) as index:
        index.say(index.find("cloth-00"), notes='=HYPERLINK("x")', name="Kelp, blue")
        index.say(index.find("cloth-01"), notes="@washed", length_on_hand=54, width_on_hand=42)
        index.say(index.find("cloth-02"), notes="soft\nand =heavy", picture_width=7.5)
    index_folder(folder, workers=1, quick=True)
    return folder


def test_a_check_writes_nothing(folder: Path) -> None:
    (folder / "cloth-02.png").unlink()
    before = digest(folder / INDEX_NAME)
    found = check_index(folder)
    assert (found.version, found.swatches, found.findings) == (2, 3, ())
    assert found.to_json()["findings"] == []
    assert digest(folder / INDEX_NAME) == before
    assert sorted(os.listdir(folder)) == ["cloth-00.png", "cloth-01.png", INDEX_NAME]


def test_an_earlier_version_is_checked_without_being_changed(tmp_path: Path) -> None:
    write_version_1(tmp_path / INDEX_NAME)
    before = digest(tmp_path / INDEX_NAME)
    found = check_index(tmp_path)
    assert (found.version, found.swatches, found.findings) == (1, 3, ())
    assert digest(tmp_path / INDEX_NAME) == before
    assert os.listdir(tmp_path) == [INDEX_NAME]


def test_a_check_tells_of_every_fault(folder: Path) -> None:
    with closing(sqlite3.connect(folder / INDEX_NAME)) as db:
        db.execute("PRAGMA ignore_check_constraints = ON")
        db.execute("UPDATE swatch SET status = 'lost' WHERE id = 1")
        db.execute("UPDATE swatch SET length_on_hand = 'long', features = x'00' WHERE id = 2")
        db.execute("UPDATE reading SET json = 'null' WHERE swatch = 3")
        db.execute("INSERT INTO reading VALUES (99, '{}')")
        db.execute("DROP INDEX swatch_path")
        db.commit()
    rules = sorted(f.rule for f in check_index(folder).findings)
    assert rules == [
        "belongs to a row",
        "every cell",
        "every cell",
        "features",
        "its reading",
        "our tables",
    ]


def _die_in_the_middle(path: Path) -> None:
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("PRAGMA cache_size = 1")  # so that pages are written before the end
    db.execute("BEGIN")
    for k in range(3):
        db.execute("UPDATE swatch SET notes = ? WHERE id = ?", ("x" * 50_000, k + 1))
    os.kill(os.getpid(), signal.SIGKILL)


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")
def test_what_a_killed_run_left_unfinished_is_no_damage(folder: Path) -> None:
    path = folder / INDEX_NAME
    process = multiprocessing.get_context("fork").Process(target=_die_in_the_middle, args=(path,))
    process.start()
    process.join()
    before = digest(path)
    assert path.with_name(f"{INDEX_NAME}-journal").stat().st_size
    assert check_index(folder).findings == ()
    assert digest(path) == before
    with open_index(folder) as index:
        assert index.find("cloth-01").notes == "@washed"


def test_a_backup_is_whole_while_others_write(folder: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    with open_index(folder) as index, index.transaction() as db:
        db.execute("UPDATE swatch SET notes = 'not yet'")
        backup_index(folder, copy)
    assert check_index(copy).findings == ()
    with open_index(copy) as index:
        assert index.find("cloth-01").notes == "@washed"
    assert sorted(os.listdir(tmp_path)) == ["cloth", "copy.sqlite"]


def test_neither_backup_nor_export_replaces_a_file_unasked(folder: Path, tmp_path: Path) -> None:
    for work, name in (
        (backup_index, "copy.sqlite"),
        (export_index, "list.csv"),
        (export_index, "list.json"),
    ):
        target = tmp_path / name
        target.write_text("somebody's own")
        with pytest.raises(QuiltFileError, match="force=True"):
            work(folder, target)
        assert target.read_text() == "somebody's own"
        work(folder, target, force=True)
        assert target.read_bytes() != b"somebody's own"


def test_nothing_is_written_over_the_index_itself(folder: Path, tmp_path: Path) -> None:
    index = folder / INDEX_NAME
    (tmp_path / "linked.sqlite").symlink_to(index)
    os.link(index, tmp_path / "same.csv")
    before = digest(index)
    for target in (
        index,
        tmp_path / "linked.sqlite",
        tmp_path / "same.csv",
        folder / f"{INDEX_NAME}-journal",
    ):
        for work in (backup_index, export_index):
            with pytest.raises(QuiltError, match=r"index itself|\.csv or \.json"):
                work(folder, target, force=True)
    assert digest(index) == before


def test_places_that_cannot_be_written(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(QuiltFileError, match="found a folder"):
        backup_index(folder, tmp_path, force=True)
    with pytest.raises(QuiltFileError, match="cannot be written"):
        backup_index(folder, tmp_path / "no such" / "copy.sqlite")
    with pytest.raises(QuiltFileError, match="no such file"):
        backup_index(tmp_path, tmp_path / "copy.sqlite")
    with pytest.raises(QuiltValueError, match=r"\.csv or \.json"):
        export_index(folder, tmp_path / "list.xlsx")
    assert os.listdir(tmp_path) == ["cloth"]


def test_an_exported_table(folder: Path, tmp_path: Path) -> None:
    (folder / "cloth-01.png").rename(tmp_path / "elsewhere.png")
    index_folder(folder, workers=1, quick=True)
    assert export_index(folder, tmp_path / "list.csv") == 3
    rows = list(csv.DictReader(io.StringIO((tmp_path / "list.csv").read_text("utf-8"))))
    assert [r["name"] for r in rows] == ["Kelp, blue", "cloth-01", "cloth-02"]
    assert [r["file"] for r in rows] == ["cloth-00.png", "cloth-01.png", "cloth-02.png"]
    assert [r["status"] for r in rows] == ["read", "missing", "read"]
    assert [r["notes"] for r in rows] == ['\'=HYPERLINK("x")', "'@washed", "soft\nand =heavy"]
    assert (rows[1]["length_on_hand_in"], rows[1]["width_on_hand_in"]) == ("54.0", "42.0")
    assert (rows[0]["length_on_hand_in"], rows[2]["picture_width_in"]) == ("", "7.5")
    assert b"\r\n" in (tmp_path / "list.csv").read_bytes()


def test_an_exported_json_is_what_was_said(folder: Path, tmp_path: Path) -> None:
    export_index(folder, tmp_path / "list.json")
    rows = json.loads((tmp_path / "list.json").read_text("utf-8"))["swatches"]
    assert rows[0] == {
        "name": "Kelp, blue",
        "file": "cloth-00.png",
        "status": "read",
        "picture_width_in": None,
        "width_on_hand_in": None,
        "length_on_hand_in": None,
        "notes": '=HYPERLINK("x")',
    }
    assert str(tmp_path) not in json.dumps(rows)


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_is_a_formula(sign: str) -> None:
    assert csv_cell(f"{sign}1+1") == f"'{sign}1+1"
    assert csv_cell(f"1{sign}1") == f"1{sign}1"
