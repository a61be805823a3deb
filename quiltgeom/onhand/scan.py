"""Looking through a folder of swatches: which files there are, what is said of them."""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from quiltgeom.errors import QuiltError, QuiltFileError
from quiltgeom.fabric.reading.reading import load_corrections
from quiltgeom.onhand.side_file import SIDE_NAME, SideFile, load_side_file
from quiltgeom.outputs.manifest import MANIFEST, outputs_in
from quiltgeom.outputs.stamps import is_drawn

__all__ = ["MOST_BYTES", "PICTURES", "Seen", "digest_of", "digests", "look_through", "said_of"]

PICTURES = frozenset([
    ".avif", ".bmp", ".gif", ".heic", ".heif", ".jp2", ".jpe", ".jpeg", ".jpg", ".mpo", ".png",
    ".ppm", ".svg", ".tga", ".tif", ".tiff", ".webp",
])  # fmt: skip
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


def look_through(folder: Path) -> list[Seen]:
    """Every picture in and below a folder, in the order of their paths.

    Names that begin with a dot are passed over, links to folders are not followed. What this
    library wrote is no cloth: files that a folder's manifest lists as output, and pictures that
    bear its stamp, are passed over, too.

    Raises:
        QuiltFileError: no such folder, or a side file that is not TOML.
        ContentError: a side file with faults.
    """
    if not folder.is_dir():
        raise QuiltFileError(f"swatches {folder}: found no such folder; accepted: a folder")
    side_files: dict[Path, list[SideFile]] = {}
    outputs: set[Path] = set()
    found = []
    for here, folders, files in os.walk(folder, onerror=_cannot_enter):
        place = Path(here)
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        chain = list(side_files.get(place.parent, [])) if place != folder else []
        if SIDE_NAME in files:
            chain.append(load_side_file(place / SIDE_NAME))
        side_files[place] = chain
        if MANIFEST in files:
            outputs |= outputs_in(place)
        for name in sorted(files):
            path = place / name
            if name.startswith(".") or path.suffix.lower() not in PICTURES or path in outputs:
                continue
            seen = _seen(path, chain)
            if seen.fault or not is_drawn(path):
                found.append(seen)
    return sorted(found, key=lambda s: s.path.as_posix())


def _cannot_enter(e: OSError) -> None:
    raise QuiltFileError(f"swatches {e.filename}: cannot be read ({e.strerror})") from e


def _seen(path: Path, chain: list[SideFile]) -> Seen:
    said = said_of(path, chain)
    try:
        stat = path.stat()
    except OSError as e:
        return Seen(path, 0, -1, said, fault=f"picture {path.name}: cannot be read ({e.strerror})")
    if not path.is_file():
        return Seen(path, 0, -1, said, fault=f"picture {path.name}: found no ordinary file")
    if stat.st_size > MOST_BYTES:
        return Seen(path, stat.st_size, -1, said,
                    fault=f"picture {path.name}: found {stat.st_size:,} bytes; accepted: up to "
                          f"{MOST_BYTES:,}")  # fmt: skip
    try:
        corrections = json.dumps(load_corrections(path), sort_keys=True)
    except QuiltError as e:
        return Seen(path, stat.st_size, -1, said, fault=str(e))
    return Seen(path, stat.st_size, stat.st_mtime_ns, said, corrections)


def said_of(picture: Path, chain: list[SideFile]) -> dict[str, str | float]:
    """What side files say of a picture; the nearest one has the last word."""
    said: dict[str, str | float] = {}
    for side in chain:
        said |= side.of(picture)
    return said


def digest_of(data: bytes) -> str:
    """SHA-256 of a file's bytes (FIPS 180-4), in hexadecimal.

    >>> digest_of(b"abc")[:16]
    'ba7816bf8f01cfea'
    """
    return hashlib.sha256(data).hexdigest()


_JUST_NOW_NS = 2_000_000_000


def digests(files: list[Seen]) -> list[tuple[str, int]]:
    """Digest of each file and the time stamp to remember it by.

    A file written within the last two seconds may change again without a new time stamp: its
    stamp is not trusted (-1), so that the next run looks at its bytes again. A file that cannot
    be read has a digest of its own kind, which equals no other.
    """

    def one(seen: Seen) -> tuple[str, int]:
        if seen.fault:
            return f"unread {seen.path}", -1
        try:
            digest = digest_of(seen.path.read_bytes())
        except OSError:
            return f"unread {seen.path}", -1
        fresh = time.time_ns() - seen.mtime_ns < _JUST_NOW_NS
        return digest, -1 if fresh else seen.mtime_ns

    with ThreadPoolExecutor(4) as pool:  # reading and hashing both leave other threads room
        return list(pool.map(one, files))
