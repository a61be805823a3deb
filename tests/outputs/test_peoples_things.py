"""Nobody loses a file, and no output is taken for cloth: each of these lost or mixed up something
once."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image

import quiltgeom.jobs.advise_many as many
from quiltgeom.cli import cli
from quiltgeom.documents.kit_folder import with_own_pictures, write_kit
from quiltgeom.fabric.image import load_image
from quiltgeom.fabric.reading.read_file import read_swatch, save_reading
from quiltgeom.files import TEMPORARY
from quiltgeom.jobs.advise import Brief
from quiltgeom.jobs.advise_many import ManyAdvised, advise_many
from quiltgeom.library.design_file import load_design
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.onhand.index import open_index
from quiltgeom.onhand.scan import survey
from quiltgeom.outputs.manifest import MANIFEST, load_manifest
from quiltgeom.proposal.proposal import propose

FEW = [load_patterns().get("harbour-windows")]


def run(*args: object) -> Result:
    return CliRunner().invoke(cli, [str(a) for a in args])


def cloth(path: Path, colour: tuple[int, int, int], seed: int = 0, **saved: object) -> Path:
    """A small printed cloth of one colour with dots, 6 inches wide."""
    path.parent.mkdir(parents=True, exist_ok=True)
    pixels = np.empty((240, 240, 3), np.uint8)
    pixels[:] = colour
    rng = np.random.default_rng(seed)
    for y, x in rng.integers(0, 230, (60, 2)):
        pixels[y : y + 6, x : x + 6] = 255 - pixels[y, x]
    Image.fromarray(pixels).save(path, **{"dpi": (40, 40), **saved})  # type: ignore[arg-type]
    return path


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    folder = tmp_path / "shelf"
    colours = [(245, 240, 230), (30, 60, 90), (120, 130, 125), (200, 190, 160), (60, 90, 70)]
    for k, colour in enumerate(colours):
        path = folder / f"plain-{k}.png"
        folder.mkdir(exist_ok=True)
        Image.new("RGB", (240, 240), colour).save(path, dpi=(40, 40))
    return folder


def bytes_of(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


# ---------------------------------------------------------------- files are not overwritten


def test_a_kit_into_the_folder_of_its_design_costs_no_comment_and_no_cloth(tmp_path: Path) -> None:
    cloth(tmp_path / "cloths" / "p.png", (90, 120, 60))
    cloth(tmp_path / "swatches" / "p.png", (10, 20, 200))  # another cloth, where copies would go
    design = tmp_path / "design.toml"
    design.write_text(
        '# mine\npattern = "harbour-windows"\nrows = 1\ncolumns = 1\n'
        '[fabric.focus]\nimage = "cloths/p.png"\n'
    )
    before = bytes_of(tmp_path)
    for force in ([], ["--force"]):
        result = run("kit", design, "-o", tmp_path, *force)
        assert result.exit_code == 2, result.output
        assert "design.toml" in result.output
    assert bytes_of(tmp_path) == before


@pytest.mark.parametrize(
    "args",
    [
        ["preview", "--pattern", "harbour-windows", "--focus", "P", "--width", "6in", "-o", "P"],
        ["preview", "--pattern", "harbour-windows", "--fabric", "accent=P,width=6in", "-o", "P"],
        ["read", "P", "-o", "P"],
        ["read", "P", "-o", "Q", "--corrected", "P"],
        ["match", "P", "-o", "P"],
        ["companions", "P", "--from", "HERE", "-o", "P"],
        ["sew", "four-patch", "--fabric", "accent=P,width=6in", "-o", "P"],
        ["values", "--pattern", "harbour-windows", "--fabric", "accent=P,width=6in", "-o", "P"],
    ],
)
@pytest.mark.parametrize("force", [False, True])
def test_a_photo_is_never_replaced(args: list[str], force: bool, tmp_path: Path) -> None:
    photo = cloth(tmp_path / "p.png", (90, 120, 60))
    before = photo.read_bytes()
    names = {"Q": str(tmp_path / "q.png"), "HERE": str(tmp_path)}
    words = [names.get(a, a.replace("P", str(photo)) if "P" in a else a) for a in args]
    result = run(*words, *(["--force"] if force else []))
    assert result.exit_code == 2, result.output
    assert "one of the files that it is made of" in result.output
    assert photo.read_bytes() == before


def test_somebody_elses_picture_is_replaced_by_force_only(tmp_path: Path) -> None:
    out = cloth(tmp_path / "quilt.png", (1, 2, 3))
    before = out.read_bytes()
    args = ["preview", "--pattern", "harbour-windows", "--px", "80", "-o", out]
    result = run(*args)
    assert result.exit_code == 2
    assert "not as quiltgeom wrote it; accepted: another name, or --force" in result.output
    assert out.read_bytes() == before
    assert run(*args, "--force").exit_code == 0
    made = out.read_bytes()
    assert made != before
    assert run(*args).exit_code == 0  # our own, unchanged
    out.write_bytes(made + b"x")
    assert run(*args).exit_code == 2


# ---------------------------------------------------------------- output is not taken for cloth


def test_output_among_the_swatches_is_no_swatch(shelf: Path) -> None:
    photo = cloth(shelf / "print.png", (180, 60, 70))
    ours = {s.path for s in survey(shelf).files}
    result = run(
        "advise", photo, "--swatches", shelf, "--pattern", "harbour-windows", "-o", shelf / "kelp"
    )
    assert result.exit_code == 0, result.output
    assert (shelf / "kelp" / "kit" / "swatches" / "print.png").exists()
    assert run("read", photo, "-o", shelf / "reading.png").exit_code == 0
    drawn = shelf / "quilt.svg"
    assert run("preview", "--pattern", "harbour-windows", "-o", drawn).exit_code == 0
    shutil.copy(shelf / "kelp" / "quilt.png", shelf / "renamed.png")
    assert {s.path for s in survey(shelf).files} == ours
    told = run("companions", photo, "--from", shelf, "--json")
    assert told.exit_code == 0
    assert "kelp" not in told.stdout
    cloth(shelf / "kelp" / "new-cloth.png", (10, 90, 90))  # somebody's, in our folder
    assert {s.path for s in survey(shelf).files} == {*ours, shelf / "kelp" / "new-cloth.png"}


def test_the_swatches_of_the_demo_are_cloth(tmp_path: Path) -> None:
    assert run("demo", "-o", tmp_path / "demo", "--px", "100").exit_code == 0
    inside = survey(tmp_path / "demo" / "swatches").files
    assert len(inside) >= 10
    assert [s.path for s in survey(tmp_path / "demo").files] == [s.path for s in inside]
    assert [s.path for s in survey(tmp_path).files] == [s.path for s in inside]


# ---------------------------------------------------------------- no print disappears


def advised(photos: Path, out: Path, **wishes: object) -> ManyAdvised:
    brief = Brief(Path(), kit=False, **wishes)  # type: ignore[arg-type]
    return advise_many(photos, brief, out, workers=1, patterns=FEW)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The photos that were really advised, each by a folder that says which photo it shows."""
    done: list[Path] = []

    def advise(brief: Brief, folder: Path, *, patterns: object = None) -> None:
        done.append(brief.photo)
        reading = read_swatch(brief.photo)
        made_of = many.input_digests(brief)
        options = many.wishes_data(brief, FEW)
        with many.output_folder(
            folder,
            "advice",
            inputs=[brief.photo],
            made_of=made_of,
            options=options,
            force=brief.force,
        ) as filling:
            best = {"width_in": 30.0, "height_in": 30.0, "outcome": "pass"}
            facts = {
                "patterns": [best],
                "fabrics": {},
                "print": {
                    "name": brief.photo.name,
                    "direction": reading.direction.kind,
                    "size": brief.size,
                },
            }
            (filling.path / "advice.json").write_text(json.dumps(facts))
            Image.open(brief.photo).convert("RGB").save(filling.path / "quilt.png")

    monkeypatch.setattr(many, "advise", advise)
    return done


