"""Files: written whole or not at all, under names that are safe on any machine, with words of
people's choosing that no program takes for its own signs."""

import contextlib
import os
import re
import shutil
import tempfile
import time
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from hashlib import sha256
from pathlib import Path

from quiltgeom.errors import QuiltFileError, QuiltValueError

try:
    import fcntl
except ImportError:  # not on Windows, where nothing is held and nothing swept
    fcntl = None  # type: ignore[assignment]


TEMPORARY = ".quiltgeom-"
"""Names of files and folders that are not yet in place begin so."""

_YOUNG = 5.0
"""Seconds within which whoever made a temporary folder takes hold of it; one of this age that
nobody holds was left by a killed run. A file is written in less than a hundred times that."""

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


def csv_cell(text: str) -> str:
    """A text as a cell of a table: what a spreadsheet would take for a formula gets an apostrophe
    before it; plain numbers stay as they are.

    >>> csv_cell("=1+1"), csv_cell("kelp"), csv_cell("-2.5"), csv_cell("-2+3")
    ("'=1+1", 'kelp', '-2.5', "'-2+3")
    """
    formula = text.startswith(("=", "+", "-", "@", "\t", "\r"))
    return f"'{text}" if formula and not re.fullmatch(r"-[0-9]+(\.[0-9]+)?", text) else text


def markdown_text(text: str) -> str:
    """A text that stays one line, and itself, in Markdown (CommonMark 0.31, backslash escapes).

    >>> print(markdown_text("a|b *c* <img>"), markdown_text("x\\n# y"))
    a\\|b \\*c\\* \\<img\\> x \\# y
    """
    return re.sub(r"([\\`*_\[\]<>|#~&!$])", r"\\\1", " ".join(text.split()))


def write_whole(path: str | Path, data: bytes) -> Path:
    """Write ``data`` to a temporary name beside ``path``, then put it in place at once.

    Raises:
        QuiltFileError: the folder does not exist or cannot be written to.
    """
    path = Path(path)
    with put_in_place(path, make_folder=True) as temporary:
        temporary.write_bytes(data)
    return path


@contextmanager
def put_in_place(path: Path, *, make_folder: bool = False) -> Iterator[Path]:
    """A temporary file beside ``path``, to be filled; if nothing goes wrong it takes that place.

    Raises:
        QuiltFileError: the folder does not exist (nor is to be made) or cannot be written to.
    """
    temporary = None
    try:
        if make_folder:
            path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=TEMPORARY)
        os.close(handle)
        temporary = Path(name)
        yield temporary
        umask = os.umask(0)
        os.umask(umask)
        temporary.chmod(0o666 & ~umask)
        os.replace(temporary, path)
    except OSError as e:
        if isinstance(e, QuiltFileError):
            raise
        raise QuiltFileError(f"output {path}: cannot be written ({e.strerror or e})") from e
    finally:
        if temporary:
            temporary.unlink(missing_ok=True)


@contextmanager
def held(folder: Path, *, wait: bool = False) -> Iterator[None]:
    """Hold a folder, so that others see that it is in use; the system lets go of it when this
    process ends, however that is. Where the file system knows no such locks, nothing is held.

    Args:
        wait: until nobody else holds it.
    """
    handle = os.open(folder, os.O_RDONLY) if fcntl else -1
    try:
        if fcntl:
            with contextlib.suppress(OSError):
                fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
        yield
    finally:
        if handle >= 0:
            os.close(handle)


def sweep(folder: Path) -> None:
    """Remove what killed runs left in a folder: temporary files and folders that nobody holds."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in [e for e in entries if e.name.startswith(TEMPORARY)]:
            with contextlib.suppress(OSError):
                _sweep(Path(entry.path), time.time() - entry.stat(follow_symlinks=False).st_mtime)


def _sweep(path: Path, age: float) -> None:
    if path.is_symlink() or not fcntl:
        return
    if not path.is_dir():
        if age > 100 * _YOUNG:
            path.unlink()
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)  # an OSError: somebody holds it
        if age > _YOUNG:
            shutil.rmtree(path, ignore_errors=True)
    finally:
        os.close(handle)


@cache
def _pictures() -> tempfile.TemporaryDirectory[str]:
    """Where pictures are that never were files; it goes when the process ends."""
    return tempfile.TemporaryDirectory(prefix=TEMPORARY)


def picture_file(pixels: object, name: str = "picture") -> Path:
    """A file of a picture in memory, for as long as this process lives; equal pictures are one.

    Args:
        pixels: an array of shape ``(height, width, 3)`` of ``uint8`` sRGB, or a Pillow image.
        name: what the file's name begins with.

    Raises:
        QuiltValueError: an array that is no such picture.
    """
    import numpy as np
    from PIL import Image

    if not isinstance(pixels, Image.Image):
        array = np.asarray(pixels)
        if array.ndim != 3 or array.shape[2] != 3 or array.dtype != np.uint8 or not array.size:
            raise QuiltValueError(
                f"picture: found an array of shape {array.shape} of {array.dtype}; accepted: "
                "(height, width, 3) of uint8, or a Pillow image"
            )
    image = pixels if isinstance(pixels, Image.Image) else Image.fromarray(array)
    plain = image.convert("RGB")
    mark = sha256(repr(plain.size).encode() + plain.tobytes()).hexdigest()
    path = Path(_pictures().name) / f"{safe_name(name)}-{mark[:8]}.png"
    if not path.exists():
        plain.save(path)
    return path
