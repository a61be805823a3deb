"""``python -m tests.kills [COUNT]``: ends commands by SIGKILL at random moments, and looks at what
is left: each folder is the old whole, or the new whole, or says that it is not finished, and no
process goes on. Not part of the tests: 200 kills take some fifteen minutes."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from quiltgeom.files import TEMPORARY
from quiltgeom.onhand.index import INDEX_NAME, open_index
from quiltgeom.outputs.manifest import digest, load_manifest

Tree = dict[str, str]


@dataclass(frozen=True)
class Case:
    """A command in an old and in a new form, and the folder that it writes."""

    name: str
    old: list[str]
    new: list[str]
    out: str


def inputs(folder: Path) -> None:
    rng = np.random.default_rng(5)
    for k, name in enumerate(["prints/a", "prints/b", "cloths/c", "cloths/d", "cloths/e"]):
        pixels = np.full((240, 240, 3), (90 + 30 * k, 200 - 40 * k, 120), np.uint8)
        for y, x in rng.integers(0, 230, (40, 2)):
            pixels[y : y + 7, x : x + 7] = 255 - pixels[y, x]
        (folder / name).parent.mkdir(exist_ok=True)
        Image.fromarray(pixels).save(folder / f"{name}.png", dpi=(40, 40))
    (folder / "design.toml").write_text(
        'pattern = "harbour-windows"\nrows = 1\ncolumns = 2\n'
        '[fabric.focus]\nimage = "prints/a.png"\n'
    )


ADVISE = ["--swatches", "cloths", "--pattern", "harbour-windows"]
CASES = [
    Case(
        "advise",
        ["advise", "prints/a.png", *ADVISE, "-o", "out"],
        ["advise", "prints/b.png", *ADVISE, "-o", "out"],
        "out",
    ),
    Case(
        "batch",
        ["advise", "prints", *ADVISE, "--no-kit", "-o", "out"],
        ["advise", "prints", *ADVISE, "--no-kit", "--ground", "dark", "-o", "out"],
        "out",
    ),
    Case(
        "kit",
        ["kit", "design.toml", "-o", "out"],
        ["kit", "design.toml", "--paper", "a4", "-o", "out"],
        "out",
    ),
    Case("onhand", ["onhand", "cloths"], ["onhand", "cloths", "--again"], "cloths"),
    Case("demo", ["demo", "--px", "100", "-o", "out"], ["demo", "--px", "120", "-o", "out"], "out"),
]


def start(args: list[str], folder: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "quiltgeom", *args],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": os.getcwd()},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )


def living(session: int) -> int:
    count = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, _, own = stat.read_text().rsplit(")", 1)[1].split()[:4]
        except OSError:
            continue
        count += int(own) == session and state not in "ZX"
    return count


def tree(folder: Path) -> Tree:
    """Digests of the files of a folder, without what is not in place yet."""
    files = (p for p in folder.rglob("*") if p.is_file())
    names = {p: p.relative_to(folder).as_posix() for p in files}
    return {n: digest(p) for p, n in sorted(names.items()) if TEMPORARY not in n}


def judge(out: Path, old: Tree, new: Tree) -> str:
    """``"old"``, ``"new"`` or ``"unfinished"``; anything else is a fault."""
    if not out.exists():
        return "old" if not old else "fault: the folder is gone"
    made = load_manifest(out)
    found = tree(out)
    if made is None:
        return "old" if found == old else "fault: no manifest, and not as it was"
    if not made.finished:
        return "unfinished"
    if found in (old, new):
        return "old" if found == old else "new"
    return f"fault: neither old nor new: {sorted(set(found.items()) ^ set(new.items()))[:4]}"


def judge_batch(out: Path, old: Tree, new: Tree) -> str:
    """Each print's folder by itself; then the overview's."""
    words = []
    for name in ("a", "b"):
        part = [
            {k.removeprefix(f"{name}/"): v for k, v in t.items() if k.startswith(f"{name}/")}
            for t in (old, new)
        ]
        words.append(judge(out / name, *part))
    faults = [w for w in words if w.startswith("fault")]
    made = load_manifest(out) if out.exists() else None
    if faults:
        return faults[0]
    if made is None:
        return "old" if not old and not out.exists() else "fault: the overview has no manifest"
    if not made.finished:
        return "unfinished"
    if made.changed(out):
        return "fault: the overview is not whole"
    return words[0] if len(set(words)) == 1 else "fault: mixed"


def judge_index(out: Path, old: Tree, new: Tree) -> str:
    """The index opens, and the owner's note is in it."""
    if not (out / INDEX_NAME).exists():
        return "old" if INDEX_NAME not in old else "fault: the index is gone"
    with open_index(out) as index:
        notes = [s.notes for s in index.swatches(missing=True)]
        waiting = [s for s in index.swatches() if s.status == "waiting"]
    if old and "washed" not in notes:
        return "fault: the note is gone"
    return "unfinished" if waiting else "new"


