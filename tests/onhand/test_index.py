"""The on-hand index: what is read, what is followed, what is never lost."""

from __future__ import annotations

import os
import shutil
import sqlite3
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from quiltgeom.errors import ContentError, QuiltError, QuiltFileError, QuiltKeyError
from quiltgeom.fabric.reading.read_file import read_swatch, save_reading
from quiltgeom.onhand.features import features_of
from quiltgeom.onhand.index import INDEX_NAME, open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.stock import IndexReport
from quiltgeom.onhand.swatch_reader import Task, read_task
from tests.onhand.cloths import cloth, write_cloths


def run(folder: Path, **options: Any) -> IndexReport:
    return index_folder(folder, workers=1, **options)


def names(folder: Path, **options: bool) -> dict[str, str]:
    """File name -> status."""
    with open_index(folder) as index:
        return {s.path.name: s.status for s in index.swatches(**options)}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_cloths(tmp_path / "cloth", 3)
    return tmp_path / "cloth"


def test_readings_are_those_of_the_reading_layer(folder: Path) -> None:
    report = run(folder)
    assert (report.found, report.new, report.read, report.unreadable) == (3, 3, 3, [])
    with open_index(folder) as index:
        for swatch in index.swatches():
            expected = read_swatch(swatch.path).to_json()
            assert index.reading(swatch) == expected
        shelf = index.shelf()
        assert shelf.names == ("cloth-00", "cloth-01", "cloth-02")
        again = features_of(index.reading(shelf.ids[1]))
        assert shelf.features[1].tobytes() == again.tobytes()


def test_nothing_is_read_twice(folder: Path) -> None:
    run(folder)
    second = run(folder)
    assert (second.found, second.read, second.new, second.changed) == (3, 0, 0, 0)
    os.utime(folder / "cloth-01.png")  # touched, but the same bytes
    assert run(folder).read == 0
    assert run(folder, again=True).read == 3


def test_moved_and_renamed_files_are_followed(folder: Path) -> None:
    run(folder)
    with open_index(folder) as index:
        swatch = index.find("cloth-01")
        index.say(swatch, name="Kelp", notes="shrinks", length_on_hand=54, width_on_hand=42)
    (folder / "drawer").mkdir()
    (folder / "cloth-01.png").rename(folder / "drawer" / "kelp.png")
    report = run(folder)
    assert report.moved == [("cloth-01.png", "drawer/kelp.png")]
    assert (report.read, report.new, report.missing) == (0, 0, 0)
    with open_index(folder) as index:
        moved = index.find("Kelp")
        assert moved.id == swatch.id
        assert (moved.notes, moved.width_on_hand, moved.length_on_hand) == ("shrinks", 42, 54)
        assert moved.path == folder / "drawer" / "kelp.png"


def test_two_files_that_change_names(folder: Path) -> None:
    run(folder)
    with open_index(folder) as index:
        index.say(index.find("cloth-00"), notes="zero")
        index.say(index.find("cloth-01"), notes="one")
    first, second, aside = (folder / f"{n}.png" for n in ("cloth-00", "cloth-01", "aside"))
    first.rename(aside), second.rename(first), aside.rename(second)  # type: ignore[func-returns-value]
    report = run(folder)
    assert (report.read, report.new, report.changed, len(report.moved)) == (0, 0, 0, 2)
    with open_index(folder) as index:
        assert index.find("cloth-00").notes == "one"
        assert index.find("cloth-01").notes == "zero"


def test_a_new_photo_takes_the_place_of_the_old_one(folder: Path) -> None:
    run(folder)
    with open_index(folder) as index:
        before = index.find("cloth-02")
        index.say(before, notes="from the market")
        old = index.reading(before)
    cloth(77).save(folder / "cloth-02.png", dpi=(25, 25))
    report = run(folder)
    assert (report.changed, report.read, report.new) == (1, 1, 0)
    with open_index(folder) as index:
        after = index.find("cloth-02")
        assert (after.id, after.notes) == (before.id, "from the market")
        assert index.reading(after)["palette"] != old["palette"]


