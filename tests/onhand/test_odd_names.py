"""Names and files that cannot be used: told with the reason, and never in the others' way."""

from __future__ import annotations

import os
import socket
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from quiltgeom.errors import QuiltFileError
from quiltgeom.onhand import scan
from quiltgeom.onhand.index import INDEX_NAME, open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.scan import printable, read_bytes, survey
from quiltgeom.onhand.stock import IndexReport, take_stock
from tests.onhand.cloths import cloth, write_cloths

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="names of POSIX file systems")


def run(folder: Path, **options: Any) -> IndexReport:
    return index_folder(folder, workers=1, quick=True, **options)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_cloths(tmp_path / "cloth", 2, side=32)
    return (tmp_path / "cloth").resolve()


def odd_file(folder: Path, name: bytes) -> None:
    picture = cloth(50 + len(name), 32)
    with tempfile.TemporaryDirectory() as place:
        picture.save(Path(place) / "x.png", dpi=(25, 25))
        data = (Path(place) / "x.png").read_bytes()
    try:
        with open(os.fsencode(folder) + b"/" + name, "wb") as file:
            file.write(data)
    except OSError as e:
        pytest.skip(f"this file system refuses such names ({e.strerror})")


@pytest.mark.parametrize(
    ("name", "shown", "why"),
    [
        (b"caf\xe9.png", r"caf\xe9.png", "not UTF-8"),
        (b"two\nlines.png", r"two\nlines.png", "control character"),
        (b"\x1b[31mred.png", r"\x1b[31mred.png", "control character"),
        ("line\u2028break.png".encode(), r"line\u2028break.png", "line break"),
    ],
)
def test_odd_names_are_skipped_with_the_reason(
    folder: Path, name: bytes, shown: str, why: str
) -> None:
    odd_file(folder, name)
    for _ in range(2):
        report = run(folder)
        assert (report.found, report.missing) == (2, 0)
        [(path, reason)] = report.unreadable
        assert path.name == shown
        assert shown in reason
        assert why in reason
        assert str(path).isprintable()
        assert reason.isprintable()
    with open_index(folder) as index:
        assert [s.status for s in index.swatches(missing=True)] == ["read", "read"]
        assert [s["reason"] for s in index.to_json()["skipped"]] == [reason]
    os.unlink(os.fsencode(folder) + b"/" + name)
    assert run(folder).unreadable == []
    with open_index(folder) as index:
        assert index.to_json()["skipped"] == []


def test_a_folder_of_an_odd_name_is_skipped(folder: Path) -> None:
    os.mkdir(os.fsencode(folder) + b"/dr\xe4wer")
    odd_file(folder, b"dr\xe4wer/kelp.png")
    [(path, reason)] = run(folder).unreadable
    assert path.name == r"dr\xe4wer"
    assert "not UTF-8" in reason


def test_names_of_other_scripts_and_of_screenshots_are_no_fault(folder: Path) -> None:
    names = ["ткань.png", "布.png", "3.04\u202fPM.png", "été.png", "=cmd.png", "woven 🧵.png"]
    for name in names:
        odd_file(folder, name.encode())
    report = run(folder)
    assert (report.found, report.unreadable) == (2 + len(names), [])


def test_a_name_as_long_as_names_can_be(folder: Path) -> None:
    name = "k" * 251 + ".png"  # 255 bytes: nothing fits beside it, such as a saved reading
    odd_file(folder, name.encode())
    assert run(folder).unreadable == []
    with open_index(folder) as index:
        assert index.find(name).status == "read"
        index.say(index.find("k" * 251), notes="long")


@pytest.mark.parametrize("name", ["k" * 300, "k/" * 3000, "\0"])
def test_a_folder_that_cannot_be_is_one_clear_error(name: str) -> None:
    with pytest.raises(QuiltFileError, match="no such folder"):
        run(Path(name))


def test_links_in_a_circle(folder: Path) -> None:
    (folder / "a.png").symlink_to(folder / "b.png")
    (folder / "b.png").symlink_to(folder / "a.png")
    (folder / "again").symlink_to(folder)
    assert [p.name for p, _ in run(folder).unreadable] == ["a.png", "b.png"]
    (folder.parent / "round").symlink_to(folder.parent / "round")
    with pytest.raises(QuiltFileError, match="no such folder"):
        run(folder.parent / "round")


def test_nothing_waits_for_a_pipe_or_a_socket(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.mkfifo(folder / "pipe.png")
    with pytest.raises(OSError, match="no ordinary file"):
        read_bytes(folder / "pipe.png")
    monkeypatch.chdir(folder)  # the name of a socket must be short
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind("socket.png")
        unreadable = run(folder).unreadable
    assert [p.name for p, _ in unreadable] == ["pipe.png", "socket.png"]
    assert all("no ordinary file" in reason for _, reason in unreadable)
    os.mkfifo(folder / "on-hand.toml")
    with pytest.raises(QuiltFileError, match="no ordinary file"):
        run(folder)


def test_an_index_that_is_a_pipe(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / INDEX_NAME)
    for create in (False, True):
        with pytest.raises(QuiltFileError, match="no ordinary file"):
            open_index(tmp_path, create=create)


@pytest.fixture
def closed(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder that nobody may look into (also not who may do everything)."""
    drawer = folder / "drawer"
    write_cloths(drawer, 2, first=5, side=32)
    run(folder)
    real = os.scandir

    def scandir(path: Any = ".") -> Any:
        if not isinstance(path, int) and os.fspath(path) == str(drawer):
            raise PermissionError(13, "Permission denied", str(drawer))
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    return drawer


def test_a_closed_folder_is_skipped_and_its_swatches_stay(folder: Path, closed: Path) -> None:
    write_cloths(folder, 1, first=8, side=32)
    report = run(folder)
    assert (report.found, report.new, report.missing) == (3, 1, 0)
    [(path, reason)] = report.unreadable
    assert path == closed
    assert "Permission denied" in reason
    with open_index(folder) as index:
        assert len(index.swatches()) == 5  # nothing is known of the two, so nothing is said


def test_a_file_that_goes_while_the_folder_is_looked_through(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    look = survey(folder)
    (folder / "cloth-00.png").unlink()
    with open_index(folder, create=True) as index:
        take_stock(index, folder, look, None)
        assert [s.path.name for s in index.swatches(missing=True)] == ["cloth-01.png"]
    # and one that goes after that: it waits, and is missing by the next run
    real = scan.read_bytes

    def vanishing(path: Path) -> bytes:
        path.unlink()
        return real(path)

    monkeypatch.setattr("quiltgeom.onhand.indexing.read_bytes", vanishing)
    report = run(folder)
    assert (report.read, report.waiting, report.unreadable) == (0, 1, [])
    monkeypatch.undo()
    assert run(folder).missing == 1


def test_an_index_elsewhere_cannot_keep_the_way_to_a_folder_of_an_odd_name(tmp_path: Path) -> None:
    os.mkdir(os.fsencode(tmp_path) + b"/dr\xe4wer")
    drawer = Path(os.fsdecode(os.fsencode(tmp_path) + b"/dr\xe4wer"))
    write_cloths(drawer, 1, side=32)
    assert run(drawer).read == 1  # its own index says only what is inside
    with pytest.raises(QuiltFileError, match=r"dr\\xe4wer"):
        run(drawer, index=tmp_path / "all.sqlite")


def test_printable_names_tell_the_odd_bytes() -> None:
    assert printable("plain é 布.png") == "plain é 布.png"
    assert printable("a\x07\udcff\u2029") == r"a\x07\xff\u2029"
