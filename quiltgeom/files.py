"""Files: written whole or not at all, under names that are safe on any machine."""

from __future__ import annotations

import os
import re
import tempfile
import unicodedata
from collections.abc import Iterable
from pathlib import Path

from quiltgeom.errors import QuiltFileError

__all__ = ["free_name", "safe_name", "write_whole"]

_LONGEST = 80
"""Bytes of a name: room for endings and numbers below the 255 that file systems take."""

_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\.|$)", re.IGNORECASE)


def safe_name(text: str, otherwise: str = "unnamed") -> str:
    """A word that people chose (a role, a title, the stem of a photo) as a file name: no folders,
    no signs that some file system refuses, not hidden, not too long.

    >>> safe_name("x/../../NAME"), safe_name("Reed herons"), safe_name("..."), safe_name("con")
    ('x-NAME', 'Reed-herons', 'unnamed', 'con-')
    """
    plain = unicodedata.normalize("NFC", text.encode("utf-8", "replace").decode("utf-8"))
    name = re.sub(r"[^\w.]+|\.{2,}", "-", plain)
    name = re.sub(r"-[-.]*-|-{2,}", "-", name).strip("-. ")
    short = name.encode("utf-8")[:_LONGEST].decode("utf-8", "ignore").strip("-. ")
    if _RESERVED.match(short):
        short = short.replace(".", "-", 1) if "." in short else f"{short}-"
    return short or otherwise


def free_name(wanted: str, taken: Iterable[str], ending: str = "") -> str:
    """``wanted`` with an ending, or with a number where that is taken already (capitals do not
    tell two names apart on every file system).

    >>> free_name("kelp", ["Kelp.jpg", "kelp-2.jpg"], ".jpg")
    'kelp-3.jpg'
    """
    known = {t.casefold() for t in taken}
    name, number = f"{wanted}{ending}", 2
    while name.casefold() in known:
        name, number = f"{wanted}-{number}{ending}", number + 1
    return name


def write_whole(path: str | Path, data: bytes) -> Path:
    """Write ``data`` to a temporary name beside ``path``, then put it in place at once.

    Raises:
        QuiltFileError: the folder does not exist or cannot be written to.
    """
    path = Path(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".quiltgeom-")
    except OSError as e:
        raise QuiltFileError(f"output {path}: cannot be written ({e.strerror or e})") from e
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        umask = os.umask(0)
        os.umask(umask)
        temporary.chmod(0o666 & ~umask)
        os.replace(temporary, path)
    except OSError as e:
        raise QuiltFileError(f"output {path}: cannot be written ({e.strerror or e})") from e
    finally:
        temporary.unlink(missing_ok=True)
    return path
