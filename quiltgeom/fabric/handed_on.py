"""A picture as it may be handed on: the same pixels and size, and nothing about who took it where.

Photos carry the place and time of taking, names, serial numbers, small copies of what was cropped
away. JPEG and PNG files keep their compressed pixels as they are and lose the rest; any other kind
becomes a PNG.
"""

import io
import re
import struct
import zlib
from collections.abc import Callable
from fractions import Fraction

from quiltgeom.errors import QuiltFileError
from quiltgeom.fabric.heads import PNG_START, MalformedError, png_chunks
from quiltgeom.fabric.image import ImageInfo, image_info, load_image
from quiltgeom.fabric.source import PictureBytes, Source, read_all
from quiltgeom.tolerance import RULER_SLACK

MOST_BYTES = 500_000_000

_PNG_KEPT = tuple(b"IHDR PLTE tRNS gAMA cHRM sRGB iCCP sBIT bKGD pHYs".split())
"""All that says how pixels look and how large they are."""


def clean_picture(path: Source) -> tuple[bytes, str]:
    """A picture without anything but its pixels, their colours and their size.

    The width, height and pixels per inch that :func:`~quiltgeom.fabric.image.image_info` reads,
    and the pixels that :func:`~quiltgeom.fabric.image.load_image` decodes, stay the same (pixels
    per inch to the nearest that the kind of file can state).

    Returns:
        The bytes of the new file, and its ending, ``".jpg"`` or ``".png"``.

    Raises:
        QuiltFileError: missing, damaged, not a picture, too large.
    """
    info, picture = image_info(path), load_image(path)  # a damaged one is told of here
    clean = {"JPEG": _clean_jpeg, "MPO": _clean_jpeg, "PNG": _clean_png}.get(info.format)
    if clean:
        made = _cleaned(clean, read_all(path, MOST_BYTES), info)
        if made:
            return made, ".jpg" if clean is _clean_jpeg else ".png"
    out = io.BytesIO()
    picture.save(out, "PNG", **({"dpi": (info.ppi, info.ppi)} if info.ppi else {}))
    return out.getvalue(), ".png"


Clean = Callable[[bytes, bytes], bytes]
"""Makes a file's bytes and a piece of EXIF (or none) into the bytes of the new file."""


def _cleaned(clean: Clean, data: bytes, info: ImageInfo) -> bytes | None:
    """The new file with as little EXIF as says the same; None if none does."""
    for exif in (b"", _exif(info, density=False), _exif(info, density=True)):
        try:
            made = clean(data, exif)
            if _says_the_same(image_info(PictureBytes("cleaned picture", made)), info):
                return made
        except (MalformedError, struct.error, zlib.error, QuiltFileError):
            return None  # it is built so oddly that only its pixels can be kept
    return None


def _says_the_same(new: ImageInfo, old: ImageInfo) -> bool:
    parts = [(i.width, i.height, i.mode, i.orientation, i.ppi is None) for i in (new, old)]
    return parts[0] == parts[1] and abs((new.ppi or 0) - (old.ppi or 0)) <= RULER_SLACK * (
        old.ppi or 0
    )


def _exif(info: ImageInfo, *, density: bool) -> bytes:
    """EXIF that says which way is up and, if wanted, the pixels per inch, and nothing else."""
    from PIL import Image, TiffImagePlugin

    exif = Image.Exif()
    exif[0x0112] = info.orientation
    if density and info.ppi:
        ppi = Fraction(info.ppi).limit_denominator(400_000)  # both parts have 32 bits
        ratio = TiffImagePlugin.IFDRational(ppi.numerator, ppi.denominator)
        exif[0x011A], exif[0x011B], exif[0x0128] = ratio, ratio, 2
    return exif.tobytes()


_NEXT_MARK = re.compile(rb"\xff+[^\x00\xff\xd0-\xd7]")
_PIXELS = frozenset((*range(0xC0, 0xD0), 0xDA, 0xDB, 0xDC, 0xDD))
"""JPEG segments that decoding needs: frames, tables, scans (ISO/IEC 10918-1, table B.1)."""


def _clean_jpeg(data: bytes, exif: bytes) -> bytes:
    """The segments that decoding needs, the colour profile, and the end at the first end mark."""
    out, place, density = [b"\xff\xd8"], 2, b""
    while place + 4 <= len(data):
        if data[place] != 0xFF:
            raise MalformedError("found no segment where one must begin")
        mark = data[place + 1]
        if mark == 0xD9:
            break
        if mark == 0xFF or mark == 0x01 or 0xD0 <= mark <= 0xD7:  # a fill byte, or nothing in it
            place += 1 if mark == 0xFF else 2
            continue
        end = place + 2 + int(struct.unpack_from(">H", data, place + 2)[0])
        body = data[place + 4 : end]
        if mark == 0xDA:
            found = _NEXT_MARK.search(data, end)
            end = found.start() if found else len(data)
        if mark == 0xE0 and body[:5] == b"JFIF\0" and len(body) >= 14 and not density:
            density = _segment(0xE0, body[:12] + b"\0\0")  # and no small copy of the picture
        elif mark == 0xEE and body[:5] == b"Adobe":
            out.append(_segment(0xEE, body[:12]))
        elif mark in _PIXELS or (mark == 0xE2 and body[:12] == b"ICC_PROFILE\0"):
            out.append(data[place:end])
        place = end
    head = density + (_segment(0xE1, exif) if exif else b"")
    return b"".join([out[0], head, *out[1:], b"\xff\xd9"])


def _segment(mark: int, body: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, mark, len(body) + 2) + body


def _clean_png(data: bytes, exif: bytes) -> bytes:
    """The chunks that say how the pixels look, the pixels themselves as one chunk."""
    head, pixels = [], []
    for name, place, length in png_chunks(io.BytesIO(data)):
        body = data[place : place + length]
        if name == b"IDAT":
            pixels.append(body)
        elif name in _PNG_KEPT and not pixels:
            head.append((name, body))
    if exif:
        head.append((b"eXIf", exif.removeprefix(b"Exif\0\0")))
    chunks = [*head, (b"IDAT", _one_stream(b"".join(pixels))), (b"IEND", b"")]
    return PNG_START + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    )


def _one_stream(data: bytes) -> bytes:
    """Compressed data without what follows its end, which no decoder looks at."""
    stream, step = zlib.decompressobj(), 1 << 16
    for start in range(0, len(data), step):
        stream.decompress(data[start : start + step])
        if stream.eof:
            return data[: min(start + step, len(data)) - len(stream.unused_data)]
    return data
