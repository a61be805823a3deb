"""Rows of a damaged index: asked of SQLite from both ends, then looked for page by page, then
anywhere in the file.

The layout of pages and records is that of SQLite's published file format (version 3).
"""

import contextlib
import re
import struct
from collections.abc import Iterator
from pathlib import Path

from quiltgeom.onhand.content import SQL_ERRORS
from quiltgeom.onhand.schema import connect_to_read

COLUMNS = tuple(
    "id path present size mtime_ns digest status reason said_width picture_width corrections name "
    "width_on_hand length_on_hand notes stated reader features".split()
)
"""Of the table of swatches, in the order in which versions 1 and 2 store them."""

Row = dict[str, object]
"""A swatch's cells, by column."""


def salvage(path: Path) -> list[Row]:
    """All rows of swatches that can be read, in the order of their numbers; cells unchecked.

    Args:
        path: a file that nobody writes to; it may be anything.
    """
    data = path.read_bytes()
    rows: dict[int, Row] = {}
    for found in (_anywhere(data), _by_pages(data), _by_sql(path)):  # the surest has the last word
        for row in found:
            key = row["id"]
            if isinstance(key, int):
                rows[key] = dict.fromkeys(COLUMNS) | rows.get(key, {}) | row
    return [rows[k] for k in sorted(rows)]


def _text(data: bytes) -> str:
    return data.decode("utf-8", "replace")


def _by_sql(path: Path) -> Iterator[Row]:
    for order in ("ASC", "DESC"):
        with contextlib.suppress(*SQL_ERRORS), contextlib.closing(connect_to_read(path)) as db:
            db.text_factory = _text
            there = {r[1] for r in db.execute("PRAGMA table_info(swatch)")}
            columns = [c for c in COLUMNS if c in there]
            sql = f"SELECT {', '.join(columns)} FROM swatch ORDER BY id {order}"
            for row in db.execute(sql):
                yield {"id": None} | dict(zip(columns, row, strict=True))
            return  # all of them, without meeting any damage


_LEAF = 0x0D
"""First byte of a page that holds rows of a table."""


def _page_size(data: bytes) -> tuple[int, int]:
    """Bytes of a page, and how many of them are in use."""
    size = int.from_bytes(data[16:18], "big")
    size = 65536 if size == 1 else size
    reserved = data[20] if len(data) > 20 else 0
    if not data.startswith(b"SQLite format 3\0") or size < 512 or size & (size - 1):
        size, reserved = 4096, 0  # as SQLite makes them unless told otherwise
    return size, size - reserved


_RECORD = re.compile(rb"[\x13-\x25]\x00")
"""How a record of swatches begins: the size of its head, the place of ``id``, which is empty."""


def _anywhere(data: bytes) -> Iterator[Row]:
    """Rows on pages that no longer know them; a row may be an earlier state of itself."""
    size, usable = _page_size(data)
    for found in _RECORD.finditer(data):
        for before in range(2, 8):  # bytes of its length and its number
            with contextlib.suppress(IndexError, ValueError):
                if _record_at(data, found.start() - before) == found.start():
                    yield _cell(data, found.start() - before, size, usable)
                    break


def _record_at(data: bytes, at: int) -> int:
    if at < 0:
        raise ValueError("before the file")
    return _varint(data, _varint(data, at)[1])[1]


def _by_pages(data: bytes) -> Iterator[Row]:
    size, usable = _page_size(data)
    for start in range(0, len(data), size):
        head = start + (100 if start == 0 else 0)
        if data[head : head + 1] != bytes([_LEAF]):
            continue
        count = int.from_bytes(data[head + 3 : head + 5], "big")
        for k in range(min(count, size // 4)):
            at = head + 8 + 2 * k
            place = start + int.from_bytes(data[at : at + 2], "big")
            with contextlib.suppress(IndexError, ValueError):
                yield _cell(data, place, size, usable)


def _cell(data: bytes, at: int, size: int, usable: int) -> Row:
    """A row from the place where it begins.

    Raises:
        ValueError, IndexError: there is no row of swatches.
    """
    length, at = _varint(data, at)
    key, at = _varint(data, at)
    if not 0 < length <= len(data):
        raise ValueError("no such length")
    payload = _payload(data, at, length, size, usable)
    head, at = _varint(payload, 0)
    kinds = []
    while at < head:
        kind, at = _varint(payload, at)
        kinds.append(kind)
    if len(kinds) != len(COLUMNS) or kinds[1] < 13 or head + sum(map(_width, kinds)) != length:
        raise ValueError("another table's row, or damaged")
    row: Row = {}
    for column, kind in zip(COLUMNS, kinds, strict=True):
        row[column] = _value(kind, payload[at : at + _width(kind)])
        at += _width(kind)
    return row | {"id": key}


def _payload(data: bytes, at: int, length: int, size: int, usable: int) -> bytes:
    """A row's bytes: what does not fit on its page goes on in a chain of other pages."""
    here = length
    if length > usable - 35:
        least = (usable - 12) * 32 // 255 - 23
        here = least + (length - least) % (usable - 4)
        here = here if here <= usable - 35 else least
    found = data[at : at + here]
    page = int.from_bytes(data[at + here : at + here + 4], "big")
    while len(found) < length and page:
        start = (page - 1) * size
        part = data[start + 4 : start + usable]
        if not part:
            break
        found += part[: length - len(found)]
        page = int.from_bytes(data[start : start + 4], "big")
    if len(found) != length:
        raise ValueError("the rest is lost")
    return found


def _varint(data: bytes, at: int) -> tuple[int, int]:
    value = 0
    for k in range(9):
        byte = data[at + k]
        if k == 8:
            return value << 8 | byte, at + 9
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            break
    return value, at + k + 1


def _width(kind: int) -> int:
    """Bytes of a value, by its kind."""
    if kind in (10, 11):
        raise ValueError("no such kind")
    return (kind - 12) // 2 if kind >= 12 else (0, 1, 2, 3, 4, 6, 8, 8, 0, 0)[kind]


def _value(kind: int, data: bytes) -> object:
    if kind == 0:
        return None
    if kind in (8, 9):
        return kind - 8
    if kind < 7:
        return int.from_bytes(data, "big", signed=True)
    if kind == 7:
        return struct.unpack(">d", data)[0]
    return _text(data) if kind % 2 else data
