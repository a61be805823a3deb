"""An output folder is the old whole or the new whole, and costs nobody a file."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from quiltgeom.errors import QuiltError, QuiltFileError, QuiltValueError
from quiltgeom.files import TEMPORARY, held, safe_name, sweep
from quiltgeom.outputs.folder import output_folder
from quiltgeom.outputs.manifest import MANIFEST, Manifest, digest, load_manifest, outputs_in


def fill(folder: Path, files: dict[str, str], kind: str = "kit", **options: object) -> list[str]:
    with output_folder(folder, kind, **options) as filling:  # type: ignore[arg-type]
        for name, text in files.items():
            path = filling.path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text)
    return filling.replaced


def texts(folder: Path) -> dict[str, str]:
    found = (p for p in folder.rglob("*") if p.is_file() and p.name != MANIFEST)
    return {p.relative_to(folder).as_posix(): p.read_text() for p in found}


def test_the_manifest_says_what_is_there_and_what_it_was_made_of(tmp_path: Path) -> None:
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(b"abc")
    fill(tmp_path / "kit", {"a.txt": "a", "sub/b.txt": "b"}, inputs=[photo], options={"px": 3})
    made = load_manifest(tmp_path / "kit")
    assert made is not None
    assert made.finished
    assert not made.changed(tmp_path / "kit")
    assert sorted(made.files) == ["a.txt", "sub/b.txt"]
    # FIPS 180-4's own example
    abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert made.inputs == {"photo.jpg": abc}
    assert str(tmp_path) not in (tmp_path / "kit" / MANIFEST).read_text()


def test_a_second_run_replaces_what_is_its_own_and_leaves_the_rest(tmp_path: Path) -> None:
    kit = tmp_path / "kit"
    fill(kit, {"a": "1", "old/b": "1", "same": "s"})
    (kit / "mine.txt").write_text("notes")
    assert fill(kit, {"a": "2", "c": "2", "same": "s"}) == ["a"]
    assert texts(kit) == {"a": "2", "c": "2", "same": "s", "mine.txt": "notes"}
    assert not (kit / "old").exists()


def test_a_file_that_was_changed_or_is_not_ours_is_not_replaced(tmp_path: Path) -> None:
    kit = tmp_path / "kit"
    fill(kit, {"a": "1", "b": "1"})
    (kit / "a").write_text("changed by hand")
    with pytest.raises(QuiltFileError, match=r"would replace a, which is not as .* force=True"):
        fill(kit, {"a": "2", "b": "2"})
    assert texts(kit) == {"a": "changed by hand", "b": "1"}
    (kit / "a").write_text("1")
    (kit / "c").write_text("somebody's")
    with pytest.raises(QuiltFileError, match="would replace c"):
        fill(kit, {"a": "2", "c": "2"})
    assert texts(kit) == {"a": "1", "b": "1", "c": "somebody's"}
    fill(kit, {"a": "2", "c": "2"}, force=True)
    assert texts(kit) == {"a": "2", "c": "2"}


def test_a_folder_that_has_no_manifest_is_somebodys(tmp_path: Path) -> None:
    (tmp_path / "kit").mkdir()
    (tmp_path / "kit" / "a").write_text("theirs")
    with pytest.raises(QuiltFileError, match="would replace a"):
        fill(tmp_path / "kit", {"a": "ours"})
    fill(tmp_path / "kit", {"b": "ours"})
    assert texts(tmp_path / "kit") == {"a": "theirs", "b": "ours"}


def test_output_of_another_kind_is_not_taken_over(tmp_path: Path) -> None:
    fill(tmp_path / "out", {"a": "1"}, "advice")
    with pytest.raises(QuiltFileError, match="an output called 'advice'"):
        fill(tmp_path / "out", {"b": "1"}, "kit")
    assert texts(tmp_path / "out") == {"a": "1"}


@pytest.mark.parametrize("link", [os.link, os.symlink, None])
def test_an_input_is_never_replaced_not_even_by_force(tmp_path: Path, link: object) -> None:
    kit, design = tmp_path / "kit", tmp_path / "kit" / "design.toml"
    kit.mkdir()
    design.write_text("# my comments")
    source = design
    if link is not None:
        source = tmp_path / "linked.toml"
        link(design, source)  # type: ignore[operator]
    with pytest.raises(QuiltValueError, match="one of the files that it is made of"):
        fill(kit, {"design.toml": "no comments"}, inputs=[source], force=True)
    assert texts(kit) == {"design.toml": "# my comments"}


def interrupted(kit: Path) -> None:
    with output_folder(kit, "kit") as filling:
        (filling.path / "a").write_text("half")
        raise KeyboardInterrupt


def test_an_error_on_the_way_leaves_the_old_whole_and_nothing_else(tmp_path: Path) -> None:
    kit = tmp_path / "deep" / "kit"
    for already in (False, True):
        if already:
            fill(kit, {"a": "1"})
        with pytest.raises(KeyboardInterrupt):
            interrupted(kit)
        assert texts(kit) == ({"a": "1"} if already else {})
        assert (tmp_path / "deep").exists() == already
    assert not [p for p in tmp_path.rglob("*") if p.name.startswith(TEMPORARY)]


def test_unfinished_is_said_and_the_next_run_mends_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kit = tmp_path / "kit"
    fill(kit, {"a": "1", "b": "1", "c": "1"})
    real, count = os.replace, 0

    def full(source: object, target: object) -> None:
        nonlocal count
        count += 1
        if count == 3:  # the manifest, a, then no more
            raise OSError(28, "No space left on device")
        real(source, target)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(QuiltFileError, match="No space left on device"):
        fill(kit, {"a": "2", "b": "2"})
    monkeypatch.undo()
    made = load_manifest(kit)
    assert made is not None
    assert not made.finished
    assert {"a", "b", "c"} <= {p.name for p in outputs_in(kit)}
    fill(kit, {"a": "3", "b": "3"})
    assert texts(kit) == {"a": "3", "b": "3"}
    made = load_manifest(kit)
    assert made is not None
    assert made.finished


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"format": 1}',
        '{"format": 2, "kind": "kit"}',
        '{"format": 1, "kind": "kit", "files": {"../../x": "1"}}',
        '{"format": 1, "kind": "kit", "files": {"a": 1}}',
    ],
)
def test_a_damaged_manifest_is_one_error(tmp_path: Path, text: str) -> None:
    fill(tmp_path / "kit", {"a": "1"})
    (tmp_path / "kit" / MANIFEST).write_text(text)
    with pytest.raises(QuiltError, match="manifest"):
        fill(tmp_path / "kit", {"a": "2"})
    fill(tmp_path / "kit", {"a": "2"}, force=True)
    assert texts(tmp_path / "kit") == {"a": "2"}


def test_kept_is_proved(tmp_path: Path) -> None:
    kit = tmp_path / "kit"
    fill(kit, {"a": "1"}, made_of={"print": "x"}, options={"size": (1.0, 2.0)})
    made = load_manifest(kit)
    assert made is not None
    wanted = Manifest(
        "kit", inputs={"print": "x"}, options={"size": (1.0, 2.0)}, versions=made.versions
    )
    assert made.proves(kit, wanted)
    for change in (
        {"inputs": {"print": "y"}},
        {"options": {"size": (1.0, 3.0)}},
        {"versions": {}},
        {"kind": "cutting"},
    ):
        other = Manifest(**{**wanted.__dict__, **change})
        assert not made.proves(kit, other)
    (kit / "a").write_text("2")
    assert not made.proves(kit, wanted)


def test_what_killed_runs_left_goes_and_what_is_held_stays(tmp_path: Path) -> None:
    left, busy = (tmp_path / f"{TEMPORARY}{n}" for n in ("left", "busy"))
    for folder in (left, busy):
        folder.mkdir()
        (folder / "half").write_text("x")
        os.utime(folder, (1, 1))
    with held(busy):
        sweep(tmp_path)
        assert busy.is_dir()
    assert not left.exists()


@pytest.mark.parametrize(
    "name",
    [
        "../../etc",
        "a/b",
        "",
        ".",
        "..",
        "NUL",
        "a\0b",
        "x" * 300,
        "\udce4",
        "é" * 200,
        "line\nbreak",
        "-rf",
        "~",
        "con.txt",
        " ",
    ],
)
def test_names_of_peoples_choosing_are_plain_file_names(name: str, tmp_path: Path) -> None:
    plain = safe_name(name)
    assert Path(plain).name == plain
    assert plain[0] not in ".-~ "
    assert len(plain.encode()) <= 80
    (tmp_path / plain).write_text("it can be written")
    assert digest(tmp_path / plain)
    assert safe_name(plain) == plain
    assert json.dumps(plain)