def test_a_change_that_keeps_size_and_time_is_noticed(folder: Path) -> None:
    """A file written just before it was indexed is not trusted by its time stamp."""
    path = folder / "cloth-00.ppm"
    cloth(5).save(path)
    stamp = path.stat()
    run(folder, width=4.0)
    cloth(6).save(path)
    os.utime(path, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    assert path.stat().st_size == stamp.st_size
    assert run(folder).changed == 1


def test_what_its_owner_said_outlives_the_file(folder: Path) -> None:
    run(folder)
    with open_index(folder) as index:
        index.say(index.find("cloth-00"), notes="lent to a friend")
    kept = folder.parent / "cloth-00.png"
    (folder / "cloth-00.png").rename(kept)
    assert run(folder).missing == 1
    assert "cloth-00.png" not in names(folder)
    assert names(folder, missing=True)["cloth-00.png"] == "missing"
    with open_index(folder) as index:
        assert len(index.shelf()) == 2
    kept.rename(folder / "back-again.png")
    assert run(folder).read == 0
    with open_index(folder) as index:
        assert index.find("back-again").notes == "lent to a friend"
        assert len(index.shelf()) == 3


def test_copies_are_read_once_and_offered_once(folder: Path) -> None:
    shutil.copy(folder / "cloth-00.png", folder / "copy.png")
    report = run(folder)
    assert (report.found, report.read) == (4, 3)
    assert names(folder)["copy.png"] == "read"
    with open_index(folder) as index:
        assert len(index.shelf()) == 3
    shutil.copy(folder / "cloth-01.png", folder / "later.png")
    assert run(folder).read == 0
    assert names(folder)["later.png"] == "read"


def test_unreadable_files_are_listed_with_the_reason(folder: Path) -> None:
    whole = (folder / "cloth-00.png").read_bytes()
    (folder / "half.png").write_bytes(whole[: len(whole) // 2])
    (folder / "notes.jpg").write_text("not a picture at all")
    (folder / "script.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>")
    (folder / "<b>&'.png").write_bytes(b"")
    cloth(9).save(folder / "unmeasured.png")
    (folder / "list.txt").write_text("ignored")
    (folder / ".hidden.png").write_bytes(b"ignored")
    report = run(folder)
    reasons = {path.name: reason for path, reason in report.unreadable}
    assert sorted(reasons) == ["<b>&'.png", "half.png", "notes.jpg", "script.svg", "unmeasured.png"]
    assert "damaged" in reasons["half.png"]
    assert "no picture" in reasons["notes.jpg"]
    assert "SVG" in reasons["script.svg"]
    assert "density" in reasons["unmeasured.png"]
    assert all(name in reason for name, reason in reasons.items())
    assert report.read == 3
    assert run(folder, width=5.0).read == 4  # the width was all that one of them lacked
    assert names(folder)["unmeasured.png"] == "read"


def test_a_file_that_cannot_be_opened_is_listed(folder: Path) -> None:
    (folder / "gone.png").symlink_to(folder / "nowhere.png")
    os.mkfifo(folder / "pipe.png")
    reasons = {path.name: reason for path, reason in run(folder).unreadable}
    assert sorted(reasons) == ["gone.png", "pipe.png"]


def test_width_by_side_file_owner_option_and_density(folder: Path) -> None:
    run(folder)
    assert width_of(folder, "cloth-00") == pytest.approx(96 / 25, abs=0.01)  # density
    run(folder, width=6.0)
    assert width_of(folder, "cloth-00") == 6.0
    assert run(folder).read == 0  # the option is remembered
    with open_index(folder) as index:
        index.say(index.find("cloth-00"), picture_width=7.0)
    run(folder, width=6.5)
    assert (width_of(folder, "cloth-00"), width_of(folder, "cloth-01")) == (7.0, 6.5)
    (folder / "on-hand.toml").write_text(
        'width = "8 in"\n[swatch."cloth-01.png"]\nwidth = "22.86 cm"\nname = "Kelp & rope"\n'
        'length_on_hand = "1 1/2 yd"\nwidth_on_hand = "42 in"\nnotes = "washed"\n'
    )
    run(folder, width=6.5)
    assert (width_of(folder, "cloth-00"), width_of(folder, "cloth-01")) == (8.0, 9.0)
    with open_index(folder) as index:
        said = index.find("Kelp & rope")
        assert (said.length_on_hand, said.width_on_hand, said.notes) == (54, 42, "washed")
        shelf = index.shelf()
        assert shelf.length_on_hand[shelf.names.index("Kelp & rope")] == 54
        assert np.isnan(shelf.length_on_hand[0])
        for field, value in (("notes", "dry"), ("length_on_hand", 3.0), ("picture_width", 4.0)):
            with pytest.raises(QuiltError, match="last word"):  # it would be lost again
                index.say(said, **{field: value})  # type: ignore[arg-type]
        index.say(index.find("cloth-02"), notes="dry")


def width_of(folder: Path, name: str) -> float:
    with open_index(folder) as index:
        stem = [s for s in index.swatches() if s.path.stem == name]
        return float(index.reading(stem[0])["width_in"])


def test_nearest_side_file_has_the_last_word(folder: Path) -> None:
    below = folder / "scraps"
    write_cloths(below, 1, first=40)
    (folder / "on-hand.toml").write_text('width = "8 in"\n')
    (below / "on-hand.toml").write_text('width = "3 in"\n')
    run(folder)
    assert (width_of(folder, "cloth-00"), width_of(folder, "cloth-40")) == (8.0, 3.0)


def test_faults_of_a_side_file_are_told_together(folder: Path) -> None:
    (folder / "on-hand.toml").write_text(
        'width = "wide"\ncolour = "red"\n'
        '[swatch."a.png"]\nlength_on_hand = -3\nprice = 4\nname = 5\n'
    )
    with pytest.raises(ContentError) as caught:
        run(folder)
    text = str(caught.value)
    assert len(caught.value.findings) == 5
    assert all(w in text for w in ("width", "colour", "length_on_hand", "price", "name"))
    assert not (folder / INDEX_NAME).exists()
    (folder / "on-hand.toml").write_text("width = ")
    with pytest.raises(QuiltFileError, match=r"on-hand\.toml"):
        run(folder)


def test_a_correction_saved_beside_the_picture_counts(folder: Path) -> None:
    run(folder)
    picture = folder / "cloth-00.png"
    save_reading(read_swatch(picture, corrections={"direction": "one-way", "up_deg": 90}), picture)
    assert run(folder).read == 1
    with open_index(folder) as index:
        reading = index.reading(index.find("cloth-00"))
        assert (reading["direction"]["kind"], reading["direction"]["up_deg"]) == ("one-way", 90)


def test_the_folder_may_move_with_its_index(folder: Path) -> None:
    run(folder)
    other = folder.parent / "elsewhere"
    folder.rename(other)
    report = run(other)
    assert (report.read, report.moved, report.missing) == (0, [], 0)


def test_one_index_for_several_folders(tmp_path: Path) -> None:
    write_cloths(tmp_path / "a", 2)
    write_cloths(tmp_path / "b", 2, first=10)
    index = tmp_path / "all.sqlite"
    run(tmp_path / "a", index=index)
    report = run(tmp_path / "b", index=index)
    assert (report.found, report.missing) == (2, 0)
    (tmp_path / "a" / "cloth-00.png").rename(tmp_path / "b" / "from-a.png")
    assert run(tmp_path / "b", index=index).moved == [("a/cloth-00.png", "b/from-a.png")]
    with open_index(index) as opened:
        assert len(opened.shelf()) == 4


def test_what_is_said_must_make_sense(folder: Path) -> None:
    run(folder)
    with open_index(folder) as index:
        swatch = index.find("cloth-00")
        for wrong in ({"length_on_hand": -1.0}, {"picture_width": 0.0}, {"width_on_hand": np.nan}):
            with pytest.raises(QuiltError):
                index.say(swatch, **wrong)  # type: ignore[arg-type]
        index.say(swatch, name="Kelp", length_on_hand=0.0)
        assert index.find("Kelp").length_on_hand == 0
        index.say(swatch, name="")
        assert index.find("cloth-00").name == "cloth-00"
        with pytest.raises(QuiltKeyError, match="no swatch called"):
            index.find("Kelp")


def test_other_files_are_no_index(tmp_path: Path) -> None:
    with pytest.raises(QuiltFileError, match="no such file"):
        open_index(tmp_path)
    (tmp_path / "text.sqlite").write_text("not a database, but long enough to look at" * 50)
    with pytest.raises(QuiltFileError, match=r"no usable index .*--repair"):
        open_index(tmp_path / "text.sqlite")
    with sqlite3.connect(tmp_path / "other.sqlite") as db:
        db.execute("CREATE TABLE recipe (name)")
    for create in (False, True):
        with pytest.raises(QuiltFileError, match="another program"):
            open_index(tmp_path / "other.sqlite", create=create)
    with open_index(tmp_path / "late.sqlite", create=True) as index, index.transaction() as db:
        db.execute("PRAGMA user_version = 99")
    with pytest.raises(QuiltFileError, match="later"):
        open_index(tmp_path / "late.sqlite")
    with pytest.raises(QuiltFileError, match="no such folder"):
        run(tmp_path / "nowhere")


def test_threads_and_processes_answer_alike(folder: Path) -> None:
    run(folder)
    with open_index(folder) as index:
        expected = [index.reading(s) for s in index.swatches()]
    with ThreadPoolExecutor(2) as pool:
        assert index_folder(folder, executor=pool, again=True).read == 3
    assert index_folder(folder, workers=2, again=True).read == 3
    with open_index(folder) as index:
        assert [index.reading(s) for s in index.swatches()] == expected


class Unlucky(Executor):
    """Loses every second task, as a cluster may lose a worker."""

    def __init__(self) -> None:
        self.count = 0

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.count += 1
        if self.count % 2:
            future.set_exception(RuntimeError("worker lost"))
        else:
            future.set_result(fn(*args, **kwargs))
        return future


def test_a_lost_worker_costs_no_swatch(folder: Path) -> None:
    report = index_folder(folder, executor=Unlucky())
    assert (report.read, report.waiting) == (1, 2)
    assert report.unreadable == []
    assert run(folder).read == 2


def test_a_task_carries_its_bytes(folder: Path) -> None:
    data = (folder / "cloth-00.png").read_bytes()
    answer = read_task(Task(7, "cloth-00.png", data, 4.0, {"direction": "two-way"}))
    assert (answer.id, answer.reason) == (7, "")
    assert '"two-way"' in answer.json
    bad = read_task(Task(7, "x.png", data, 4.0, {"direction": "sideways"}))
    assert "sideways" in bad.reason


def test_progress_is_told(folder: Path) -> None:
    told: list[tuple[int, int]] = []
    run(folder, progress=lambda done, total: told.append((done, total)))
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]


def test_an_image_larger_than_any_photo_is_refused_before_it_is_decoded(folder: Path) -> None:
    Image.new("1", (20_000, 20_000)).save(folder / "bomb.png")
    reasons = dict((p.name, r) for p, r in run(folder).unreadable)
    assert "pixels" in reasons["bomb.png"]


def test_features_of_an_earlier_version_are_made_again(folder: Path) -> None:
    run(folder)
    with open_index(folder) as index:
        before = index.shelf().features.tobytes()
        with index.transaction() as db:
            db.execute("UPDATE swatch SET features = x'00ff'")
        assert index.shelf().features.tobytes() == before


def test_reading_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A worker that is killed could not clear up after itself: it writes no file at all."""
    write_cloths(tmp_path / "cloth", 1)
    picture = next((tmp_path / "cloth").glob("*.png"))
    monkeypatch.setattr("tempfile.mkdtemp", lambda *a, **k: pytest.fail("a folder was made"))
    answer = read_task(Task(7, "a/<b>\0.png", picture.read_bytes(), 4.0, {}))
    assert answer.json
    assert (
        "picture a/<b>\0.png: found an empty file"
        in read_task(Task(7, "a/<b>\0.png", b"", 4.0, {})).reason
    )
