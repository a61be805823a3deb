"""An index of version 1, as text: its tables word for word as they were made, and a few rows."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

from quiltgeom.onhand.features import features_of
from quiltgeom.onhand.scan import digest_of
from tests.matching.shelves import made_up

TABLES = """
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
PRAGMA application_id = 1363627848;
PRAGMA user_version = 1;
"""

ROWS = """
INSERT INTO swatch (id, path, present, size, mtime_ns, digest, status, name, width_on_hand,
  length_on_hand, notes, said_width, picture_width, reader) VALUES
  (1, 'kelp.png', 1, 10, 5, 'd1', 'read', 'Kelp', 42, 54, 'washed', 8, 8, 'abc'),
  (2, 'gone.png', 0, 10, 5, 'd2', 'waiting', NULL, NULL, NULL, 'lent', NULL, NULL, ''),
  (3, 'bad.png', 1, 10, 5, 'd3', 'unreadable', NULL, NULL, NULL, '', NULL, 12, 'abc');
"""

PHANTOMS = """
INSERT INTO swatch (id, path, present, size, mtime_ns, digest, status, notes, length_on_hand)
VALUES
  (4, 'twice.png', 0, 10, 5, 'd4', 'waiting', 'said of a phantom', 7),
  (5, 'twice.png', 0, 10, 5, 'd4', 'waiting', '', NULL),
  (6, 'twice.png', 1, 10, 5, 'd4', 'waiting', 'said of the file', NULL);
"""


def write_version_1(path: Path, rows: str = ROWS) -> dict[str, object]:
    """Write it; the reading of swatch 1 (unless there are other rows)."""
    reading = made_up("#336699", ("#ffffff", 0.25), loudness=0.3)
    with closing(sqlite3.connect(path)) as db:
        db.executescript(TABLES + rows)
        if rows == ROWS:
            db.execute(
                "UPDATE swatch SET features = ? WHERE id = 1", (features_of(reading).tobytes(),)
            )
            db.execute("INSERT INTO reading VALUES (1, ?)", (json.dumps(reading),))
        db.commit()
    return reading


def digest(path: Path) -> str:
    return digest_of(path.read_bytes())
