"""Generators of damaged pictures, in every format that is written here."""

from __future__ import annotations

import io
import struct
import zlib
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.fabric.reading.read_file import read_quickly
from tests.fuzz.cases import Kind
from tests.fuzz.mutate import damaged_bytes, damaged_text

__all__ = ["KINDS"]

_SVG = [
    '<svg xmlns="http://www.w3.org/2000/svg" width="60" height="40" viewBox="0 0 60 40">'
    '<rect width="60" height="40" fill="#a0b0c0"/><circle cx="20" cy="20" r="9"/></svg>',
    '<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "x"><!ENTITY b "&a;&a;&a;&a;">]>'
    '<svg xmlns="http://www.w3.org/2000/svg" width="1e9" height="1e9"><text>&b;</text>'
    '<image href="file:///etc/hostname" width="1" height="1"/></svg>',
]


@cache
def _valid() -> list[tuple[str, bytes]]:
    """Small pictures: (ending, bytes)."""
    from PIL import Image, features

    r = np.random.default_rng(11)
    rgb = Image.fromarray(r.integers(0, 256, (36, 48, 3), dtype=np.uint8))
    large = Image.fromarray(
        np.kron(r.integers(0, 256, (13, 20, 3), dtype=np.uint8), np.ones((20, 20, 1), np.uint8))
    )
    wide = Image.fromarray(r.integers(0, 65536, (36, 48), dtype=np.uint16))
    exif = Image.Exif()
    exif[0x0112], exif[0x011A], exif[0x011B], exif[0x0128] = 6, 300.0, 300.0, 2
    ways: list[tuple[str, Any, str, dict[str, Any]]] = [
        ("png", rgb, "PNG", {}),
        ("png", wide, "PNG", {}),
        ("png", rgb.convert("P"), "PNG", {}),
        ("png", rgb.convert("RGBA"), "PNG", {"exif": exif, "dpi": (150, 150)}),
        ("png", rgb.convert("LA"), "PNG", {}),
        ("png", rgb.convert("1"), "PNG", {}),
        ("png", rgb.convert("L"), "PNG", {"transparency": 7}),
        ("jpg", large, "JPEG", {"exif": exif, "dpi": (300, 300)}),
        ("jpg", rgb, "JPEG", {}),
        ("jpg", large, "JPEG", {"progressive": True}),
        ("jpg", rgb.convert("L"), "JPEG", {}),
        ("jpg", rgb.convert("CMYK"), "JPEG", {}),
        ("webp", rgb, "WEBP", {"exif": exif}),
        ("webp", rgb.convert("RGBA"), "WEBP", {"lossless": True}),
        ("tif", rgb, "TIFF", {}),
        ("tif", rgb, "TIFF", {"compression": "tiff_lzw"}),
        ("tif", wide, "TIFF", {"compression": "tiff_adobe_deflate"}),
        ("tif", rgb.convert("CMYK"), "TIFF", {"dpi": (300, 300)}),
        ("tif", rgb.convert("F"), "TIFF", {}),
        ("tif", rgb.convert("1"), "TIFF", {"compression": "group4"}),
        ("gif", rgb, "GIF", {}),
        ("gif", rgb, "GIF", {"save_all": True, "append_images": [rgb.rotate(180)]}),
        ("bmp", rgb, "BMP", {}),
        ("bmp", rgb.convert("P"), "BMP", {}),
        ("ppm", rgb, "PPM", {}),
        ("pgm", wide, "PPM", {}),
        ("tga", rgb, "TGA", {}),
        ("pcx", rgb, "PCX", {}),
        ("ico", rgb, "ICO", {}),
        ("sgi", rgb, "SGI", {}),
        ("jp2", rgb, "JPEG2000", {}),
        ("mpo", rgb, "MPO", {"save_all": True, "append_images": [rgb]}),
    ]
    if features.check("avif"):
        ways.append(("avif", large, "AVIF", {"speed": 9}))
    found = []
    for ending, picture, kind, options in ways:
        out = io.BytesIO()
        try:
            picture.save(out, kind, **options)
        except (OSError, KeyError, ValueError):  # this Pillow was built without it
            continue
        found.append((ending, out.getvalue()))
    return found


