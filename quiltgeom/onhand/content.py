"""What may stand in an index, cell by cell: looked at whenever something is taken out of it."""

import os
import re
import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from types import NoneType
from typing import Any, NamedTuple

from quiltgeom.errors import QuiltFileError
from quiltgeom.texts import parse_json

STATUSES = ("waiting", "read", "unreadable")


class _Rule(NamedTuple):
    types: set[type]
    holds: Callable[[Any], bool] | None
    words: str


_LENGTH: set[type] = {float, int, NoneType}
_AMOUNT = _Rule(_LENGTH, lambda v: v is None or 0 <= v <= 1e6, "inches, 0 or more, or nothing")
_WIDTH = _Rule(_LENGTH, lambda v: v is None or 0 < v <= 1e6, "inches above 0, or nothing")
_ANY_TEXT = _Rule({str}, None, "text")
_KEY = _Rule({int}, None, "a whole number")

_CELLS: Mapping[str, _Rule] = {
    "id": _KEY,
    "swatch": _KEY,
    "path": _Rule({str}, lambda v: v != "" and "\0" not in v, "a path"),
    "present": _Rule({int}, lambda v: v in (0, 1), "0 or 1"),
    "size": _Rule({int}, lambda v: v >= 0, "a number of bytes"),
    "mtime_ns": _KEY,
    "digest": _Rule({str}, lambda v: v != "", "a digest"),
    "status": _Rule({str}, STATUSES.__contains__, " or ".join(STATUSES)),
    "reason": _ANY_TEXT,
    "said_width": _WIDTH,
    "picture_width": _WIDTH,
    "corrections": _ANY_TEXT,
    "name": _Rule({str, NoneType}, None, "text or nothing"),
    "width_on_hand": _AMOUNT,
    "length_on_hand": _AMOUNT,
    "notes": _ANY_TEXT,
    "stated": _ANY_TEXT,
    "reader": _ANY_TEXT,
    "features": _Rule({bytes, NoneType}, None, "bytes or nothing"),
    "json": _ANY_TEXT,
}
"""By the name of a column. SQLite itself lets any cell hold anything."""


def cell_fault(column: str, value: object) -> str | None:
    """What is wrong with a cell; None if nothing is.

    >>> cell_fault("present", 1), cell_fault("present", "yes")
    (None, "present: found 'yes'; accepted: 0 or 1")
    """
    rule = _CELLS[column]
    if type(value) in rule.types and (rule.holds is None or rule.holds(value)):
        return None
    shown = repr(value)
    shown = shown if len(shown) <= 60 else shown[:57] + "..."
    return f"{column}: found {shown}; accepted: {rule.words}"


def first_fault(columns: Sequence[str], rows: list[tuple[Any, ...]]) -> str | None:
    """The first fault in rows of these columns. Quick, because whole columns are looked at."""
    for column, values in zip(columns, zip(*rows, strict=True), strict=False):
        rule = _CELLS.get(column)
        if rule is None:
            continue
        if set(map(type, values)) <= rule.types and (
            rule.holds is None or all(map(rule.holds, values))
        ):
            continue
        return next(f for f in (cell_fault(column, v) for v in values) if f)
    return None


def corrections_of(text: str) -> dict[str, str | float]:
    """The user's word on a print, as the index stores it.

    Raises:
        ValueError: it is nothing of the kind.
    """
    data = _object(text)
    if not all(isinstance(v, str | float | int) for v in data.values()):
        raise ValueError(f"found {text[:60]!r}; accepted: corrections")
    return data


def reading_of(text: str) -> dict[str, Any]:
    """A stored reading, with everything in it that a search needs.

    Raises:
        ValueError: it is nothing of the kind.
    """
    data = _object(text)
    try:
        palette = data["palette"]
        whole = (
            _numbers(data["loudness"], data["width_in"])
            and _numbers(*(data["value"][k] for k in ("munsell", "low", "high")))
            and _numbers(data["chroma"]["mean"], data["chroma"]["purity"])
            and (data["motif_in"]["typical"] is None or _numbers(data["motif_in"]["typical"]))
            and _numbers(*(c["share"] for c in palette))
            and all(_HEX.fullmatch(c["hex"]) for c in palette)
            and sum(c["share"] for c in palette) > 0
        )
    except (KeyError, TypeError, IndexError) as e:
        raise ValueError(f"found {e!r} in it; accepted: a reading") from e
    if not whole:
        raise ValueError("found numbers or colours that make no sense; accepted: a reading")
    return data


_HEX = re.compile("#[0-9a-fA-F]{6}")


def _numbers(*values: object) -> bool:
    return all(type(v) in (int, float) and -1e9 < v < 1e9 for v in values)  # type: ignore[operator]


def _object(text: str) -> dict[str, Any]:
    data = parse_json(text, "text")
    if not isinstance(data, dict):
        raise ValueError(f"found {text[:60]!r}; accepted: a table")
    return data


def damaged(path: Path, what: object) -> QuiltFileError:
    """The one error for an index that is not as it was written."""
    return QuiltFileError(
        f"index {path}: found a damaged index ({what}); accepted: a whole one; 'quiltgeom onhand "
        "FOLDER --repair' saves what you said of your cloth and makes a new one"
    )


SQL_ERRORS = (sqlite3.Error, UnicodeDecodeError)
"""What SQLite may raise: of a damaged file, also a message that cannot be decoded."""

_BUSY = ("SQLITE_BUSY", "SQLITE_LOCKED")
_PLACE = tuple(f"SQLITE_{why}" for why in "READONLY PERM CANTOPEN FULL IOERR NOMEM AUTH".split())


def trouble(path: Path, error: Exception) -> QuiltFileError:
    """What SQLite refused, in our words: somebody else is writing, the place is at fault, or the
    index is damaged."""
    code = getattr(error, "sqlite_errorname", None) or ""
    if _begins(code, _BUSY):
        return QuiltFileError(
            f"index {path}: found another program writing to it for a long time ({error}); "
            "accepted: another try when it has finished"
        )
    if code == "SQLITE_READONLY" and os.access(path, os.W_OK) and os.access(path.parent, os.W_OK):
        return damaged(path, "its head says that nobody may write to it")
    if _begins(code, _PLACE) and not _begins(code, ["SQLITE_IOERR_SHORT_READ"]):
        return QuiltFileError(f"index {path}: cannot be read or written ({error})")
    if isinstance(error, sqlite3.ProgrammingError) and not code:
        return QuiltFileError(f"index {path}: cannot be used ({error})")
    if code == "SQLITE_NOTADB":
        return QuiltFileError(
            f"index {path}: found no usable index ({error}); accepted: a file made by 'quiltgeom "
            "onhand FOLDER'; if it was one, --repair sets it aside and saves what can be read"
        )
    return damaged(path, error)


def _begins(code: str, kinds: Iterable[str]) -> bool:
    return any(code == k or code.startswith(k + "_") for k in kinds)
