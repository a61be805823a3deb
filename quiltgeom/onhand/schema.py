"""The index as an SQLite file: its tables, and opening them safely."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from quiltgeom.errors import QuiltFileError

__all__ = ["APPLICATION_ID", "connect"]

APPLICATION_ID = 0x51474F48  # "QGOH": tells an index from any other SQLite file
_VERSION = 1

_TABLES = """
CREATE TABLE swatch (
  id INTEGER PRIMARY KEY,
  path TEXT NOT NULL,                 -- from the index's folder, with forward slashes
  present INTEGER NOT NULL,           -- 0: the file is not there any more
  size INTEGER NOT NULL,
  mtime_ns INTEGER NOT NULL,          -- -1: look at the bytes again next time
  digest TEXT NOT NULL,               -- SHA-256 of the file's bytes
  status TEXT NOT NULL,               -- waiting, read, unreadable
  reason TEXT NOT NULL DEFAULT '',    -- why it is unreadable
  said_width REAL,                    -- real width of the picture by its owner's word, inches
  picture_width REAL,                 -- the width it is read with; NULL: the file's density
  corrections TEXT NOT NULL DEFAULT '{}',  -- the user's word on the print, JSON
  name TEXT,                          -- user-entered, as are the next three
  width_on_hand REAL,                 -- inches
  length_on_hand REAL,                -- inches
  notes TEXT NOT NULL DEFAULT '',
  stated TEXT NOT NULL DEFAULT '',    -- which of them a side file states, with commas
  reader TEXT NOT NULL DEFAULT '',    -- which version of the reading code
  features BLOB
);
CREATE UNIQUE INDEX swatch_path ON swatch(path) WHERE present;
CREATE INDEX swatch_digest ON swatch(digest);
CREATE TABLE reading (
  swatch INTEGER PRIMARY KEY REFERENCES swatch(id) ON DELETE CASCADE,
  json TEXT NOT NULL
);
"""


def connect(path: Path, *, create: bool) -> sqlite3.Connection:
    """Open an index file; make it if asked.

    The journal is SQLite's ordinary one with full syncing, not a write-ahead log: that works on a
    shop's network drive, too, and one small transaction per swatch costs little beside reading it.

    Raises:
        QuiltFileError: missing (unless ``create``), not an index, of a later version, or damaged.
    """
    if not path.exists() and not create:
        raise QuiltFileError(
            f"index {path}: found no such file; accepted: an index made by 'quiltgeom onhand "
            "FOLDER'"
        )
    if create and not path.parent.is_dir():
        raise QuiltFileError(f"index {path}: found no folder {path.parent}; accepted: one")
    try:
        db = sqlite3.connect(path, timeout=60.0, isolation_level=None)
    except sqlite3.Error as e:
        raise QuiltFileError(f"index {path}: cannot be opened ({e})") from e
    try:
        _prepare(db, path)
    except sqlite3.Error as e:
        db.close()
        raise QuiltFileError(
            f"index {path}: found no usable index ({e}); accepted: a file made by 'quiltgeom "
            "onhand FOLDER'"
        ) from e
    except QuiltFileError:
        db.close()
        raise
    return db


def _prepare(db: sqlite3.Connection, path: Path) -> None:
    db.execute("PRAGMA foreign_keys = ON")
    db.execute("PRAGMA synchronous = FULL")
    version = db.execute("PRAGMA user_version").fetchone()[0]
    if version == 0:
        _create(db, path)
        return
    if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise QuiltFileError(f"index {path}: found another program's file; accepted: our index")
    if version > _VERSION:
        raise QuiltFileError(
            f"index {path}: found version {version}, made by a later quiltgeom; accepted: up to "
            f"{_VERSION}"
        )


def _create(db: sqlite3.Connection, path: Path) -> None:
    db.execute("BEGIN IMMEDIATE")  # two programs may find the file empty at once
    try:
        if db.execute("PRAGMA user_version").fetchone()[0] == 0:
            if db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                raise QuiltFileError(
                    f"index {path}: found another program's file; accepted: our index"
                )
            for statement in _TABLES.split(";\n"):
                if statement.strip():
                    db.execute(statement)
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            db.execute(f"PRAGMA user_version = {_VERSION}")
        db.execute("COMMIT")
    except BaseException:
        db.execute("ROLLBACK")
        raise
