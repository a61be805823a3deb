"""Looking through a folder of swatches: which files there are, what is said of them."""

import errno
import hashlib
import json
import os
import stat
import time
import unicodedata
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from quiltgeom.errors import QuiltError, QuiltFileError
from quiltgeom.library.corrections import load_corrections
from quiltgeom.onhand.side_file import SIDE_NAME, SideFile, load_side_file
from quiltgeom.outputs.manifest import MANIFEST, outputs_in
from quiltgeom.outputs.stamps import is_drawn

PICTURES = frozenset(
    ".avif .bmp .gif .heic .heif .jp2 .jpe .jpeg .jpg .mpo .png .ppm .svg .tga .tif .tiff "
    ".webp".split()
)
"""Endings of files that are taken for swatches. Some cannot be read: their owner is told so."""

MOST_BYTES = 1_000_000_000
"""Larger files are no photos of a swatch."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A picture file as it was found.

    Attributes:
        path: absolute, not resolved (a link stands for itself).
        size, mtime_ns: as the file system tells.
        said: by the side files: index columns and values.
        corrections: the user's word on its print, as JSON, from the reading saved beside it.
        fault: why it cannot even be looked at.
    """

    path: Path
    size: int
    mtime_ns: int
    said: Mapping[str, str | float] = field(default_factory=dict)
    corrections: str = "{}"
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Skipped:
    """What could not be looked at: a name that cannot be kept, a folder that cannot be read.

    Attributes:
        reason: why, in words that can be printed.
        closed: a folder that is there but lets nobody in; nothing is known of its files.
    """

    path: Path
    reason: str
    closed: bool = False


@dataclass
class Look:
    """A look through a folder: its pictures, and what could not be looked at."""

    files: list[Seen] = field(default_factory=list)
    skipped: list[Skipped] = field(default_factory=list)


def survey(folder: Path) -> Look:
    """Look through a folder: pictures in the order of their paths, and what was skipped.

    Names that begin with a dot are passed over, links to folders are not followed. Names that
    are not UTF-8 or have control characters in them, and folders that cannot be read, are skipped
    with the reason. Nothing is opened that might wait for ever (a pipe). What this library wrote is
    no cloth: files that a folder's manifest lists as output, and pictures that bear its stamp, are
    passed over.

    Raises:
        QuiltFileError: no such folder, or a side file that is not TOML.
        ContentError: a side file with faults.
    """
    if not os.path.isdir(folder):
        raise QuiltFileError(f"swatches {folder}: found no such folder; accepted: a folder")
    look = Look()
    side_files: dict[Path, list[SideFile]] = {}
    outputs: set[Path] = set()
    for here, folders, files in os.walk(folder, onerror=lambda e: _cannot_enter(e, folder, look)):
        place = Path(here)
        folders[:] = _kept(place, sorted(f for f in folders if not f.startswith(".")), look)
        chain = list(side_files.get(place.parent, [])) if place != folder else []
        if SIDE_NAME in files:
            chain.append(load_side_file(place / SIDE_NAME))
        side_files[place] = chain
        pictures = [
            f for f in files if not f.startswith(".") and os.path.splitext(f)[1].lower() in PICTURES
        ]
        outputs |= outputs_in(place) if MANIFEST in files else set()
        cloth = [n for n in _kept(place, pictures, look) if place / n not in outputs]
        seen = [_seen(place / name, chain) for name in cloth]
        look.files += [s for s in seen if s is not None and (s.fault or not is_drawn(s.path))]
    look.files.sort(key=lambda s: s.path.as_posix())
    look.skipped.sort(key=lambda s: os.fsencode(s.path))
    return look


def _kept(place: Path, names: list[str], look: Look) -> list[str]:
    """Names that can be written down and printed; the others are noted as skipped."""
    kept = []
    for name in names:
        odd = [] if name.isprintable() else sorted({*map(unicodedata.category, name)} & {*_ODD})
        if not odd:
            kept.append(name)
            continue
        reason = (
            f"name {printable(name)}: found {_ODD[odd[0]]} in it; accepted: a name in UTF-8 "
            "without control characters"
        )
        look.skipped.append(Skipped(place / name, reason))
    return kept


