"""kill -9 at any moment: the next run goes on, nothing is lost or doubled."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import sqlite3
import sys
import time
from multiprocessing.connection import Connection
from pathlib import Path

import numpy as np
import pytest

from quiltgeom.fabric.source import PictureBytes
from quiltgeom.onhand.features import FEATURES
from quiltgeom.onhand.index import INDEX_NAME, open_index
from quiltgeom.onhand.indexing import index_folder
from tests.onhand.cloths import write_cloths

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL and fork")


def children(pid: int) -> list[int]:
    """Processes that a process has started."""
    try:
        return [int(c) for c in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except FileNotFoundError:
        return []


def alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"  # dead, only not yet collected


def kill_while_indexing(folder: Path, ticks: int, delay: float) -> list[int]:
    """Index in another process and end it with SIGKILL, a moment after so many swatches have been
    finished; the workers it leaves behind. (Counting makes the moment fall into the work however
    busy the machine is.)"""
    context = multiprocessing.get_context("fork")
    mine, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_index_and_tell, args=(folder, theirs))
    process.start()
    theirs.close()
    with contextlib.suppress(EOFError):  # it has finished
        for _ in range(ticks):
            if mine.poll(30):
                mine.recv()
    process.join(delay)
    workers = children(process.pid or 0)
    process.kill()
    process.join()
    assert process.exitcode in (-signal.SIGKILL, 0)
    return workers


def _index_and_tell(folder: Path, pipe: Connection) -> None:
    index_folder(folder, workers=2, progress=lambda done, total: pipe.send(done))


def rows_read(folder: Path) -> dict[str, tuple[int, str]]:
    """Digest -> (id, reading), after looking whether every row is whole."""
    if not (folder / INDEX_NAME).exists():
        return {}
    with sqlite3.connect(folder / INDEX_NAME) as db:
        if not db.execute("PRAGMA user_version").fetchone()[0]:
            return {}  # killed before the tables were there
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        found = db.execute(
            "SELECT digest, id, status, json, features FROM swatch LEFT JOIN reading ON "
            "swatch = id WHERE present"
        ).fetchall()
    db.close()
    digests = [r[0] for r in found]
    assert len(digests) == len(set(digests)), "a swatch is there twice"
    for _, _, status, text, features in found:
        assert (status == "read") == (text is not None)
        assert status == "waiting" or len(features) == FEATURES.itemsize
    return {r[0]: (r[1], r[3]) for r in found if r[2] == "read"}


def test_killed_at_ten_random_moments(tmp_path: Path) -> None:
    folder, rng = tmp_path / "cloth", np.random.default_rng(7)
    write_cloths(folder, 2)
    index_folder(folder, workers=1)
    with open_index(folder) as index:  # what its owner said must outlive all the rest
        index.say(index.find("cloth-00"), notes="kept", name="Kelp")
    before, workers, unfinished = rows_read(folder), list[int](), 0
    for k in range(10):
        write_cloths(folder, 2, first=10 + 2 * k)
        if k == 6:  # a file is renamed between two runs
            (folder / "cloth-00.png").rename(folder / "renamed.png")
        # the first tick comes when the folder has been looked through: before it, the index is
        # written; after it, swatches are being read and stored
        workers += kill_while_indexing(folder, int(rng.integers(0, 3)), rng.uniform(0.0, 0.2))
        after = rows_read(folder)
        assert before.items() <= after.items(), "a finished reading was lost or made anew"
        unfinished += len(after) < 4 + 2 * k
        before = after
    assert unfinished >= 2, "the kills came too late to test anything"
    report = index_folder(folder, workers=1)
    assert (report.found, report.waiting, report.unreadable) == (22, 0, [])
    assert report.read == 22 - len(before), "something was read twice, or not at all"
    final = rows_read(folder)
    assert len(final) == 22
    assert before.items() <= final.items()
    with open_index(folder) as index:
        assert index.find("Kelp").notes == "kept"
        assert len(index.swatches(missing=True)) == 22
    assert index_folder(folder, workers=1).read == 0
    deadline = time.monotonic() + 20
    while any(alive(w) for w in workers) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not [w for w in workers if alive(w)], "workers outlive the process that started them"


def test_two_runs_at_once_do_not_double_anything(tmp_path: Path) -> None:
    folder = tmp_path / "cloth"
    write_cloths(folder, 6)
    context = multiprocessing.get_context("fork")
    runs = [
        context.Process(target=index_folder, args=(folder,), kwargs={"workers": 1})
        for _ in range(2)
    ]
    for process in runs:
        process.start()
    for process in runs:
        process.join()
    assert [p.exitcode for p in runs] == [0, 0]
    assert len(rows_read(folder)) == 6


def test_a_worker_that_dies_is_named_and_the_others_are_read(tmp_path: Path) -> None:
    """As when the system ends the process that needs too much memory."""
    folder = tmp_path / "cloth"
    write_cloths(folder, 4)
    (folder / "deadly.png").write_bytes(b"deadly")
    process = multiprocessing.get_context("fork").Process(
        target=_index_with_a_deadly_file, args=(folder,)
    )
    process.start()
    process.join()
    assert process.exitcode == 0
    assert len(rows_read_only(folder)) == 4
    with open_index(folder) as index:
        reasons = {s.path.name: s.reason for s in index.swatches() if s.status == "unreadable"}
    assert list(reasons) == ["deadly.png"]
    assert "sudden end" in reasons["deadly.png"]


def rows_read_only(folder: Path) -> list[str]:
    with open_index(folder) as index:
        return [s.path.name for s in index.swatches() if s.status == "read"]


def _index_with_a_deadly_file(folder: Path) -> None:
    from quiltgeom.fabric.reading import read_file

    real = read_file.read_swatch

    def deadly(source: PictureBytes, *args: object, **kwargs: object) -> object:
        if source.data == b"deadly":
            os.kill(os.getpid(), signal.SIGKILL)
        return real(source, *args, **kwargs)  # type: ignore[arg-type]

    read_file.read_swatch = deadly  # type: ignore[assignment]
    index_folder(folder, workers=2)
