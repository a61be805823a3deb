"""The one reader of text files: bounded size and depth, UTF-8, TOML or JSON, one clear error."""

import json
import math
import os
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from quiltgeom.errors import Finding, TextError

SMALL_BYTES = 1_000_000
"""Blocks, patterns, designs, side files: written by hand; ours have one or two thousand bytes."""

READING_BYTES = 5_000_000
"""Readings saved beside a picture."""

PLAN_BYTES = 50_000_000
"""Cutting plans: every patch of a quilt with its place."""

DEPTH = 50
"""Tables and lists inside each other; a plan has eight. Whatever walks data may then recurse."""

_MOST_INSIDE = 2_000_000
"""Tables and lists of a JSON file: each takes thirty times the memory of the two signs it needs."""

_LONG_KEY = re.compile(
    r"""(?:^|[\[{,])[ \t]*(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){10}"""
)
"""Keys of many parts (``a.b.c. ...``): the time that the TOML reader takes grows with the square of
their number."""
_SUSPECT = re.compile(r"[0-9A-Fa-f_]{16,}|\\[uU]")
"""Without these no whole number is beyond 64 bits, and no text has a character from an escape."""


def read_text(path: str | Path, *, kind: str = "UTF-8 text", most: int = SMALL_BYTES) -> str:
    """The text of a file of at most ``most`` bytes; the size is looked at before it is read.

    Raises:
        TextError: missing, no ordinary file, too large, not UTF-8, or with null characters.
    """

    def refused(found: str, accepted: str = kind) -> TextError:
        return TextError([Finding(str(path), "a readable text file", found, accepted)])

    too_large = (f"more than {most:,} bytes", f"{kind} of up to {most:,} bytes")
    try:
        head = os.stat(path)
        if not stat.S_ISREG(head.st_mode):  # a pipe would keep us waiting for ever
            raise refused("a folder" if stat.S_ISDIR(head.st_mode) else "no ordinary file")
        if head.st_size > most:
            raise refused(*too_large)
        with open(path, "rb") as file:
            data = file.read(head.st_size + 1)
            if len(data) > head.st_size:  # it has grown
                data += file.read(most)
    except FileNotFoundError as e:
        raise refused("no such file") from e
    except (OSError, ValueError) as e:  # ValueError: a null character in the path
        if isinstance(e, TextError):
            raise
        raise refused(f"one that cannot be read ({getattr(e, 'strerror', None) or e})") from e
    if len(data) > most:
        raise refused(*too_large)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as e:
        raise refused(f"byte {e.start} that is not UTF-8") from e
    if "\0" in text:
        raise refused("a null character")
    return text


def read_toml(path: str | Path, *, most: int = SMALL_BYTES) -> dict[str, Any]:
    """A TOML file as plain data; see :func:`read_text` and :func:`parse_toml`."""
    return parse_toml(read_text(path, kind="UTF-8 TOML", most=most), Path(path).name)


def read_json(path: str | Path, *, most: int = SMALL_BYTES) -> Any:
    """A JSON file as plain data; see :func:`read_text` and :func:`parse_json`."""
    return parse_json(read_text(path, kind="UTF-8 JSON", most=most), Path(path).name)


def parse_toml(text: str, where: str) -> dict[str, Any]:
    """TOML (version 1.0) as plain data.

    Raises:
        TextError: no TOML; nested deeper than :data:`DEPTH`; whole numbers beyond 64 bits (the TOML
            standard's limit) or null characters.

    >>> parse_toml("rows = 3", "a.toml")
    {'rows': 3}
    >>> parse_toml("rows = ", "a.toml")
    Traceback (most recent call last):
    ...
    quiltgeom.errors.TextError: a.toml: valid TOML: found Invalid value (at end of document); \
accepted: see toml.io
    """
    if any(line.count(".") > 9 and _LONG_KEY.search(line) for line in text.split("\n")):
        raise _refused(where, "TOML", "a key of more than ten parts", "see toml.io")
    try:
        data = tomllib.loads(text)
    except RecursionError as e:
        raise _too_deep(where, "TOML") from e
    except ValueError as e:  # malformed, or a number of thousands of digits
        raise _refused(where, "TOML", str(e), "see toml.io") from e
    _check(data, text, where, "TOML")
    return data


def parse_json(text: str, where: str) -> Any:
    """JSON (RFC 8259) as plain data: no NaN or Infinity.

    Raises:
        TextError: as :func:`parse_toml`; numbers beyond those of double precision; halves of
            surrogate pairs.

    >>> parse_json('{"rows": [3]}', "a.json")
    {'rows': [3]}
    """
    if text.count("[") + text.count("{") > _MOST_INSIDE:
        raise _refused(where, "JSON", "millions of tables and lists", f"up to {_MOST_INSIDE:,}")
    try:
        data = json.loads(text, parse_constant=_no_constant, parse_float=_finite)
    except RecursionError as e:
        raise _too_deep(where, "JSON") from e
    except ValueError as e:
        raise _refused(where, "JSON", str(e), "RFC 8259") from e
    _check(data, text, where, "JSON")
    return data


def _no_constant(name: str) -> float:
    raise ValueError(f"{name}, which is no number")


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(f"{text[:20]}, a number beyond double precision")
    return value


def _check(data: object, text: str, where: str, kind: str) -> None:
    """Depth; and, where the text gives reason to, every key, text and number."""
    suspect = _SUSPECT.search(text) is not None
    level: list[Any] = [[data]]
    for _ in range(DEPTH + 1):
        inner = [
            v
            for d in level
            for v in (d.values() if isinstance(d, dict) else d)
            if suspect or isinstance(v, dict | list)
        ]
        if suspect:
            keys = [k for d in level if isinstance(d, dict) for k in d]
            _check_leaves([*keys, *inner], where, kind)
        level = [v for v in inner if isinstance(v, dict | list)]
        if not level:
            return
    raise _too_deep(where, kind)


def _check_leaves(values: list[Any], where: str, kind: str) -> None:
    for value in values:
        if isinstance(value, int) and not -(2**63) <= value < 2**63:
            raise _refused(where, kind, "a whole number beyond 64 bits", "smaller numbers")
        if isinstance(value, str) and ("\0" in value or not _is_text(value)):
            raise _refused(where, kind, "a null character or half a surrogate pair", "text")


def _is_text(value: str) -> bool:
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _too_deep(where: str, kind: str) -> TextError:
    found = f"tables and lists more than {DEPTH} deep"
    return _refused(where, kind, found, f"up to {DEPTH}")


def _refused(where: str, kind: str, found: str, accepted: str) -> TextError:
    return TextError([Finding(where, f"valid {kind}", found, accepted)])
