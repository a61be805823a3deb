"""Where a picture comes from: a file, or bytes that are in memory already."""

import io
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

from quiltgeom.errors import QuiltFileError


@dataclass(frozen=True, slots=True)
class PictureBytes:
    """A picture file's bytes, with the name that messages give it.

    >>> str(PictureBytes("kelp.jpg", b""))
    'kelp.jpg'
    """

    name: str
    data: bytes = field(repr=False)

    def __str__(self) -> str:
        return self.name


Source = str | Path | PictureBytes
"""A picture file, or its bytes."""


@contextmanager
def opened(source: Source) -> Iterator[BinaryIO]:
    """The source as a file opened for reading.

    Raises:
        QuiltFileError: missing, a folder, or it may not be read.
    """
    if isinstance(source, PictureBytes):
        yield io.BytesIO(source.data)
        return
    path = Path(source)
    if not os.path.isfile(path):  # nor if no file system takes such a name
        found = "a folder, no such file" if os.path.isdir(path) else "no such file"
        raise QuiltFileError(f"picture {path}: found {found}; accepted: a picture file")
    try:
        file = path.open("rb")
    except OSError as e:
        raise QuiltFileError(f"picture {path}: cannot be read ({e.strerror or e})") from e
    with file:
        yield file


def first_bytes(source: Source, most: int) -> bytes:
    """The first bytes of a source, at most so many.

    Raises:
        QuiltFileError: as of :func:`opened`.
    """
    with opened(source) as file:
        try:
            return file.read(most)
        except OSError as e:
            raise QuiltFileError(f"picture {source}: cannot be read ({e.strerror or e})") from e


def read_all(source: Source, most: int) -> bytes:
    """All bytes of a source.

    Raises:
        QuiltFileError: as of :func:`opened`, or more than ``most`` bytes.
    """
    data = first_bytes(source, most + 1)
    if len(data) > most:
        raise QuiltFileError(
            f"picture {source}: found more than {most // 1_000_000} MB; accepted: up to that"
        )
    return data