JUDGES: dict[str, Callable[[Path, Tree, Tree], str]] = {"batch": judge_batch, "onhand": judge_index}


def finish(args: list[str], folder: Path) -> float:
    begun = time.monotonic()
    code = start(args, folder).wait()
    if code:
        raise SystemExit(f"{args} ended with {code}")
    return time.monotonic() - begun


def once(case: Case, ready: Path, old: Tree, new: Tree, delay: float, keep_old: bool) -> list[str]:
    """One kill; what is wrong."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "work"
        shutil.copytree(ready, folder)
        if not keep_old:
            old = {}
            if case.name == "onhand":
                (folder / "cloths" / INDEX_NAME).unlink()
            else:
                shutil.rmtree(folder / case.out)
        process = start(case.new, folder)
        time.sleep(delay)
        process.kill()
        process.wait()
        faults = []
        deadline = time.monotonic() + 10
        while living(process.pid) and time.monotonic() < deadline:
            time.sleep(0.02)
        if living(process.pid):
            faults.append(f"{living(process.pid)} processes go on")
        word = JUDGES.get(case.name, judge)(folder / case.out, old, new)
        TALLY[case.name, word.split(":")[0]] += 1
        faults += [word] if word.startswith("fault") else []
        return faults + again(case, folder, new)


def again(case: Case, folder: Path, new: Tree) -> list[str]:
    """The next run, if it is made in every tenth case, makes the new whole and sweeps."""
    if random.random() > 0.1:
        return []
    for path in folder.rglob(f"{TEMPORARY}*"):
        os.utime(path, (1, 1))
    finish(case.new, folder)
    faults = [f"left behind: {p.name}" for p in folder.rglob(f"{TEMPORARY}*")]
    if case.name != "onhand" and (found := tree(folder / case.out)) != new:
        differ = sorted({n for n, _ in set(found.items()) ^ set(new.items())})
        faults.append(f"the next run made something else: {', '.join(differ)}")
    return faults


TALLY: Counter[tuple[str, str]] = Counter()


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    random.seed(7)
    bad = 0
    with tempfile.TemporaryDirectory() as name:
        for case in CASES:
            ready, later = Path(name) / case.name, Path(name) / f"{case.name}-new"
            ready.mkdir()
            inputs(ready)
            finish(["onhand", "cloths", "--note", "c", "--say", "washed"], ready)
            finish(case.old, ready)
            shutil.copytree(ready, later)
            old = tree(ready / case.out)
            taken = finish(case.new, later)
            new = tree(later / case.out)
            for k in range(count // len(CASES)):
                faults = once(case, ready, old, new, random.uniform(0, taken * 1.05), k % 3 > 0)
                bad += bool(faults)
                for fault in faults:
                    print(f"{case.name}: {fault}", flush=True)
            words = ", ".join(f"{w} {n}" for (c, w), n in sorted(TALLY.items()) if c == case.name)
            print(
                f"{case.name}: {count // len(CASES)} kills within {taken:.1f} s: {words}",
                flush=True,
            )
    print(f"{bad} faults")
    return bool(bad)


if __name__ == "__main__":
    sys.exit(main())
