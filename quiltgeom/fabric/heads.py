"""What a picture file's own structure says, read without a decoder: PNG chunks, JPEG segments.

Decoders walk these parts one by one and keep what they find; a file made of nothing but parts
would take them for ever. So the parts are counted here first.
"""

import re
import struct
from collections.abc import Iterator
from typing import BinaryIO

MOST_PARTS = 200_000
"""PNG chunks, JPEG segments, GIF blocks. Writers that cut a PNG's pixels into 8-kB chunks need
60,000 for the largest picture that is taken."""

PNG_START = b"\x89PNG\r\n\x1a\n"
_BLOCK = 1 << 20


class MalformedError(ValueError):
    """The file is not built as its kind of file must be."""


def read_head(file: BinaryIO) -> tuple[bytes | None, int]:
    """Look through the parts of a PNG, JPEG or GIF; any other file has nothing to tell.

    Returns:
        A PNG's eXIf chunk, wherever in the file it stands; how often a JPEG goes over its pixels.

    Raises:
        MalformedError: the file ends early, or has far too many parts.
    """
    file.seek(0)
    start = file.read(8)
    exif, scans = None, 1
    if start == PNG_START:
        exif = _png_exif(file)
    elif start[:2] == b"\xff\xd8":
        scans = _jpeg_scans(file)
    elif start[:4] == b"GIF8":
        _gif_parts(file)
    file.seek(0)
    return exif, scans


def png_chunks(file: BinaryIO) -> Iterator[tuple[bytes, int, int]]:
    """Name, place of the content and length of every chunk of a PNG, up to IEND.

    Raises:
        MalformedError: the file ends before IEND.
    """
    place = file.seek(0, 2)
    end, place = place, len(PNG_START)
    for _ in range(MOST_PARTS):
        file.seek(place)
        head = file.read(8)
        length = struct.unpack(">I", head[:4])[0] if len(head) == 8 else 0
        if len(head) < 8 or place + 12 + length > end:
            raise MalformedError("the file is cut short")
        yield head[4:], place + 8, length
        if head[4:] == b"IEND":
            return
        place += 12 + length
    raise MalformedError(f"more than {MOST_PARTS} chunks")


def _png_exif(file: BinaryIO) -> bytes | None:
    found = None
    for name, place, length in png_chunks(file):
        if name == b"eXIf" and found is None and length <= _BLOCK:
            file.seek(place)
            found = file.read(length)
    return found


def _jpeg_scans(file: BinaryIO) -> int:
    """Scans of a JPEG: one, or those of a progressive one, counted up to its end."""
    file.seek(2)
    for _ in range(MOST_PARTS):
        mark = file.read(2)
        if mark == b"\xff\xff":  # a fill byte
            file.seek(-1, 1)
            continue
        if len(mark) < 2 or mark[0] != 0xFF or mark[1] == 0xDA:
            return _count_scans(file)
        if mark[1] == 0 or 0xD0 <= mark[1] <= 0xD9 or mark[1] == 1:
            continue
        size = file.read(2)
        if len(size) < 2:
            return 1
        file.seek(max(0, struct.unpack(">H", size)[0] - 2), 1)
    raise MalformedError(f"more than {MOST_PARTS} segments")


def _count_scans(file: BinaryIO) -> int:
    """Starts of scans from here on: in a scan's own data FF is always followed by 00 or RSTn."""
    scans, kept = 1, b""
    while block := file.read(_BLOCK):
        for mark in re.finditer(rb"\xff[\xd9\xda]", kept + block):
            if mark[0][1] == 0xD9:
                return scans
            scans += 1
        kept = block[-1:] if block[-1:] == b"\xff" else b""
    return scans


def _gif_parts(file: BinaryIO) -> None:
    """Comments and the like may stand before a GIF's first picture, but not by the megabyte."""
    file.seek(10)
    flags = (file.read(1) or b"\0")[0]
    file.seek(13 + (3 << (flags & 7) + 1 if flags & 0x80 else 0))
    data = file.read(_BLOCK)
    place = 0
    while place < len(data) and data[place] == 0x21:
        place += 2
        while place < len(data) and data[place]:
            place += 1 + data[place]
        place += 1
    if place >= _BLOCK:
        raise MalformedError("more than a megabyte before the first picture")
