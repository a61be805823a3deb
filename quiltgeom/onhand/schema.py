"""The index as an SQLite file: opening it safely, making it, bringing it up to date."""

import contextlib
import os
import sqlite3
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from urllib.parse import quote

from quiltgeom.errors import QuiltFileError
from quiltgeom.files import free_name, put_in_place
from quiltgeom.onhand.content import SQL_ERRORS, damaged, trouble
from quiltgeom.onhand.migrations import MIGRATIONS, VERSION

APPLICATION_ID = 0x51474F48  # "QGOH": tells an index from any other SQLite file

_LAST_PLAUSIBLE = 1000
"""A higher version is a damaged number, not a later program's."""


def connect(path: Path, *, create: bool) -> sqlite3.Connection:
    """Open an index file; make it if asked; bring one of an earlier version up to date.

    The journal is SQLite's ordinary one with full syncing, not a write-ahead log: that works on a
    shop's network drive, too, and one small transaction per swatch costs little beside reading it.

    Raises:
        QuiltFileError: missing (unless ``create``), not an index, of a later version, or damaged.
    """
    if not (create and not os.path.lexists(path)):
        must_be_ordinary(path)
    elif not os.path.isdir(path.parent):
        raise QuiltFileError(f"index {path}: found no folder {path.parent}; accepted: one")
    try:
        db = sqlite3.connect(path, timeout=60.0, isolation_level=None)
    except SQL_ERRORS as e:
        raise trouble(path, e) from e
    try:
        _prepare(db, path)
    except SQL_ERRORS as e:
        db.close()
        raise trouble(path, e) from e
    except BaseException:
        db.close()
        raise
    return db


def must_be_ordinary(path: Path) -> None:
    """Refuse what is not there, and what is no ordinary file (opening a pipe may wait for ever).

    Raises:
        QuiltFileError: so it is.
    """
    if os.path.isfile(path):
        return
    found = "no ordinary file" if os.path.lexists(path) else "no such file"
    raise QuiltFileError(
        f"index {path}: found {found}; accepted: an index made by 'quiltgeom onhand FOLDER'"
    )


def connect_to_read(path: Path) -> sqlite3.Connection:
    """A connection that cannot write, to whatever is there; nothing has been looked at yet.

    Raises:
        sqlite3.Error: as SQLite says.
    """
    where = quote(os.fsencode(os.path.abspath(path)))
    return sqlite3.connect(f"file:{where}?mode=ro", timeout=60.0, isolation_level=None, uri=True)


def _prepare(db: sqlite3.Connection, path: Path) -> None:
    db.execute("PRAGMA synchronous = FULL")
    db.execute("PRAGMA foreign_keys = OFF")  # until the tables are what they should be
    kind = kind_of(db)
    if kind in ("empty", "earlier"):
        migrate(db, path)
        kind = kind_of(db)
    if kind == "foreign":
        raise QuiltFileError(f"index {path}: found another program's file; accepted: our index")
    if kind == "later":
        raise QuiltFileError(
            f"index {path}: found version {_version(db)}, made by a later quiltgeom; accepted: up "
            f"to {VERSION}"
        )
    wrong = ["its version, or the mark of our files"] if kind == "odd" else differences(db)
    if wrong:
        raise damaged(path, wrong[0])
    db.execute("PRAGMA foreign_keys = ON")


Kind = str
"""``empty``, ``ours``, ``earlier`` (an earlier version of ours), ``later``, ``odd`` (ours, but its
numbers lie), ``foreign`` (another program's)."""


def kind_of(db: sqlite3.Connection) -> Kind:
    """Whose database this is, by its numbers and the names of its tables.

    Raises:
        sqlite3.Error: it is none, or damaged.
    """
    tables = {r[0] for r in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    version = _version(db)
    marked = db.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
    if not tables and not marked and version == 0:
        return "empty"
    if not marked:
        return "odd" if {"swatch", "reading"} <= tables else "foreign"
    if not 0 < version <= _LAST_PLAUSIBLE:
        return "odd"
    return "ours" if version == VERSION else "later" if version > VERSION else "earlier"


def _version(db: sqlite3.Connection) -> int:
    return int(db.execute("PRAGMA user_version").fetchone()[0])


def differences(db: sqlite3.Connection) -> list[str]:
    """What of our tables and indices is missing or made otherwise."""
    found = _made(db)
    return [
        f"{name}: {'made otherwise' if name in found else 'not there'}"
        for name, sql in _as_made().items()
        if found.get(name) != sql
    ]


def _made(db: sqlite3.Connection) -> dict[str, str]:
    rows = db.execute("SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {f"{kind} {name}": sql for kind, name, sql in rows.fetchall()}


@cache
def _as_made() -> dict[str, str]:
    db = sqlite3.connect(":memory:", isolation_level=None)
    with contextlib.closing(db):
        migrate(db, None)
        return _made(db)


@contextlib.contextmanager
def writing(db: sqlite3.Connection) -> Iterator[None]:
    """A transaction that writes: all or nothing; a second writer waits up to a minute."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:  # SQLite may have taken everything back itself
            db.execute("ROLLBACK")
        raise


def migrate(db: sqlite3.Connection, path: Path | None) -> None:
    """Make the tables in an empty database, or bring an earlier version up to date.

    Each version is one transaction, and who comes second finds it done. An earlier version is
    first copied beside the file (not with ``path`` None), as ``on-hand.sqlite.version-1``.
    """
    kept = path is None
    while True:
        with writing(db):  # two programs may find it empty, or of an earlier version, at once
            version = _version(db)
            if kind_of(db) not in ("empty", "earlier"):
                return
            if version and path is not None and not kept:
                copy_database(path, free_beside(path, f"version-{version}"))
                kept = True
            last = VERSION if version == 0 else version + 1
            for step in MIGRATIONS[version:last]:
                step(db)
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            db.execute(f"PRAGMA user_version = {last}")


def free_beside(path: Path, word: str) -> Path:
    """A free name beside a file: ``on-hand.sqlite.WORD``, or with a number.

    Raises:
        QuiltFileError: the folder cannot be listed.
    """
    try:
        taken = os.listdir(path.parent)
    except OSError as e:
        raise QuiltFileError(f"index {path}: its folder cannot be read ({e.strerror})") from e
    return path.with_name(free_name(f"{path.name}.{word}", taken))


def copy_database(path: Path, target: Path) -> None:
    """A consistent copy of a database that others may be writing to, whole or not at all.

    Raises:
        QuiltFileError: the copy cannot be written.
        sqlite3.Error: the database cannot be read.
    """
    with put_in_place(target) as temporary, contextlib.closing(connect_to_read(path)) as source:
        source.execute("BEGIN")  # waits for a writer, but not for ever
        source.execute("SELECT count(*) FROM sqlite_master").fetchall()
        try:
            with contextlib.closing(sqlite3.connect(temporary)) as copy:
                source.backup(copy)
        except sqlite3.OperationalError as e:  # no room, or the place has gone
            raise QuiltFileError(f"output {target}: cannot be written ({e})") from e
        finally:
            Path(f"{temporary}-journal").unlink(missing_ok=True)
