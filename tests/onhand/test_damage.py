"""A damaged index: one clear error by every way into it, and a repair that loses no words."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path

import pytest

from quiltgeom.errors import QuiltError, QuiltFileError
from quiltgeom.onhand.features import FEATURES
from quiltgeom.onhand.index import INDEX_NAME, OnHand, open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.repair.check import check_index
from quiltgeom.onhand.repair.index_care import repair_index
from quiltgeom.onhand.repair.salvage import salvage
from tests.onhand.cloths import write_cloths

CLOTHS = 6


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole")
    write_cloths(folder, CLOTHS, side=32)
    index_folder(folder, workers=1)
    with open_index(folder) as index:
        for k in range(CLOTHS):
            index.say(
                index.find(f"cloth-{k:02d}"),
                notes=f"note number {k} kept",
                name=f"Name {k}",
                length_on_hand=10.0 + k,
                picture_width=3.0 + k,
            )
    index_folder(folder, workers=1)
    return folder


@pytest.fixture
def folder(whole: Path, tmp_path: Path) -> Path:
    """The same pictures and index."""
    for file in whole.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    return tmp_path


def spoil(folder: Path, *statements: str) -> None:
    with closing(sqlite3.connect(folder / INDEX_NAME)) as db:
        db.execute("PRAGMA ignore_check_constraints = ON")
        for statement in statements:
            db.execute(statement)
        db.commit()


def _everything(index: OnHand) -> None:
    """All that can be asked of an index."""
    index.shelf()
    index.to_json()
    for swatch in index.swatches(missing=True):
        with suppress(LookupError):
            index.reading(swatch)
            index.gist(swatch)
    index.say(index.find("cloth-03"), notes="note number 3 kept")


def use(folder: Path) -> None:
    with open_index(folder) as index:
        _everything(index)


def refusal(folder: Path) -> str:
    """What is said against using an index; anything but an error of ours fails the test."""
    try:
        use(folder)
    except QuiltError as e:
        return str(e)
    return ""


SPOILT = {
    "text that is not UTF-8": "UPDATE swatch SET notes = CAST(x'ff41' AS TEXT)",
    "bytes for text": "UPDATE swatch SET path = x'00ff' WHERE id = 1",
    "a path with a zero in it": "UPDATE swatch SET path = 'a' || char(0) || '.png' WHERE id = 1",
    "text for a number": "UPDATE swatch SET length_on_hand = 'long' WHERE id = 2",
    "an endless number": "UPDATE swatch SET width_on_hand = 9e999 WHERE id = 2",
    "a number for text": "UPDATE swatch SET digest = x'31' WHERE id = 2",
    "a status of no kind": "UPDATE swatch SET status = 'lost' WHERE id = 3",
    "neither there nor gone": "UPDATE swatch SET present = 'yes' WHERE id = 3",
    "garbage for a reading": "UPDATE reading SET json = '{\"palette\": [' WHERE swatch = 1",
    "a list for a reading": "UPDATE reading SET json = '[1, 2]' WHERE swatch = 1",
    "a reading of nothing": "UPDATE reading SET json = '{}' WHERE swatch = 1",
    "a reading without end": "UPDATE reading SET json = '" + "[" * 100_000 + "' WHERE swatch = 1",
    "a reading of odd kinds": "UPDATE reading SET json = replace(json, '\"palette\":[', "
    "'\"palette\":[7,') WHERE swatch = 1",
    "a reading that is no number": "UPDATE reading SET json = '{\"loudness\": NaN}' "
    "WHERE swatch = 1",
    "a reading of bytes": "UPDATE reading SET json = x'7b7d' WHERE swatch = 1",
    "no reading": "DELETE FROM reading WHERE swatch = 2",
    "text for features": "UPDATE swatch SET features = 'loud' WHERE id = 1",
    "no table": "DROP TABLE reading",
    "another column": "ALTER TABLE swatch RENAME COLUMN notes TO remarks",
    "one column less": "ALTER TABLE swatch DROP COLUMN reader",
    "version 0": "PRAGMA user_version = 0",
    "version 1": "PRAGMA user_version = 1",
    "a version below 0": "PRAGMA user_version = -3",
    "a version beyond all": "PRAGMA user_version = 77777777",
    "another mark": "PRAGMA application_id = 5",
}


@pytest.mark.parametrize("how", SPOILT)
def test_one_clear_error_and_a_repair(folder: Path, how: str) -> None:
    spoil(folder, SPOILT[how])
    with pytest.raises(QuiltFileError, match="--repair"):
        use(folder)
    checked = check_index(folder)
    assert checked.findings
    done = repair_index(folder)
    assert done.copy is not None
    assert done.copy.name == f"{INDEX_NAME}.damaged"
    assert (done.swatches, len(done.noted)) == (CLOTHS, CLOTHS)
    index_folder(folder, workers=1, quick=True)
    use(folder)
    assert check_index(folder).findings == ()
    with open_index(folder) as index:
        kept = {s.path.name: s for s in index.swatches(missing=True)}
        assert len(kept) == CLOTHS
        for k in range(1, CLOTHS):
            swatch = kept[f"cloth-{k:02d}.png"]
            assert swatch.name == ("Name 1" if k == 1 else f"Name {k}")
            assert swatch.picture_width == 3.0 + k
            if how not in ("text that is not UTF-8", "another column"):
                assert swatch.notes == f"note number {k} kept"
            if k != 1 or how != "text for a number":
                assert swatch.length_on_hand == 10.0 + k


@pytest.mark.parametrize(
    "how", ["UPDATE swatch SET corrections = 'up'", "UPDATE swatch SET corrections = '[]'"]
)
def test_corrections_that_are_none(folder: Path, how: str) -> None:
    spoil(folder, how, "UPDATE swatch SET status = 'waiting'")
    assert check_index(folder).findings
    with open_index(folder) as index:
        from quiltgeom.onhand.indexing import _Work

        with pytest.raises(QuiltFileError, match="--repair"):
            _Work(index, folder, False, True).run(None, 1, None)


def test_features_that_cannot_be_are_made_again(folder: Path) -> None:
    with open_index(folder) as index:
        before = index.shelf().features.tobytes()
    nonsense = "ff" * FEATURES.itemsize  # of the right length, but no numbers
    for how in ("x'00ff'", f"x'{nonsense}'", "zeroblob(1000000)", "NULL"):
        spoil(folder, f"UPDATE swatch SET features = {how}")
        rules = [f.rule for f in check_index(folder).findings]
        assert len(rules) == CLOTHS
        assert all(r.startswith("features") for r in rules)
        with open_index(folder) as index:
            assert index.shelf().features.tobytes() == before


def _flip(data: bytearray, rng: random.Random) -> None:
    for _ in range(rng.choice([1, 3, 30])):
        data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)


def _cut(data: bytearray, rng: random.Random) -> None:
    del data[rng.randrange(len(data)) :]


def _blank(data: bytearray, rng: random.Random) -> None:
    at = rng.randrange(0, len(data), 4096)
    data[at : at + 4096] = bytes(4096)


def _behead(data: bytearray, rng: random.Random) -> None:
    for _ in range(6):
        data[rng.randrange(120)] = rng.randrange(256)


@pytest.mark.parametrize("how", [_flip, _cut, _blank, _behead])
def test_whatever_happens_to_its_bytes(
    folder: Path, how: Callable[[bytearray, random.Random], None]
) -> None:
    path, rng = folder / INDEX_NAME, random.Random(how.__name__)
    good, refused, saved = path.read_bytes(), 0, 0
    for _ in range(12):
        for file in folder.glob(f"{INDEX_NAME}*"):
            file.unlink()
        data = bytearray(good)
        how(data, rng)
        path.write_bytes(data)
        told = refusal(folder)
        refused += bool(told)
        assert not told or any(w in told for w in ("--repair", "another program", "later"))
        done = repair_index(folder)
        if done.copy is not None:
            assert done.copy.exists()
        index_folder(folder, workers=1, quick=True)
        use(folder)
        with open_index(folder) as index:
            notes = " ".join(s.notes for s in index.swatches(missing=True))
            saved += sum(f"note number {k} kept" in notes for k in range(CLOTHS))
    assert refused >= 3, "nothing was damaged"
    assert saved >= 12 * CLOTHS // 3


def test_a_fault_that_sqlite_itself_cannot_tell_of(folder: Path) -> None:
    """The name of a table is no text: the message about it is none, either."""
    path = folder / INDEX_NAME
    data = path.read_bytes()
    path.write_bytes(data.replace(b"CREATE TABLE", b"CR\xff\xfeTE TABLE"))
    with pytest.raises(QuiltFileError, match="--repair"):
        use(folder)
    assert check_index(folder).findings
    assert len(repair_index(folder).noted) == CLOTHS


def test_a_row_whose_page_is_lost_is_found_by_its_own_marks(folder: Path) -> None:
    """The heads of all pages are blanked: SQLite has nothing to go by."""
    path = folder / INDEX_NAME
    expected = {str(r["notes"]) for r in salvage(path)}
    data = bytearray(path.read_bytes())
    for start in range(0, len(data), 4096):
        data[start : start + 8] = bytes(8)
    path.write_bytes(data)
    assert {f"note number {k} kept" for k in range(CLOTHS)} <= expected
    done = repair_index(folder)
    assert len(done.noted) == CLOTHS


def test_a_long_note_goes_on_over_several_pages(folder: Path) -> None:
    long = "shrinks; " * 3000
    with open_index(folder) as index:
        index.say(index.find("Name 2"), notes=long)
    data = bytearray((folder / INDEX_NAME).read_bytes())
    data[:100] = bytes(100)
    (folder / INDEX_NAME).write_bytes(data)
    repair_index(folder)
    with open_index(folder) as index:
        assert index.find("Name 2").notes == long


def test_a_file_that_is_no_database_is_set_aside(tmp_path: Path) -> None:
    write_cloths(tmp_path, 1, side=32)
    (tmp_path / INDEX_NAME).write_text("a shopping list\n" * 300)
    (tmp_path / f"{INDEX_NAME}.damaged").write_text("of an earlier repair")
    done = repair_index(tmp_path)
    assert done.copy == tmp_path.resolve() / f"{INDEX_NAME}.damaged-2"
    assert done.copy.read_text().startswith("a shopping list")
    assert (done.swatches, done.noted) == (0, [])
    assert index_folder(tmp_path, workers=1, quick=True).read == 1


def test_a_photo_is_not_set_aside(tmp_path: Path) -> None:
    [photo] = write_cloths(tmp_path, 1, side=32)
    with pytest.raises(QuiltFileError, match="a picture's name"):
        repair_index(photo)
    assert [p.name for p in tmp_path.iterdir()] == [photo.name]


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / INDEX_NAME)) as db:
        db.execute("CREATE TABLE recipe (name)")
        db.commit()
    before = (tmp_path / INDEX_NAME).read_bytes()
    for work in (open_index, check_index, repair_index):
        with pytest.raises(QuiltFileError, match="another program"):
            work(tmp_path)
    assert (tmp_path / INDEX_NAME).read_bytes() == before


def test_a_whole_index_is_not_touched(folder: Path) -> None:
    before = (folder / INDEX_NAME).read_bytes()
    done = repair_index(folder)
    assert (done.copy, done.swatches) == (None, CLOTHS)
    assert (folder / INDEX_NAME).read_bytes() == before


def test_an_index_in_use_is_not_repaired(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    spoil(folder, "UPDATE reading SET json = '{}'")
    real = sqlite3.connect
    monkeypatch.setattr("sqlite3.connect", lambda *a, **k: real(*a, **{**k, "timeout": 0.1}))
    busy = pytest.raises(QuiltFileError, match="another program writing")
    with open_index(folder) as index, index.transaction(), busy:
        repair_index(folder)


def test_one_that_had_it_open_is_told_of_the_repair(folder: Path) -> None:
    """What it says would go into the old file, which nobody reads any more."""
    spoil(folder, "UPDATE reading SET json = '{}' WHERE swatch = 1")
    with open_index(folder) as index:
        repair_index(folder)
        with pytest.raises(QuiltFileError, match="another try"):
            index.say(2, notes="lost")


def test_words_that_are_no_text_are_refused(folder: Path) -> None:
    with open_index(folder) as index, pytest.raises(QuiltError, match="UTF-8"):
        index.say(1, notes="caf\udce9")