def _huge(r: Random, ending: str, data: bytes) -> bytes:
    """The same picture with another stated size; checksums as they should be."""
    out, size = bytearray(data), r.choice((0, 1, 5000, 65535, 100_000, 2**31 - 1, 2**32 - 1))
    other = r.choice((size, 1, 40, 65535))
    if ending == "png":
        out[16:24] = struct.pack(">II", size % 2**32, other)
        out[29:33] = struct.pack(">I", zlib.crc32(out[12:29]))
    elif ending == "gif":
        out[6:10] = struct.pack("<HH", size % 65536, other % 65536)
    elif ending == "bmp":
        out[18:26] = struct.pack("<iI", r.choice((1, -1)) * min(size, 2**31 - 1), other)
    elif ending in ("jpg", "mpo"):
        at = max(bytes(out).find(b"\xff\xc0"), bytes(out).find(b"\xff\xc2"))
        if at > 0:
            out[at + 5 : at + 9] = struct.pack(">HH", size % 65536, other % 65536)
    elif ending in ("ppm", "pgm"):
        head, _, rest = bytes(out).partition(b"\n48 36\n")
        return head + f"\n{size} {other}\n".encode() + rest
    elif ending == "tif":
        for tag in (256, 257):
            at = bytes(out).find(struct.pack("<H", tag))
            if at >= 0:
                out[at + 8 : at + 12] = struct.pack("<I", size % 2**32)
    return bytes(out)


def _chunk_lengths(r: Random, data: bytes) -> bytes:
    """A PNG with a wrong length, a missing chunk, or one twice; checksums kept right."""
    chunks, at = [], 8
    while at + 8 <= len(data):
        length = struct.unpack(">I", data[at : at + 4])[0]
        chunks.append(data[at : at + 12 + length])
        at += 12 + length
    k = r.randrange(len(chunks))
    way = r.randint(0, 3)
    if way == 0:
        wrong = r.choice((0, 2**31 - 1, 2**32 - 1, len(chunks[k]) - 13))
        chunks[k] = struct.pack(">I", max(0, wrong)) + chunks[k][4:]
    elif way == 1:
        del chunks[k]
    elif way == 2:
        chunks.insert(k, r.choice(chunks))
    else:
        kind, body = chunks[k][4:8], damaged_bytes(r, chunks[k][8:-4])
        crc = zlib.crc32(kind + body)
        chunks[k] = struct.pack(">I", len(body)) + kind + body + struct.pack(">I", crc)
    return data[:8] + b"".join(chunks)


def _make(r: Random) -> bytes:
    """One byte for the ending, then the picture."""
    if r.random() < 0.06:
        text = damaged_text(r, r.choice(_SVG), _SVG)
        return b"svg\0" + text.encode("utf-8", "surrogatepass")
    ending, data = r.choice(_valid())
    way = r.random()
    if way < 0.3:
        data = damaged_bytes(r, data)
    elif way < 0.55:
        data = damaged_bytes(r, data, 0)[: r.randint(0, len(data))]
    elif way < 0.8:
        data = _huge(r, ending, data)
    elif ending == "png" and way < 0.9:
        data = _chunk_lengths(r, data)
    elif b"Exif" in data or b"EXIF" in data or b"eXIf" in data:
        at = max(data.find(b"Exif"), data.find(b"EXIF"), data.find(b"eXIf"))
        data = data[:at] + damaged_bytes(r, data[at : at + 120]) + data[at + 120 :]
    else:
        other = r.choice(_valid())
        data = data[: r.randint(0, len(data))] + other[1][r.randint(0, len(other[1])) :]
    if r.random() < 0.1:
        ending = r.choice(_valid())[0]
    return ending.encode() + b"\0" + data


def _run(data: bytes, folder: Path) -> bool:
    """Opened, read reduced, and some of them read for their colours."""
    ending, _, body = data.partition(b"\0")
    path = folder / f"kelp.{ending.decode('ascii', 'replace') if len(ending) < 9 else 'x'}"
    path.write_bytes(body)
    try:
        image_info(path)
        picture = load_image(path, min_size=(200, 200))
        if picture.mode != "RGB":
            raise TypeError(f"picture of mode {picture.mode}")
        if zlib.crc32(body) % 20 == 0:
            read_quickly(path, 12.0)
    finally:
        path.unlink(missing_ok=True)
    return True


KINDS = {"picture": Kind(_make, _run)}