def shown(made: ManyAdvised) -> dict[str, str]:
    return {
        p.photo.name: json.loads((p.folder / "advice.json").read_text())["print"]["name"]
        for p in made.prints
        if not p.error
    }


def test_prints_of_nearly_one_name_get_a_folder_each(tmp_path: Path, quick: list[Path]) -> None:
    photos = tmp_path / "prints"
    for k, name in enumerate(["a.png", "a.jpg", "a-2.png", "A.bmp", "sub/a.png"]):
        cloth(photos / name, (40 * k, 100, 200 - 40 * k), k)
    first = advised(photos, tmp_path / "out")
    folders = [p.folder.name.casefold() for p in first.prints]
    assert len(set(folders)) == 5
    assert [n for n, what in shown(first).items() if n != what] == []
    names = {p.photo: p.folder for p in first.prints}
    cloth(photos / "a-1.png", (7, 7, 7))  # comes first in order: the others keep their folders
    again = advised(photos, tmp_path / "out")
    assert {p.photo: p.folder for p in again.prints if p.kept} == names


# ---------------------------------------------------------------- kept means proved


def test_a_print_is_kept_only_if_nothing_changed(
    tmp_path: Path, shelf: Path, quick: list[Path]
) -> None:
    photos, out = tmp_path / "prints", tmp_path / "out"
    one = cloth(photos / "one.png", (40, 100, 200), 1)
    two = cloth(photos / "two.png", (200, 100, 40), 2)

    def redone(**wishes: object) -> list[str]:
        quick.clear()
        made = advised(photos, out, **{"swatches": shelf, **wishes})
        assert not made.failed
        return [p.name for p in quick]

    assert redone() == ["one.png", "two.png"]
    assert redone() == []
    assert redone(size=(40.0, 50.0)) == ["one.png", "two.png"]  # another brief
    shutil.rmtree(out / "two")
    assert redone() == ["one.png", "two.png"]
    save_reading(read_swatch(one, corrections={"direction": "one-way"}), one)
    assert redone() == ["one.png"]  # the owner's saved word
    os.rename(shelf / "plain-0.png", shelf / "spare")
    os.rename(shelf / "plain-1.png", shelf / "plain-0.png")
    os.rename(shelf / "spare", shelf / "plain-1.png")
    assert redone() == ["one.png", "two.png"]  # the cloths changed names
    (shelf / "on-hand.toml").write_text('[swatch."plain-0.png"]\nlength_on_hand = "0 in"\n')
    assert redone() == ["one.png", "two.png"]
    cloth(two, (1, 200, 40), 3)
    assert redone() == ["two.png"]
    with open_index(shelf) as index:
        index.say(index.find("plain-2"), length_on_hand=3.0)
    assert redone() == ["one.png", "two.png"]
    (out / "one" / "quilt.png").unlink()
    assert redone() == ["one.png"]  # a file is gone


