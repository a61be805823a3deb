"""A line in each file that this library draws, by which it is known again and proved unchanged.

The stamp is a comment of the file's own format: a ``tEXt`` chunk "Software" (PNG, W3C
Recommendation, 11.3.3), a comment in SVG, a comment line after ``%%EOF`` in PDF (ISO 32000-1,
7.5.5: readers look for it within the last 1024 bytes), a COM segment in JPEG (ITU-T T.81,
B.2.4.5), group 999 in DXF. It holds the SHA-256 of all other bytes.
"""

import hashlib
import re
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

_WORD = re.compile(rb"quiltgeom (drawing|cloth) sha256:([0-9a-f]{64})")


class _Format(NamedTuple):
    place: Callable[[bytes], int]
    wrap: Callable[[bytes], bytes]


def _chunk(line: bytes) -> bytes:
    body = b"tEXtSoftware\0" + line
    return (len(body) - 4).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")


def _segment(line: bytes) -> bytes:
    return b"\xff\xfe" + (len(line) + 2).to_bytes(2, "big") + line


def _after_jfif(data: bytes) -> int:
    """After the first segment, which JFIF wants to be its own."""
    return 4 + int.from_bytes(data[4:6], "big") if data[2:4] == b"\xff\xe0" else 2


def _after_declaration(data: bytes) -> int:
    return data.find(b"?>") + 2 if data.startswith(b"<?xml") else 0


_FORMATS = {
    ".png": _Format(lambda data: 33, _chunk),  # after the signature and IHDR
    ".svg": _Format(_after_declaration, lambda line: b"<!-- " + line + b" -->"),
    ".pdf": _Format(len, lambda line: b"% " + line + b"\n"),
    ".jpg": _Format(_after_jfif, _segment),
    ".dxf": _Format(lambda data: 0, lambda line: b"999\n" + line + b"\n"),
}
_FORMATS[".jpeg"] = _FORMATS[".jpg"]

KINDS = tuple(_FORMATS)
"""Endings of files that can carry a stamp."""


def stamped(data: bytes, ending: str, *, cloth: bool = False) -> bytes:
    """A file's bytes with their stamp; formats that have no place for one stay as they are.

    Args:
        ending: of the file's name, e.g. ``".png"``.
        cloth: the picture shows cloth (a photo that was straightened), so that it may be taken
            for a swatch.

    >>> print(stamped(b"<svg/>", ".svg")[:30].decode())
    <!-- quiltgeom drawing sha256:
    """
    form = _FORMATS.get(ending.lower())
    if form is None:
        return data
    line = f"quiltgeom {'cloth' if cloth else 'drawing'} sha256:{hashlib.sha256(data).hexdigest()}"
    at = form.place(data)
    return data[:at] + form.wrap(line.encode()) + data[at:]


def is_unchanged(path: Path) -> bool:
    """Whether a file carries our stamp and all other bytes are as it says."""
    form = _FORMATS.get(path.suffix.lower())
    try:
        data = path.read_bytes()
    except OSError:
        return False
    found = _WORD.search(data, max(0, len(data) - 1024) if path.suffix.lower() == ".pdf" else 0)
    if form is None or found is None:
        return False
    stamp = form.wrap(found.group(0))
    at = data.find(stamp)
    rest = data[:at] + data[at + len(stamp) :]
    return at >= 0 and hashlib.sha256(rest).hexdigest().encode() == found.group(2)


def is_drawn(path: Path) -> bool:
    """Whether a picture was drawn by this library (and may have been changed since): such a picture
    is no cloth. Only the beginning of the file is looked at."""
    try:
        with path.open("rb") as file:
            found = _WORD.search(file.read(1024))
    except OSError:
        return False
    return found is not None and found.group(1) == b"drawing"
