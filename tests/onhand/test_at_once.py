"""Any number of runs at once: one row for each file, and notes are accepted afterwards."""

from __future__ import annotations

import multiprocessing
import os
import random
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from quiltgeom.onhand.index import INDEX_NAME, open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.repair.check import check_index
from quiltgeom.onhand.scan import survey
from quiltgeom.onhand.stock import take_stock
from tests.onhand.cloths import write_cloths

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs fork")


def at_once(count: int, work: Callable[..., object], *args: object) -> list[int | None]:
    """Run it in so many processes that begin together; their exit codes."""
    context = multiprocessing.get_context("fork")
    start = context.Barrier(count)

    def begin(number: int) -> None:
        start.wait()
        work(number, *args)

    runs = [context.Process(target=begin, args=(k,)) for k in range(count)]
    for process in runs:
        process.start()
    for process in runs:
        process.join()
    return [p.exitcode for p in runs]


def index_it(number: int, folder: Path) -> None:
    index_folder(folder, workers=1, quick=True)


def one_row_each(folder: Path, files: int) -> None:
    with open_index(folder) as index:
        everything = index.swatches(missing=True)
        assert sorted(s.path for s in everything) == sorted(f.path for f in survey(folder).files)
        assert {s.status for s in everything} == {"read"}
        assert len(everything) == files
        for swatch in everything:
            index.say(index.find(swatch.path.stem), notes=f"of {swatch.path.stem}")
    assert check_index(folder).findings == ()


def test_ten_first_runs_at_once(tmp_path: Path) -> None:
    folder = tmp_path / "cloth"
    write_cloths(folder, 12, side=32)
    assert at_once(10, index_it, folder) == [0] * 10
    one_row_each(folder, 12)
    assert at_once(4, index_it, folder) == [0] * 4
    with open_index(folder) as index:
        assert [s.notes for s in index.swatches(missing=True)] == [
            f"of cloth-{k:02d}" for k in range(12)
        ]


def index_and_rename(number: int, folder: Path) -> None:
    """Runs among which files are renamed, each by one of them."""
    rng = random.Random(number)
    for turn in range(6):
        mine = sorted(folder.glob(f"cloth-{number}*.png"))[0]
        mine.rename(folder / f"cloth-{number}-{turn}-{rng.randrange(1000)}.png")
        with open_index(folder) as index:
            take_stock(index, folder, survey(folder), None)


def test_runs_at_once_while_files_are_renamed(tmp_path: Path) -> None:
    folder = tmp_path / "cloth"
    write_cloths(folder, 5, side=32)
    for k in range(5):
        (folder / f"cloth-0{k}.png").rename(folder / f"cloth-{k}.png")
    index_folder(folder, workers=1, quick=True)
    with open_index(folder) as index:
        for k in range(5):
            index.say(index.find(f"cloth-{k}"), notes=f"note {k}")
    assert at_once(5, index_and_rename, folder) == [0] * 5
    with open_index(folder) as index:
        everything = index.swatches(missing=True)
        assert len(everything) == 5
        assert {s.path.name[6]: s.notes for s in everything} == {
            f"{k}": f"note {k}" for k in range(5)
        }
    # a run that comes afterwards finds every file where it is
    assert index_folder(folder, workers=1, quick=True).missing == 0
    with open_index(folder) as index:
        assert {s.path.name for s in index.swatches()} == {p.name for p in folder.glob("*.png")}


def test_an_old_look_does_not_undo_a_newer_one(tmp_path: Path) -> None:
    folder = tmp_path / "cloth"
    write_cloths(folder, 3, side=32)
    old = survey(folder)
    (folder / "cloth-00.png").rename(folder / "renamed.png")
    write_cloths(folder, 1, first=9, side=32)
    with open_index(folder, create=True) as index:
        take_stock(index, folder, survey(folder), None)
        take_stock(index, folder, old, None)
        names = [s.path.name for s in index.swatches(missing=True)]
    assert names == ["cloth-01.png", "cloth-02.png", "cloth-09.png", "renamed.png"]


def test_copies_that_come_and_go_stay_one_row_each(tmp_path: Path) -> None:
    """The same few bytes under ever other names: the rule of one row per path and bytes holds."""
    folder, rng = tmp_path.resolve(), random.Random(3)
    names = ["a.png", "b.png", "c.png", "d.png"]
    with open_index(folder, create=True) as index:
        for _ in range(150):
            for name in rng.sample(names, 2):
                if rng.random() < 0.4:
                    (folder / name).unlink(missing_ok=True)
                else:
                    (folder / name).write_bytes(rng.choice([b"one", b"two", b"three"]))
                    if rng.random() < 0.2:
                        os.utime(folder / name, (0, 0))
            take_stock(index, folder, survey(folder), None)
            found = {s.path.name for s in index.swatches()}
            assert found == {p.name for p in folder.glob("*.png")}
    assert check_index(folder / INDEX_NAME).findings == ()