def test_a_damaged_result_is_said_and_does_not_end_the_run(
    tmp_path: Path, quick: list[Path]
) -> None:
    photos, out = tmp_path / "prints", tmp_path / "out"
    cloth(photos / "one.png", (40, 100, 200), 1)
    cloth(photos / "two.png", (200, 100, 40), 2)
    advised(photos, out)
    (out / "one" / "advice.json").write_text("{")
    made = advised(photos, out)
    assert [p.photo.name for p in made.failed] == ["one.png"]
    assert "advice.json" in made.failed[0].error
    assert "one.png" in made.overview.read_text()
    assert not advised(photos, out, force=True).failed
    (out / "two" / MANIFEST).write_text("garbage")
    made = advised(photos, out)
    assert [p.photo.name for p in made.failed] == ["two.png"]


# ---------------------------------------------------------------- the right cloth in a kit


def test_each_role_keeps_its_own_cloth_whatever_the_files_are_called(tmp_path: Path) -> None:
    colours = {
        "accent": ("c/background-p.png", (200, 0, 0)),
        "focus": ("a/p.png", (0, 200, 0)),
        "background": ("b/p.png", (0, 0, 200)),
        "x/y": ("d/P.png", (9, 9, 9)),
    }
    fabrics = {}
    for role, (name, colour) in colours.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        Image.new("RGB", (30, 30), colour).save(path, dpi=(40, 40))
        fabrics[role] = Fabric("cloth", image=path)
    own = with_own_pictures(Design("harbour-windows", fabrics), tmp_path / "kit")
    for role, (_, colour) in colours.items():
        image = own.fabrics[role].image
        assert image is not None
        assert load_image(image).getpixel((3, 3)) == colour
    names = [f.image.name.casefold() for f in own.fabrics.values() if f.image]
    assert len(set(names)) == 4


SECRETS = [b"Anna Example", b"SN-4711", b"53.5511", b"secret remark"]


def owned(path: Path) -> Path:
    """A photo whose file tells where it was taken and whose it is."""
    exif = Image.Exif()
    exif[0x013B] = "Anna Example"  # Artist
    exif[0x010E] = "secret remark"
    exif.get_ifd(0x8769)[0xA431] = "SN-4711"  # body serial number
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2] = "N", (53.0, 33.0, 4.0)
    gps[0x1B] = b"ASCII\0\0\x0053.5511"
    return cloth(path, (180, 60, 70), exif=exif, comment=b"secret remark")


