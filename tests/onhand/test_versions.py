"""An index made by an earlier version opens with everything in it; a copy of it is kept."""

from __future__ import annotations

import multiprocessing
import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from quiltgeom.errors import QuiltFileError
from quiltgeom.onhand import schema
from quiltgeom.onhand.features import features_of
from quiltgeom.onhand.index import INDEX_NAME, open_index
from quiltgeom.onhand.migrations import MIGRATIONS, VERSION
from quiltgeom.onhand.repair.check import check_index
from tests.onhand.version_1 import PHANTOMS, digest, write_version_1


def query(path: Path, sql: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as db:
        return db.execute(sql).fetchall()


def test_version_1_opens_with_all_of_it(tmp_path: Path) -> None:
    path = tmp_path / INDEX_NAME
    reading = write_version_1(path)
    before = query(path, "SELECT * FROM swatch")
    with open_index(tmp_path) as index:
        kelp, gone, bad = (index.find(n) for n in ("Kelp", "gone", "bad"))
        assert (kelp.notes, kelp.width_on_hand, kelp.length_on_hand) == ("washed", 42, 54)
        assert (kelp.picture_width, kelp.status, gone.status) == (8, "read", "missing")
        assert (gone.notes, bad.status) == ("lent", "unreadable")
        assert index.reading(kelp) == reading
        assert index.shelf().features[0].tobytes() == features_of(reading).tobytes()
        index.say(gone, notes="still lent")
    assert query(path, "PRAGMA user_version") == [(VERSION,)]
    assert check_index(tmp_path).findings == ()
    kept = tmp_path / f"{INDEX_NAME}.version-1"
    assert query(kept, "PRAGMA user_version") == [(1,)]
    assert query(kept, "SELECT * FROM swatch") == before
    assert sorted(os.listdir(tmp_path)) == [INDEX_NAME, kept.name]


def test_one_brought_up_to_date_is_made_as_a_new_one(tmp_path: Path) -> None:
    write_version_1(tmp_path / "old.sqlite")
    for name in ("old", "new"):
        open_index(tmp_path / f"{name}.sqlite", create=True).close()
    made = "SELECT type, name, sql FROM sqlite_master ORDER BY 1, 2"
    assert query(tmp_path / "old.sqlite", made) == query(tmp_path / "new.sqlite", made)


def test_phantoms_of_earlier_runs_at_once_become_one_row(tmp_path: Path) -> None:
    """Rows for the same bytes at the same path made every note ambiguous."""
    path = tmp_path / INDEX_NAME
    write_version_1(path, PHANTOMS)
    with open_index(tmp_path) as index:
        [swatch] = index.swatches(missing=True)
        assert (swatch.id, swatch.status, swatch.length_on_hand) == (6, "waiting", 7)
        assert swatch.notes == "said of the file\nsaid of a phantom"
        index.say(index.find("twice"), notes="accepted")
    with open_index(tmp_path) as index, pytest.raises(QuiltFileError), index.transaction() as db:
        db.execute(
            "INSERT INTO swatch (path, present, size, mtime_ns, digest, status) "
            "VALUES ('twice.png', 0, 1, 1, 'd4', 'waiting')"
        )


def test_a_step_that_fails_leaves_the_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / INDEX_NAME
    write_version_1(path)
    before = digest(path)

    def fails(db: sqlite3.Connection) -> None:
        MIGRATIONS[1](db)
        raise RuntimeError("the lamp went out")

    monkeypatch.setattr(schema, "MIGRATIONS", (MIGRATIONS[0], fails))
    with pytest.raises(RuntimeError):
        open_index(tmp_path)
    assert digest(path) == before
    assert query(path, "PRAGMA user_version") == [(1,)]


def test_a_later_version_is_refused(tmp_path: Path) -> None:
    path = tmp_path / INDEX_NAME
    open_index(path, create=True).close()
    with closing(sqlite3.connect(path)) as db:
        db.execute(f"PRAGMA user_version = {VERSION + 1}")
    before = digest(path)
    for work in (open_index, check_index):
        with pytest.raises(QuiltFileError, match="later quiltgeom"):
            work(tmp_path)
    assert digest(path) == before


def _open(path: Path, start: object) -> None:
    start.wait()  # type: ignore[attr-defined]
    with open_index(path) as index:
        assert index.find("Kelp").notes == "washed"


def test_six_programs_that_bring_it_up_to_date_at_once(tmp_path: Path) -> None:
    path = tmp_path / INDEX_NAME
    write_version_1(path)
    context = multiprocessing.get_context("fork")
    start = context.Barrier(6)
    programs = [context.Process(target=_open, args=(path, start)) for _ in range(6)]
    for program in programs:
        program.start()
    for program in programs:
        program.join()
    assert [p.exitcode for p in programs] == [0] * 6
    assert check_index(tmp_path).findings == ()
    assert sorted(os.listdir(tmp_path)) == [INDEX_NAME, f"{INDEX_NAME}.version-1"]
