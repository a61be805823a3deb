"""Files made to break a reader: each is a picture or one clear error, within bounds of memory."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from quiltgeom.errors import QuiltError, QuiltFileError
from quiltgeom.fabric.handed_on import clean_picture
from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.fabric.reading.read_file import read_quickly, read_swatch
from quiltgeom.fabric.source import PictureBytes


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(width: int, height: int, depth: int, kind: int, bits: int, *extra: bytes) -> bytes:
    """A PNG whose rows are all the same, by hand after the specification."""
    row = b"\0" + (bytes(range(16, 256)) * (width * bits // 1920 + 1))[: (width * bits + 7) // 8]
    pack = zlib.compressobj(1)
    data = b"".join([*(pack.compress(row) for _ in range(height)), pack.flush()])
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0))
    parts = [b"\x89PNG\r\n\x1a\n", head, *extra, chunk(b"IDAT", data), chunk(b"IEND", b"")]
    return b"".join(parts)


def saved(image: Image.Image, kind: str, **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def small() -> Image.Image:
    return Image.fromarray(np.random.default_rng(3).integers(0, 256, (24, 40, 3)).astype(np.uint8))


KINDS = [
    "JPEG",
    "PNG",
    "TIFF",
    "WEBP",
    "BMP",
    "GIF",
    "PPM",
    "AVIF",
    "JPEG2000",
    "TGA",
    "PCX",
    "SGI",
    "MPO",
]


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("kind", KINDS)
def test_files_with_faults_are_pictures_or_one_error(kind: str) -> None:
    """Bytes changed, cut and doubled at random; what decoders raise then has no bounds."""
    rng = np.random.default_rng(KINDS.index(kind))
    exif = Image.Exif()
    exif[0x0112], exif[0x013B] = 6, "somebody"
    try:
        whole = saved(small(), kind, **({} if kind in ("PPM", "PCX", "SGI") else {"exif": exif}))
    except (OSError, KeyError):
        pytest.skip(f"{kind} is not known here")
    told = []
    for _ in range(150):
        data = bytearray(whole)
        for place in rng.integers(0, min(len(data), 400), rng.integers(1, 6)):
            data[place] = rng.choice([0, 1, 0x7F, 0x80, 0xFF, int(rng.integers(256))])
        if rng.random() < 0.3:
            del data[rng.integers(len(data)) :]
        for ask in (image_info, load_image, clean_picture):
            try:
                ask(PictureBytes("odd", bytes(data)))
            except QuiltFileError as e:
                told.append(str(e))
    assert told
    assert all(text.startswith("picture odd: ") for text in told)


SHAPES = [
    ((1, 30_000), False),
    ((30_000, 1), False),
    ((300, 2), False),
    ((1, 101), False),
    ((1, 100), True),
    ((1, 1), True),
    ((4, 4), True),
    ((2000, 40), True),
]


@pytest.mark.parametrize(("size", "taken"), SHAPES)
def test_shapes_that_are_no_swatch_are_refused(size: tuple[int, int], taken: bool) -> None:
    source = PictureBytes("x.png", saved(Image.new("RGB", size, (9, 80, 70)), "PNG"))
    for ask in (image_info, load_image):
        if taken:
            ask(source)
            continue
        with pytest.raises(QuiltFileError, match="accepted: at most 100 times as long as wide"):
            ask(source)


def progressive(scans: int) -> bytes:
    """A progressive JPEG that goes over its pixels again and again (ISO/IEC 10918-1, annex G)."""
    data = saved(Image.new("L", (4000, 4000), 90), "JPEG", progressive=True)
    last = data.rindex(b"\xff\xda")
    return data[:last] + data[last:-2] * scans + b"\xff\xd9"


BOMBS = {
    "text.png": (
        png(40, 40, 8, 2, 24, chunk(b"zTXt", b"k\0\0" + zlib.compress(bytes(80_000_000)))),
        "damaged",
    ),
    "profile.png": (
        png(40, 40, 8, 2, 24, chunk(b"iCCP", b"k\0\0" + zlib.compress(bytes(80_000_000)))),
        "damaged",
    ),
    "chunks.png": (png(40, 40, 8, 2, 24, chunk(b"prVt", b"") * 250_000), "more than 200000 chunks"),
    "segments.jpg": (
        b"\xff\xd8" + b"\xff\xfe\0\2" * 250_000 + saved(small(), "JPEG")[2:],
        "more than 200000 segments",
    ),
    "scans.jpg": (progressive(400), "scans of 4000 x 4000 pixels"),
    "remarks.gif": (
        saved(small(), "GIF").replace(
            b",\0\0\0\0", b"!\xfe" + (b"\xff" + bytes(255)) * 5000 + b"\0,\0\0\0\0", 1
        ),
        "megabyte",
    ),
    "canvas.gif": (
        b"GIF89a" + struct.pack("<HH", 60_000, 60_000) + saved(small(), "GIF")[10:],
        "pixels",
    ),
    "frame.gif": (
        saved(small(), "GIF").replace(b",\0\0\0\0\x28\0\x18\0", b",\0\0\0\0\xff\xff\xff\xff", 1),
        "pixels",
    ),
    "plain.ppm": (b"P3 3000 3000 255 " + b"1 " * 100, "up to 4 million pixels"),
    "planes.ppm": (b"P6 3000 3000 100 " + b"1 " * 100, "up to 4 million pixels"),
}


@pytest.mark.parametrize("name", BOMBS)
def test_small_files_that_ask_for_much_are_refused(name: str, tmp_path: Path) -> None:
    data, says = BOMBS[name]
    (tmp_path / name).write_bytes(data)
    for ask in (image_info, load_image, clean_picture):
        with pytest.raises(QuiltFileError, match=says):
            ask(tmp_path / name)


def test_a_tiff_of_absurd_tiles_is_refused() -> None:
    """TIFF 6.0, section 15: tiles are decoded whole, however little of them the picture shows."""
    tags = [
        (256, 3, 64),
        (257, 3, 64),
        (258, 3, 8),
        (259, 3, 8),
        (262, 3, 1),
        (277, 3, 1),
        (322, 4, 40_000),
        (323, 4, 40_000),
        (324, 4, 200),
        (325, 4, 100),
    ]
    ifd = struct.pack("<H", len(tags)) + b"".join(
        struct.pack("<HHII", t, k, 1, v) for t, k, v in tags
    )
    data = (b"II*\0" + struct.pack("<I", 8) + ifd + bytes(4)).ljust(200, b"\0") + bytes(100)
    with pytest.raises(QuiltFileError, match="tiles of 1600000000 pixels"):
        load_image(PictureBytes("x.tif", data))


@pytest.mark.parametrize("kind", ["GIF", "WEBP", "PNG", "TIFF", "AVIF"])
def test_of_a_moving_picture_the_first_is_taken(kind: str) -> None:
    first, second = Image.new("RGB", (40, 24), (200, 30, 20)), Image.new("RGB", (40, 24), "blue")
    try:
        data = saved(first, kind, save_all=True, append_images=[second] * 30)
    except (OSError, KeyError):
        pytest.skip(f"{kind} is not known here")
    red, _, blue = load_image(PictureBytes("x", data)).getpixel((5, 5))  # type: ignore[misc]
    assert red > 150 > 100 > blue


HUGE = {
    "grey16.png": lambda: png(12_000, 12_000, 16, 0, 16),
    "alpha.png": lambda: png(12_000, 12_000, 8, 6, 32),
    "alpha16.png": lambda: png(12_000, 12_000, 16, 6, 64),
    "cmyk.jpg": lambda: saved(Image.new("CMYK", (12_000, 12_000), (9, 80, 70, 3)), "JPEG"),
    "bits.tif": lambda: saved(Image.new("1", (12_000, 12_000), 1), "TIFF", compression="group4"),
    "floats.tif": lambda: saved(
        Image.new("F", (12_000, 12_000), 0.5), "TIFF", compression="tiff_adobe_deflate"
    ),
}
MEASURE = """
import resource, sys
from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.fabric.reading.read_file import read_quickly
image_info(sys.argv[1])
load_image(sys.argv[1])
read_quickly(sys.argv[1], 12.0)
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(peak * (1 if sys.platform == "darwin" else 1024))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="counts memory as Unix does")
@pytest.mark.parametrize("name", HUGE)
def test_the_largest_pictures_take_less_than_two_gigabytes(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(HUGE[name]())
    code = [sys.executable, "-c", MEASURE, str(tmp_path / name)]
    done = subprocess.run(code, capture_output=True, text=True, check=True)
    assert 200e6 < int(done.stdout) < 1.5e9


def test_bytes_in_memory_are_read_as_the_file_is(tmp_path: Path) -> None:
    y, x = np.mgrid[0:300, 0:300] % 50
    dots = np.where(((x - 25) ** 2 + (y - 25) ** 2 < 160)[..., None], (190, 40, 60), 235)
    path = tmp_path / "dots.png"
    Image.fromarray(dots.astype(np.uint8)).save(path, dpi=(50, 50))
    source = PictureBytes("dots.png", path.read_bytes())
    assert image_info(source) == image_info(path)
    for read in (read_swatch, read_quickly):
        assert read(source).to_json() == read(path).to_json()
    with pytest.raises(QuiltError, match=r"picture kelp\.jpg: found an empty file"):
        read_swatch(PictureBytes("kelp.jpg", b""), 6.0)