def test_a_kit_tells_nothing_of_the_photos_owner(tmp_path: Path) -> None:
    photo = owned(tmp_path / "anna" / "print.jpg")
    written = photo.read_bytes()  # older releases of Pillow write no nested tags
    assert sum(s in written for s in SECRETS) >= 2
    for k in range(3):
        cloth(tmp_path / "anna" / "shelf" / f"{k}.png", (240 - 90 * k, 230 - 60 * k, 200), k)
    result = run(
        "advise",
        photo,
        "--swatches",
        tmp_path / "anna" / "shelf",
        "--pattern",
        "harbour-windows",
        "-o",
        tmp_path / "out",
    )
    assert result.exit_code == 0, result.output
    assert b"0.png" in (tmp_path / "out" / "advice.json").read_bytes()
    files = bytes_of(tmp_path / "out")
    assert "kit/swatches/print.jpg" in files
    for name, data in files.items():
        for secret in [*SECRETS, str(tmp_path).encode(), b"Exif\0\0"]:
            assert secret not in data, (name, secret)


def test_a_kit_opens_anywhere_with_blocks_of_ones_own(tmp_path: Path) -> None:
    blocks = tmp_path / "private" / "blocks"
    blocks.mkdir(parents=True)
    (blocks / "mine.toml").write_bytes(Path("blocks/four-patch.toml").read_bytes())
    design = Design("harbour-windows", rows=1, columns=1, block_folders=(blocks,))
    write_kit(propose(design), tmp_path / "kit", templates=False)
    shutil.move(tmp_path / "kit", tmp_path / "sent")
    shutil.rmtree(tmp_path / "private")
    again = load_design(tmp_path / "sent" / "design.toml")
    assert [p.name for f in again.block_folders for p in f.iterdir()] == ["mine.toml"]
    assert "private" not in (tmp_path / "sent" / "design.toml").read_text()


# ---------------------------------------------------------------- names do not reach paths


def test_a_role_with_folders_in_it_stays_inside(tmp_path: Path) -> None:
    block = tmp_path / "blocks" / "odd.toml"
    block.parent.mkdir()
    role = "x/../../../../ESCAPED"
    block.write_text(
        'name = "Odd"\ngrid = [2, 2]\nsource = "drawn here"\n'
        f'[[patch]]\nrole = "{role}"\nat = [[0, 0], [2, 0], [0, 2]]\n'
        '[[patch]]\nrole = "accent"\nat = [[2, 0], [2, 2], [0, 2]]\n'
    )
    out = tmp_path / "a" / "b" / "shapes"
    result = run("templates", "odd", "--folder", block.parent, "--size", "4in", "--svg", out)
    assert result.exit_code == 0, result.output
    written = {p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file()}
    assert {w for w in written if not w.startswith("a/b/shapes/")} == {"blocks/odd.toml"}
    assert len([w for w in written if w.endswith(".svg")]) == 2


# ---------------------------------------------------------------- killed and stopped


def start(*args: object) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "quiltgeom", *map(str, args)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )


def living(session: int) -> list[int]:
    """Processes of a session that have not ended."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, _, own = stat.read_text().rsplit(")", 1)[1].split()[:4]
        except OSError:
            continue
        if int(own) == session and state not in "ZX":
            found.append(int(stat.parent.name))
    return found


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
@pytest.mark.parametrize("sign", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
def test_a_batch_that_ends_takes_its_workers_along(tmp_path: Path, sign: signal.Signals) -> None:
    for k in range(8):
        cloth(tmp_path / "prints" / f"{k}.png", (30 * k, 99, 40), k)
    args = [
        "advise",
        tmp_path / "prints",
        "--pattern",
        "harbour-windows",
        "--no-kit",
        "-o",
        tmp_path / "out",
    ]
    batch = start(*args)
    deadline = time.monotonic() + 120
    while len(living(batch.pid)) < 3 or not list(tmp_path.glob(f"out/{TEMPORARY}*")):
        assert time.monotonic() < deadline, "no workers came"
        assert batch.poll() is None
        time.sleep(0.05)
    batch.send_signal(sign)
    _, told = batch.communicate(timeout=240)
    while living(batch.pid):
        assert time.monotonic() < deadline + 300, "workers go on"
        time.sleep(0.05)
    assert b"Traceback" not in told, told.decode()
    made = load_manifest(tmp_path / "out")
    assert made is not None
    assert not made.finished
    left = list(tmp_path.rglob(f"{TEMPORARY}*"))
    if sign != signal.SIGKILL:
        assert batch.returncode == 130
        assert left == []
        return
    for path in left:
        os.utime(path, (1, 1))
    for k in range(2, 8):
        (tmp_path / "prints" / f"{k}.png").unlink()
    result = run(*args)
    assert result.exit_code == 0, result.output
    assert list(tmp_path.rglob(f"{TEMPORARY}*")) == []
