"""The tables of the index, version by version: each step turns one version into the next."""

import sqlite3
from collections.abc import Callable

_VERSION_1 = """
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

_VERSION_2 = """
CREATE TABLE new_swatch (
  id INTEGER PRIMARY KEY,
  path TEXT NOT NULL CHECK (path <> ''),  -- from the index's folder, with forward slashes
  present INTEGER NOT NULL CHECK (present IN (0, 1)),  -- 0: the file is not there any more
  size INTEGER NOT NULL,
  mtime_ns INTEGER NOT NULL,          -- -1: look at the bytes again next time
  digest TEXT NOT NULL CHECK (digest <> ''),  -- SHA-256 of the file's bytes
  status TEXT NOT NULL CHECK (status IN ('waiting', 'read', 'unreadable')),
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
INSERT INTO new_swatch SELECT * FROM swatch;
DROP TABLE swatch;
ALTER TABLE new_swatch RENAME TO swatch;
CREATE UNIQUE INDEX swatch_path ON swatch(path) WHERE present;
CREATE UNIQUE INDEX swatch_once ON swatch(path, digest);
CREATE INDEX swatch_digest ON swatch(digest);
CREATE TABLE skipped (                -- what could not be looked at, by the last run
  path TEXT PRIMARY KEY,              -- in a form that can be printed
  reason TEXT NOT NULL
);
"""


def run(db: sqlite3.Connection, statements: str) -> None:
    """Run statements one by one (``executescript`` would end the transaction)."""
    for statement in statements.split(";\n"):
        if statement.strip():
            db.execute(statement)


def _second(db: sqlite3.Connection) -> None:
    """No two rows for the same bytes at the same path: runs that began at once left such rows."""
    doubled = db.execute(
        "SELECT path, digest FROM swatch GROUP BY path, digest HAVING count(*) > 1"
    ).fetchall()
    for path, digest in doubled:
        _merge(db, path, digest)
    run(db, _VERSION_2)


_WORDS = ("said_width", "picture_width", "name", "width_on_hand", "length_on_hand")


def _merge(db: sqlite3.Connection, path: str, digest: str) -> None:
    """Keep the row of the file that is there; what was said of any of them is kept with it."""
    rows = db.execute(
        f"SELECT id, notes, {', '.join(_WORDS)} FROM swatch WHERE path = ? AND digest = ? "
        "ORDER BY present DESC, status = 'read' DESC, id",
        (path, digest),
    ).fetchall()
    keep, others = rows[0][0], [r[0] for r in rows[1:]]
    notes = "\n".join(dict.fromkeys(r[1] for r in rows if r[1]))
    said = [
        next((v for v in column if v is not None), None)
        for column in list(zip(*rows, strict=True))[2:]
    ]
    db.executemany("DELETE FROM reading WHERE swatch = ?", [(k,) for k in others])
    db.executemany("DELETE FROM swatch WHERE id = ?", [(k,) for k in others])
    db.execute(
        f"UPDATE swatch SET notes = ?, {', '.join(f'{w} = ?' for w in _WORDS)} WHERE id = ?",
        (notes, *said, keep),
    )


MIGRATIONS: tuple[Callable[[sqlite3.Connection], None], ...] = (
    lambda db: run(db, _VERSION_1),
    _second,
)
"""Number k turns version k into version k + 1; version 0 is an empty file. Each is run in a
transaction of its own, with foreign keys not enforced. Add to the end, change none."""

VERSION = len(MIGRATIONS)
