"""The on-hand index: what swatches there are, what was read of them, what their owner says."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, Self

from quiltgeom.errors import QuiltFileError, QuiltKeyError, QuiltValueError
from quiltgeom.onhand.content import SQL_ERRORS, damaged, first_fault, reading_of, trouble
from quiltgeom.onhand.features import SOLID, Shelf, make_shelf
from quiltgeom.onhand.schema import connect, writing

INDEX_NAME = "on-hand.sqlite"
"""Name of the index file inside an indexed folder."""

Status = Literal["read", "unreadable", "waiting", "missing"]


@dataclass(frozen=True, slots=True)
class Swatch:
    """One swatch on hand. Lengths in inches.

    Attributes:
        id: its number in the index; stays the same when the file is moved or changed.
        name: what its owner calls it, else the file's name without ending.
        status: ``read``; ``unreadable`` (see ``reason``); ``waiting`` to be read; ``missing``: the
            file is gone, what its owner said of it is kept.
        picture_width: real width of the picture as stated; None: the file's density is taken.
        width_on_hand, length_on_hand: the cloth there is, if its owner said.
        digest: SHA-256 of the file.
    """

    id: int
    path: Path
    name: str
    status: Status
    reason: str
    picture_width: float | None
    width_on_hand: float | None
    length_on_hand: float | None
    notes: str
    digest: str

    def facts(self, file: str) -> dict[str, Any]:
        """As a program wants it; its file is called ``file``."""
        return {
            "name": self.name,
            "file": file,
            "status": self.status,
            "picture_width_in": self.picture_width,
            "width_on_hand_in": self.width_on_hand,
            "length_on_hand_in": self.length_on_hand,
            "notes": self.notes,
        }


def index_path(place: str | Path) -> Path:
    """The index file of a folder, or the file itself.

    >>> index_path("cloth.sqlite").name
    'cloth.sqlite'
    """
    place = Path(place)
    return place / INDEX_NAME if os.path.isdir(place) else place


def _identity(path: Path) -> tuple[int, int] | None:
    """Tells a file from another one under the same name."""
    with suppress(OSError):
        found = os.stat(path)
        return found.st_dev, found.st_ino
    return None


def open_index(place: str | Path, *, create: bool = False) -> OnHand:
    """Open the index of a folder (or an index file).

    Args:
        create: make an empty index if there is none.

    Raises:
        QuiltFileError: there is none, the file is no index, or a damaged one.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder, open_index(folder, create=True) as index:
    ...     len(index.swatches()), len(index.shelf())
    (0, 0)
    """
    path = index_path(place)
    return OnHand(path, connect(path, create=create))


SAID = ("said_width", "name", "width_on_hand", "length_on_hand", "notes")
"""Columns of what the owner of a swatch says of it."""

_COLUMNS = (
    "id, path, name, status, reason, picture_width, width_on_hand, length_on_hand, notes, "
    "digest, present"
)


class OnHand:
    """An open index; use it in a ``with`` statement. Damage in it ends in a QuiltFileError that
    names ``--repair``: all that is taken out is looked at by :meth:`rows` or :meth:`reading`."""

    def __init__(self, path: Path, db: sqlite3.Connection) -> None:
        self.path = path
        self.folder = Path(os.path.realpath(path.parent))
        self._db = db
        self._place = Path(os.path.abspath(path))
        self._file = _identity(self._place)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file. Everything said or read so far is already in it."""
        self._db.close()

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """All or nothing; a second writer waits up to a minute.

        Raises:
            QuiltFileError: it cannot be written, is damaged, or was replaced (by ``--repair``)
                since it was opened.
        """
        try:
            with writing(self._db):
                if _identity(self._place) != self._file:
                    raise QuiltFileError(
                        f"index {self.path}: found another file in its place since it was opened; "
                        "accepted: another try"
                    )
                yield self._db
        except SQL_ERRORS as e:
            raise trouble(self.path, e) from e

    def rows(self, sql: str, *values: object) -> list[tuple[Any, ...]]:
        """Rows of a query, for this layer's own modules; every cell is looked at.

        Raises:
            QuiltFileError: the index is damaged.
        """
        try:
            cursor = self._db.execute(sql, values)
            found = cursor.fetchall()
        except SQL_ERRORS as e:
            raise trouble(self.path, e) from e
        fault = first_fault([c[0] for c in cursor.description], found)
        if fault:
            raise damaged(self.path, fault)
        return found

    def absolute(self, stored: str) -> Path:
        """A stored path as an absolute one."""
        return Path(os.path.normpath(self.folder / stored))

    def swatches(self, *, missing: bool = False) -> list[Swatch]:
        """All swatches in the order of their paths; those whose file is gone only if asked."""
        where = "" if missing else "WHERE present"
        found = self.rows(f"SELECT {_COLUMNS} FROM swatch {where} ORDER BY path, id")
        return [self._swatch(r) for r in found]

    def _swatch(self, row: tuple[Any, ...]) -> Swatch:
        key, path, name, status, *rest, present = row
        where = self.absolute(path)
        return Swatch(key, where, name or where.stem, status if present else "missing", *rest)

    def find(self, name: str) -> Swatch:
        """The swatch of that name, file name, or path (as given, or from the index's folder).

        Raises:
            QuiltKeyError: none, or more than one.
        """
        everything = self.swatches(missing=True)
        paths = () if "\0" in name else (Path(os.path.realpath(name)), self.absolute(name))
        by_path = [s for s in everything if s.path in paths]
        found = (
            [s for s in by_path if s.status != "missing"]
            or by_path
            or [s for s in everything if name in (s.name, s.path.name, s.path.stem)]
        )
        if len(found) == 1:
            return found[0]
        what = f"{len(found)} swatches" if found else "no swatch"
        how = ", ".join(str(s.path) for s in found[:4]) or "a name or a path from the list"
        raise QuiltKeyError(f"index {self.path}: found {what} called {name!r}; accepted: {how}")

    def reading(self, swatch: Swatch | int) -> dict[str, Any]:
        """What was read of a swatch, in the JSON form of a reading.

        Raises:
            QuiltKeyError: it has not been read.
            QuiltFileError: the reading is damaged.
        """
        key = swatch.id if isinstance(swatch, Swatch) else swatch
        found = self.rows("SELECT json FROM reading WHERE swatch = ?", key)
        try:
            if found:
                return reading_of(found[0][0])
        except ValueError as e:
            raise damaged(self.path, f"reading of swatch {key}: {e}") from e
        if self.rows("SELECT id FROM swatch WHERE id = ? AND status = 'read'", key):
            raise damaged(self.path, f"swatch {key}: read, but without a reading")
        raise QuiltKeyError(f"index {self.path}: found no reading of swatch {key}")

    def gist(self, swatch: Swatch | int) -> str:
        """A reading in a few words: value, character, print and main colours."""
        data = self.reading(swatch)
        solid = data["loudness"] <= SOLID
        scale = data["motif_in"].get("scale")
        print_ = "reads as solid" if solid else f"{scale} print" if scale else "patterned"
        try:
            colours = ", ".join(c["name"] for c in data["palette"][:2])
            return f"{data['value']['name']}, {data['chroma']['name']}, {print_}; {colours}"
        except (KeyError, TypeError) as e:
            raise damaged(self.path, f"reading of swatch {swatch}: found {e!r} in it") from e

    def to_json(self) -> dict[str, Any]:
        """Everything as plain data: the list is called ``swatches``. Lengths in inches.

        ``skipped``: what the last run could not even look at, each with its reason.
        """
        rows = []
        for s in self.swatches(missing=True):
            row = s.facts(str(s.path))
            if s.status == "unreadable":
                row["reason"] = s.reason
            if s.status == "read":
                row["reading"] = self.reading(s)
            rows.append(row)
        skipped = self.rows("SELECT path, reason FROM skipped ORDER BY path")
        odd = [{"file": str(self.absolute(p)), "reason": r} for p, r in skipped]
        return {"index": str(self.path), "swatches": rows, "skipped": odd}

    def shelf(self) -> Shelf:
        """Everything that has been read, ready to be searched."""
        found = self.rows(
            "SELECT min(path) AS path, id, name, digest, features, width_on_hand, length_on_hand "
            "FROM swatch WHERE present AND status = 'read' GROUP BY digest ORDER BY 1"
        )
        return make_shelf(self.folder, found, self.reading)

    def words(self) -> list[tuple[str, dict[str, str | float]]]:
        """What was said of swatches by :meth:`say` alone: stored path, and columns with values."""
        found = self.rows(
            f"SELECT path, stated, {', '.join(SAID)} FROM swatch WHERE present ORDER BY path, id"
        )
        said = []
        for path, stated, *values in found:
            cells = {c: v for c, v in zip(SAID, values, strict=True) if v not in (None, "")}
            said.append((path, {c: v for c, v in cells.items() if c not in stated.split(",")}))
        return [row for row in said if row[1]]

    def say(
        self,
        swatch: Swatch | int,
        *,
        name: str | None = None,
        width_on_hand: float | None = None,
        length_on_hand: float | None = None,
        notes: str | None = None,
        picture_width: float | None = None,
    ) -> None:
        """Write down what the owner says of a swatch; what is not given stays as it is.

        A new ``picture_width`` makes the picture be read again when its folder is next indexed.
        An empty name gives it the file's name again; an amount of 0 means used up.

        Raises:
            QuiltValueError: an amount below 0, a picture width that is not above 0, or something
                that a side file states, which has the last word.
        """
        for what, amount in (("width on hand", width_on_hand), ("length on hand", length_on_hand)):
            if amount is not None and not 0 <= amount <= 1e6:
                raise QuiltValueError(f"{what}: found {amount!r}; accepted: inches, 0 or more")
        if picture_width is not None and not 0 < picture_width <= 1000:
            raise QuiltValueError(f"picture width: found {picture_width!r}; accepted: above 0 in")
        for what, text in (("name", name or ""), ("notes", notes or "")):
            if any("\ud800" <= c <= "\udfff" for c in text):
                raise QuiltValueError(f"{what}: found {text!r}; accepted: text (UTF-8)")
        said = {
            "name": name,
            "width_on_hand": width_on_hand,
            "length_on_hand": length_on_hand,
            "notes": notes,
            "said_width": picture_width,
        }
        key = swatch.id if isinstance(swatch, Swatch) else swatch
        self.refuse_stated(key, [c for c, v in said.items() if v is not None])
        with self.transaction() as db:
            for column, value in said.items():
                if value is not None:
                    kept = value if value != "" or column == "notes" else None
                    db.execute(f"UPDATE swatch SET {column} = ? WHERE id = ?", (kept, key))
            if picture_width is not None:
                db.execute("UPDATE swatch SET status = 'waiting' WHERE id = ?", (key,))

    def refuse_stated(self, key: int, columns: list[str]) -> None:
        """Refuse to write what a side file states, which has the last word.

        Raises:
            QuiltValueError: one of the columns is stated.
        """
        stated = "".join(r[0] for r in self.rows("SELECT stated FROM swatch WHERE id = ?", key))
        names = stated.replace("picture_width", "said_width").split(",")
        for column in columns:
            if column in names:
                what = "picture width" if column == "said_width" else column.replace("_", " ")
                raise QuiltValueError(
                    f"{what}: found it in the folder's on-hand.toml, which has the last word; "
                    "accepted: a change there"
                )
