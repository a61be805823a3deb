"""Taking care of an index: a safe copy of it, and a new one made of a damaged one."""

import contextlib
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from quiltgeom.errors import QuiltFileError
from quiltgeom.files import write_whole
from quiltgeom.onhand.content import SQL_ERRORS, cell_fault, damaged, trouble
from quiltgeom.onhand.index import SAID, OnHand, index_path, open_index
from quiltgeom.onhand.repair.check import check_index, raise_unless_damage
from quiltgeom.onhand.repair.salvage import Row, salvage
from quiltgeom.onhand.scan import PICTURES
from quiltgeom.onhand.schema import copy_database, free_beside, must_be_ordinary

_BESIDE = ("-journal", "-wal", "-shm")
"""What SQLite may keep beside a database."""


def may_write(index: Path, target: Path, *, force: bool) -> None:
    """Refuse a file that stands there already (unless ``force``), and the index itself in any case.

    Raises:
        QuiltFileError: so it is.
    """
    own = [os.path.realpath(f"{index}{ending}") for ending in ("", *_BESIDE)]
    same = os.path.exists(target) and os.path.exists(index) and os.path.samefile(target, index)
    if same or os.path.realpath(target) in own:
        raise QuiltFileError(f"output {target}: found the index itself; accepted: another file")
    if os.path.isdir(target):
        raise QuiltFileError(f"output {target}: found a folder; accepted: a file")
    if os.path.lexists(target) and not force:
        raise QuiltFileError(
            f"output {target}: found a file of that name; accepted: a new one, or force=True"
        )


def backup_index(place: str | Path, target: str | Path, *, force: bool = False) -> Path:
    """Copy an index, whole or not at all; others may be reading and writing to it meanwhile.

    Args:
        force: a file of that name may be replaced (never the index itself).

    Raises:
        QuiltFileError: there is no index, a damaged one, or the copy cannot be written.
    """
    path, target = index_path(place), Path(target)
    with open_index(path) as index:
        may_write(path, target, force=force)
        try:
            faults = [r[0] for r in index.rows("PRAGMA quick_check(1)") if r[0] != "ok"]
            if faults:
                raise damaged(path, faults[0])
            copy_database(path, target)
        except SQL_ERRORS as e:
            raise trouble(path, e) from e
    return target


@dataclass
class Repair:
    """What a repair did.

    Attributes:
        copy: of the file as it was; None: the index was whole, and nothing was done.
        swatches: known to the new index; their pictures are read again by the next run.
        noted: (path, its words): swatches of which their owner had said something, all saved.
        lost: what could not be read, in words.
    """

    index: Path
    copy: Path | None = None
    faults: list[str] = field(default_factory=list)
    swatches: int = 0
    noted: list[tuple[str, str]] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)


def repair_index(place: str | Path) -> Repair:
    """Make a new index of a damaged one; nothing is done to one that is whole.

    The file is copied first, under a free name beside it. Then whatever can be read of it is put
    into a new index, which takes its place at once: the owner's words (name, amounts, notes,
    picture width), by path and digest. Pictures are read again by the next run. A file that is no
    database at all is set aside in the same way.

    Raises:
        QuiltFileError: there is none; it is another program's or a later quiltgeom's; another
            program is writing to it; it cannot be copied or replaced.
    """
    path = Path(os.path.realpath(index_path(place)))
    if path.suffix.lower() in PICTURES:  # not to set somebody's photo aside
        raise QuiltFileError(f"index {path}: found a picture's name; accepted: an index")
    checked = check_index(path)
    done = Repair(path, faults=[str(f) for f in checked.findings])
    if not checked.findings:
        done.swatches = checked.swatches
        return done
    with contextlib.ExitStack() as stack:
        lock = stack.enter_context(_locked(path))
        done.copy = _copy_as_it_is(path, lock)
        beside = tempfile.TemporaryDirectory(prefix=".quiltgeom-", dir=path.parent)
        fresh = Path(stack.enter_context(beside)) / "index"
        with open_index(fresh, create=True) as index:
            _fill(index, salvage(done.copy), done)
        try:
            shutil.copymode(path, fresh)
            for ending in _BESIDE:  # they belong to the old file, and would be undone into the new
                Path(f"{path}{ending}").unlink(missing_ok=True)
            os.replace(fresh, path)
        except OSError as e:
            raise QuiltFileError(f"index {path}: cannot be replaced ({e.strerror})") from e
    return done


@contextlib.contextmanager
def _locked(path: Path) -> Iterator[sqlite3.Connection | None]:
    """Nobody else writes meanwhile. None: it is no database that anybody could write to."""
    try:
        db = sqlite3.connect(path, timeout=20.0, isolation_level=None)
    except SQL_ERRORS as e:
        raise trouble(path, e) from e
    with contextlib.closing(db):
        held: sqlite3.Connection | None = db
        try:
            db.execute("BEGIN IMMEDIATE")
        except SQL_ERRORS as e:
            raise_unless_damage(path, e)
            held = None
        yield held


def _copy_as_it_is(path: Path, lock: sqlite3.Connection | None) -> Path:
    must_be_ordinary(path)
    target = free_beside(path, "damaged")
    if lock is not None:
        try:
            copy_database(path, target)
            return target
        except SQL_ERRORS:  # too damaged for that
            lock.close()  # or closing the file below would end its lock without its knowledge
    try:
        for ending in ("", *_BESIDE):
            if os.path.exists(f"{path}{ending}"):
                write_whole(f"{target}{ending}", Path(f"{path}{ending}").read_bytes())
    except OSError as e:
        raise QuiltFileError(f"index {path}: cannot be copied to {target} ({e})") from e
    return target


_KEPT = ("id", "path", "digest", "picture_width", *SAID, "stated")
_INSTEAD = {"notes": "", "stated": ""}


def _fill(index: OnHand, rows: list[Row], done: Repair) -> None:
    """Put saved rows into a new index, all as gone: the next run finds their files again."""
    places: set[tuple[object, object]] = set()
    with index.transaction() as db:
        for cells in rows:
            where = cells["path"] if isinstance(cells["path"], str) else f"swatch {cells['id']}"
            kept = {c: _sound(c, cells[c], f"{where}", done) for c in _KEPT}
            said = any(kept[w] not in (None, "") for w in SAID)
            if kept["path"] is None and not said:
                continue
            kept["path"] = kept["path"] or f"lost-name-{kept['id']}"
            kept["digest"] = kept["digest"] or f"lost {kept['id']}"
            if (kept["path"], kept["digest"]) in places:
                kept["digest"] = f"again {kept['id']}"
            places.add((kept["path"], kept["digest"]))
            db.execute(
                f"INSERT INTO swatch ({', '.join(_KEPT)}, present, size, mtime_ns, status) VALUES "
                f"({', '.join('?' * len(_KEPT))}, 0, 0, -1, 'waiting')",
                list(kept.values()),
            )
            done.swatches += 1
            if said:
                words = "; ".join(str(kept[w]) for w in ("name", "notes") if kept[w])
                done.noted.append((str(kept["path"]), words))


def _sound(column: str, value: object, where: str, done: Repair) -> object:
    fault = cell_fault(column, value)
    if fault:
        if column in SAID:
            done.lost.append(f"{where}: {fault}")
        return _INSTEAD.get(column)
    if isinstance(value, str) and "\ufffd" in value:
        done.lost.append(f"{where}: {column}: some of its letters")
    return value