_ODD = {
    "Cc": "a control character",
    "Cs": "bytes that are not UTF-8",
    "Zl": "a line break",
    "Zp": "a line break",
}


def printable(name: str) -> str:
    r"""A name as it can be printed: what is odd in it as an escape.

    >>> print(printable("caf\udce9\n.png"))
    caf\xe9\n.png
    """

    def shown(c: str) -> str:
        if "\udc80" <= c <= "\udcff":  # how Python keeps a byte that is not UTF-8
            return f"\\x{ord(c) - 0xDC00:02x}"
        return c.encode("unicode_escape").decode() if unicodedata.category(c) in _ODD else c

    return "".join(map(shown, name))


def _cannot_enter(e: OSError, folder: Path, look: Look) -> None:
    path = Path(e.filename)
    if path == folder:
        raise QuiltFileError(f"swatches {folder}: cannot be read ({e.strerror})") from e
    if not isinstance(e, FileNotFoundError | NotADirectoryError):  # gone since it was listed
        reason = f"folder {printable(path.name)}: cannot be read ({e.strerror})"
        look.skipped.append(Skipped(path, reason, closed=True))


def _seen(path: Path, chain: list[SideFile]) -> Seen | None:
    said: dict[str, str | float] = {}
    for side in chain:  # the nearest one has the last word
        said |= side.of(path)
    try:
        found = path.stat()
    except OSError as e:
        if not os.path.lexists(path):  # gone since the folder was listed
            return None
        return Seen(path, 0, -1, said, fault=f"picture {path.name}: cannot be read ({e.strerror})")
    if not stat.S_ISREG(found.st_mode):
        return Seen(path, 0, -1, said, fault=f"picture {path.name}: found no ordinary file")
    if found.st_size > MOST_BYTES:
        what = f"{found.st_size:,} bytes; accepted: up to {MOST_BYTES:,}"
        return Seen(path, found.st_size, -1, said, fault=f"picture {path.name}: found {what}")
    try:
        corrections = json.dumps(load_corrections(path), sort_keys=True)
    except QuiltError as e:
        return Seen(path, found.st_size, -1, said, fault=str(e))
    return Seen(path, found.st_size, found.st_mtime_ns, said, corrections)


def read_bytes(path: Path) -> bytes:
    """The bytes of an ordinary file; of anything else not even the opening waits.

    Raises:
        OSError: it cannot be read, or is no ordinary file.
    """
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "no ordinary file")
        return file.read()


def digest_of(data: bytes) -> str:
    """SHA-256 of a file's bytes (FIPS 180-4), in hexadecimal.

    >>> digest_of(b"abc")[:16]
    'ba7816bf8f01cfea'
    """
    return hashlib.sha256(data).hexdigest()


UNREAD = "unread "
"""Begins the digest of a file that could not be read; it equals no other."""

_JUST_NOW_NS = 2_000_000_000


def digests(files: list[Seen]) -> list[tuple[str, int]]:
    """Digest of each file and the time stamp to remember it by.

    A file written within the last two seconds may change again without a new time stamp: its
    stamp is not trusted (-1), so that the next run looks at its bytes again. A file that cannot
    be read has a digest of its own kind, which equals no other.
    """

    def one(seen: Seen) -> tuple[str, int]:
        if seen.fault:
            return f"{UNREAD}{seen.path}", -1
        try:
            digest = digest_of(read_bytes(seen.path))
        except OSError:
            return f"{UNREAD}{seen.path}", -1
        fresh = time.time_ns() - seen.mtime_ns < _JUST_NOW_NS
        return digest, -1 if fresh else seen.mtime_ns

    with ThreadPoolExecutor(4) as pool:  # reading and hashing both leave other threads room
        return list(pool.map(one, files))
