"""Checking an index without writing to it: SQLite's own checks, then ours."""

import contextlib
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from quiltgeom.errors import Finding, QuiltFileError
from quiltgeom.onhand.content import SQL_ERRORS, cell_fault, corrections_of, reading_of, trouble
from quiltgeom.onhand.features import FEATURES
from quiltgeom.onhand.index import index_path
from quiltgeom.onhand.migrations import VERSION
from quiltgeom.onhand.repair.salvage import COLUMNS
from quiltgeom.onhand.schema import connect_to_read, differences, kind_of, migrate, must_be_ordinary

_MOST = 200
"""Findings after which a check says no more."""


@dataclass(frozen=True)
class IndexCheck:
    """What a check of an index found.

    Attributes:
        version: of its tables; None where it cannot be read.
        swatches: rows that could be counted.
        findings: all that is wrong with it (the first 200).
    """

    index: Path
    version: int | None
    swatches: int
    findings: tuple[Finding, ...]

    def to_json(self) -> dict[str, Any]:
        """The check as plain data."""
        return {
            "index": str(self.index),
            "version": self.version,
            "swatches": self.swatches,
            "findings": [
                {"where": f.where, "rule": f.rule, "found": f.found, "accepted": f.accepted}
                for f in self.findings
            ],
        }


def check_index(place: str | Path) -> IndexCheck:
    """Check the index of a folder (or an index file); it is opened for reading alone.

    Checked are SQLite's integrity and foreign keys, the tables, every cell, one row for each file
    that is there and one for each file's bytes, that every swatch that counts as read has a reading
    with features that agree with it. One of an earlier version is checked as it will be when it
    has been brought up to date, in memory.

    Raises:
        QuiltFileError: there is none, it cannot be opened, another program is writing to it; it is
            another program's, or a later quiltgeom's.

    >>> from quiltgeom.onhand.index import open_index
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     open_index(folder, create=True).close()
    ...     check_index(folder).findings
    ()
    """
    path = index_path(place)
    must_be_ordinary(path)
    try:
        with (
            _reader(path) as db,
            contextlib.closing(sqlite3.connect(":memory:", isolation_level=None)) as memory,
        ):
            return _check(db, memory, path)
    except SQL_ERRORS as e:
        raise_unless_damage(path, e)
        return IndexCheck(path, None, 0, (_finding(path, "an SQLite database", str(e)),))


def _check(db: sqlite3.Connection, memory: sqlite3.Connection, path: Path) -> IndexCheck:
    kind = kind_of(db)
    if kind in ("foreign", "later"):
        whose = "another program's" if kind == "foreign" else "a later quiltgeom's"
        raise QuiltFileError(f"index {path}: found {whose} file; accepted: our index")
    version = db.execute("PRAGMA user_version").fetchone()[0]
    if kind == "empty":
        return IndexCheck(path, version, 0, ())
    found: list[Finding] = []
    if kind == "odd":
        found.append(_finding(path, "its version", f"{version}", f"1 to {VERSION}, and our mark"))

    def look(part: Callable[[sqlite3.Connection], Iterator[tuple[str, str, str]]]) -> None:
        try:
            for where, rule, what in part(db):
                if len(found) < _MOST:
                    found.append(_finding(path, rule, what, where=where))
        except SQL_ERRORS as e:
            raise_unless_damage(path, e)
            found.append(_finding(path, "can be read", str(e)))

    with path.open("rb") as file:
        head = file.read(20)
    if not {*head[18:20]} <= {1, 2}:
        found.append(_finding(path, "version of the file's format", f"{[*head[18:20]]}", "1 or 2"))
    look(_integrity)
    if kind == "earlier" and not found:
        db.backup(memory)
        db = memory
        look(_migrated)
    db.text_factory = _text
    for part in (_tables, _cells, _rows, _readings):
        look(part)
    return IndexCheck(path, version, _count(db), tuple(found))


@contextlib.contextmanager
def _reader(path: Path) -> Iterator[sqlite3.Connection]:
    """The database, for reading alone. After a run that was killed, what it left unfinished has
    to be undone before anything can be read: that is done to a copy."""
    with contextlib.ExitStack() as stack:
        db = stack.enter_context(contextlib.closing(connect_to_read(path)))
        try:
            db.execute("SELECT count(*) FROM sqlite_master").fetchall()
        except sqlite3.OperationalError as e:
            if getattr(e, "sqlite_errorname", "") != "SQLITE_READONLY_ROLLBACK":
                raise
            copy = Path(stack.enter_context(tempfile.TemporaryDirectory())) / "index"
            for ending in ("", "-journal"):
                shutil.copyfile(f"{path}{ending}", f"{copy}{ending}")
            db = stack.enter_context(contextlib.closing(sqlite3.connect(copy)))
        yield db


