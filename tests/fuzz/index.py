"""Damaged index files (SQLite), opened and used as the commands do."""

from __future__ import annotations

import json
import sqlite3
from functools import cache
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any

from quiltgeom.onhand.features import features_of
from quiltgeom.onhand.index import INDEX_NAME, open_index
from tests.fuzz.mutate import damaged_bytes

__all__ = ["damaged_index", "use_index"]


@cache
def _whole() -> bytes:
    from tests.fuzz.texts import _reading

    reading = _reading().to_json()
    with TemporaryDirectory() as folder:
        path = Path(folder) / INDEX_NAME
        open_index(path, create=True).close()
        with sqlite3.connect(path) as db:
            for k, name in enumerate(("kelp", "ropes", "herons"), 1):
                db.execute(
                    "INSERT INTO swatch (id, path, present, size, mtime_ns, digest, status, name, "
                    "width_on_hand, features) VALUES (?, ?, 1, 9, 9, ?, 'read', ?, 40, ?)",
                    (k, f"{name}.jpg", f"{k:064x}", name.title(), features_of(reading).tobytes()),
                )
                db.execute("INSERT INTO reading VALUES (?, ?)", (k, json.dumps(reading)))
        db.close()
        return path.read_bytes()


_VALUES: list[Any] = [
    None,
    "",
    "x",
    "\0",
    -1,
    0,
    1e308,
    float("inf"),
    2**62,
    b"",
    b"\0" * 40,
    "[]",
    "{",
    "{}",
    '{"palette": []}',
    "NaN",
    "[" * 3000,
    "../../x",
]
_COLUMNS = [
    "id",
    "path",
    "present",
    "size",
    "digest",
    "status",
    "reason",
    "said_width",
    "picture_width",
    "corrections",
    "name",
    "width_on_hand",
    "length_on_hand",
    "notes",
    "stated",
    "reader",
    "features",
]


def damaged_index(r: Random) -> bytes:
    """Bytes of an index with wrong values in its tables, or with wrong bytes."""
    data = _whole()
    if r.random() < 0.5:
        return damaged_bytes(r, data, 0 if r.random() < 0.3 else 100)
    with TemporaryDirectory() as folder:
        path = Path(folder) / INDEX_NAME
        path.write_bytes(data)
        db = sqlite3.connect(path)
        for _ in range(r.randint(1, 3)):
            try:
                _wrong_value(r, db)
            except sqlite3.Error:
                continue
        db.commit()
        db.close()
        return path.read_bytes()


def _wrong_value(r: Random, db: sqlite3.Connection) -> None:
    value, key = r.choice(_VALUES), r.randint(1, 3)
    way = r.randint(0, 9)
    if way == 0:
        db.execute(f"DROP TABLE {r.choice(('swatch', 'reading'))}")
    elif way == 1:
        db.execute(f"PRAGMA user_version = {r.choice((0, 1, 2, 99, -1))}")
    elif way == 2:
        db.execute(f"ALTER TABLE swatch RENAME COLUMN {r.choice(_COLUMNS)} TO other")
    elif way <= 5:
        db.execute("UPDATE reading SET json = ? WHERE swatch = ?", (value, key))
    else:
        db.execute(f"UPDATE swatch SET {r.choice(_COLUMNS)} = ? WHERE id = ?", (value, key))


def use_index(data: bytes, folder: Path) -> bool:
    """Open, list, search, and write into an index."""
    for name in (f"{INDEX_NAME}-journal", f"{INDEX_NAME}-wal", f"{INDEX_NAME}-shm"):
        (folder / name).unlink(missing_ok=True)
    (folder / INDEX_NAME).write_bytes(data)
    with open_index(folder) as index:
        swatches = index.swatches(missing=True)
        index.shelf()
        json.dumps(index.to_json()).encode()
        for swatch in swatches:
            if swatch.status == "read":
                index.gist(swatch)
        if swatches:
            index.find(swatches[0].name)
            index.say(swatches[0], notes="soft")
    return True