def raise_unless_damage(path: Path, error: Exception) -> None:
    """Raise what stands in the way of an index, such as another writer; damage may be looked at.

    Raises:
        QuiltFileError: it is no damage.
    """
    ours = trouble(path, error)
    if "--repair" not in str(ours):
        raise ours from error


def _finding(path: Path, rule: str, found: str, accepted: str = "", where: str = "") -> Finding:
    return Finding(f"index {path.name}{': ' if where else ''}{where}", rule, found, accepted)


def _text(data: bytes) -> object:
    """Text; bytes where it is none, which no cell of text accepts."""
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data


_Found = Iterator[tuple[str, str, str]]
"""Where, the rule that is broken, what was found."""


def _integrity(db: sqlite3.Connection) -> _Found:
    for (line,) in db.execute("PRAGMA integrity_check(100)"):
        if line != "ok":
            yield "", "SQLite's integrity", line
    for table, row, parent, _ in db.execute("PRAGMA foreign_key_check"):
        yield f"{table} {row}", "belongs to a row", f"no such row of {parent}"


def _migrated(db: sqlite3.Connection) -> _Found:
    migrate(db, None)
    yield from ()


def _tables(db: sqlite3.Connection) -> _Found:
    for difference in differences(db):
        yield "", "our tables", difference


_CELLS = {"swatch": COLUMNS, "reading": ("swatch", "json"), "skipped": ("path", "reason")}


def _cells(db: sqlite3.Connection) -> _Found:
    for table, columns in _CELLS.items():
        for row in db.execute(f"SELECT {', '.join(columns)} FROM {table}"):
            for column, value in zip(columns, row, strict=True):
                fault = cell_fault(column, value)
                if fault:
                    yield f"{table} {row[0]!r}", "every cell", fault


def _rows(db: sqlite3.Connection) -> _Found:
    once = "GROUP BY {} HAVING count(*) > 1"
    for path, count in db.execute(
        "SELECT path, count(*) FROM swatch WHERE present " + once.format("path")
    ):
        yield str(path), "one row for each file", f"{count}"
    for path, _, count in db.execute(
        "SELECT path, digest, count(*) FROM swatch " + once.format("path, digest")
    ):
        yield str(path), "one row for a file's bytes", f"{count}"
    for key, text in db.execute("SELECT id, corrections FROM swatch"):
        try:
            corrections_of(str(text))
        except ValueError as e:
            yield f"swatch {key}", "corrections", str(e).removeprefix("found ")
    lone = "SELECT id FROM swatch WHERE status = 'read' AND id NOT IN (SELECT swatch FROM reading)"
    for (key,) in db.execute(lone):
        yield f"swatch {key}", "read, so it has a reading", "none"


def _readings(db: sqlite3.Connection) -> _Found:
    for key, text, stored in db.execute(
        "SELECT s.id, r.json, s.features FROM swatch s JOIN reading r ON r.swatch = s.id "
        "WHERE s.status = 'read' ORDER BY s.id"
    ):
        try:
            data = reading_of(text if isinstance(text, str) else "")
        except ValueError as e:
            yield f"swatch {key}", "its reading", str(e).removeprefix("found ")
            continue
        if not isinstance(stored, bytes) or len(stored) != FEATURES.itemsize:
            yield f"swatch {key}", "features", f"not {FEATURES.itemsize} bytes"
            continue
        row = np.frombuffer(stored, dtype=FEATURES)[0]
        plain = [row["loudness"], row["width"], row["value"]]
        if not np.allclose(
            plain,
            [data["loudness"], data["width_in"], data["value"]["munsell"]],
            rtol=1e-4,
            atol=1e-4,
        ):
            yield f"swatch {key}", "features agree with the reading", f"{[float(v) for v in plain]}"


def _count(db: sqlite3.Connection) -> int:
    with contextlib.suppress(*SQL_ERRORS):
        return int(db.execute("SELECT count(*) FROM swatch").fetchone()[0])
    return 0
