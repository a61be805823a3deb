"""Files that are not a plain photo: each gives a reading or one clear error."""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageCms

from quiltgeom.cli import cli
from quiltgeom.errors import QuiltError, QuiltFileError, QuiltValueError
from quiltgeom.fabric.reading.read_file import read_swatch

Write = Callable[[Path], object]


def dots(n: int = 300) -> np.ndarray:
    y, x = np.mgrid[0:n, 0:n] % 50
    on = ((x - 25) ** 2 + (y - 25) ** 2 < 160)[..., None]
    return np.where(on, (190, 40, 60), (240, 235, 220)).astype(np.uint8)


RGB = Image.fromarray(dots())
GREY = RGB.convert("L")


def _turned(p: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    RGB.crop((0, 0, 300, 200)).save(p, exif=exif)


def _clear_gif(p: Path) -> None:
    RGB.quantize(8).save(p, transparency=0)


def _profile(p: Path) -> None:
    RGB.save(p, icc_profile=ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())


def _cut(p: Path) -> None:
    RGB.save(p)
    p.write_bytes(p.read_bytes()[:1500])


def _planes(p: Path) -> None:
    """A TIFF whose red, green and blue lie in separate strips, of 12 bits each: rare, but legal."""
    entries = [
        (256, 3, 1, 8),
        (257, 3, 1, 8),
        (258, 3, 1, 12),
        (259, 3, 1, 1),
        (262, 3, 1, 2),
        (273, 4, 1, 200),
        (277, 3, 1, 3),
        (278, 3, 1, 8),
        (279, 4, 1, 96),
        (284, 3, 1, 2),
    ]
    ifd = struct.pack("<H", len(entries)) + b"".join(
        struct.pack("<HHIHxx" if kind == 3 else "<HHII", tag, kind, n, v)
        for tag, kind, n, v in entries
    )
    data = b"II*\0" + struct.pack("<I", 8) + ifd + struct.pack("<I", 0)
    p.write_bytes(data.ljust(200, b"\0") + bytes(300))


def _hundred_megapixels(p: Path) -> None:
    RGB.resize((10_000, 10_000), Image.Resampling.NEAREST).save(p, quality=60)


READ: dict[str, Write] = {
    "wide-grey.png": lambda p: Image.fromarray(np.asarray(GREY).astype(np.uint16) * 257).save(p),
    "float.tif": lambda p: Image.fromarray(np.asarray(GREY).astype(np.float32) / 255).save(p),
    "cmyk.jpg": lambda p: RGB.convert("CMYK").save(p),
    "cmyk.tif": lambda p: RGB.convert("CMYK").save(p),
    "lab.tif": lambda p: ImageCms.profileToProfile(
        RGB, ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), outputMode="LAB"
    ).save(p),
    "palette.png": lambda p: RGB.quantize(8).save(p),
    "clear.gif": _clear_gif,
    "animated.gif": lambda p: RGB.save(p, save_all=True, append_images=[GREY]),
    "animated.webp": lambda p: RGB.save(p, save_all=True, append_images=[RGB], lossless=True),
    "pages.tif": lambda p: RGB.save(p, save_all=True, append_images=[GREY]),
    "turned.jpg": _turned,
    "rgba.png": lambda p: RGB.convert("RGBA").save(p),
    "grey-alpha.png": lambda p: GREY.convert("LA").save(p),
    "bit.png": lambda p: GREY.convert("1").save(p),
    "profile.jpg": _profile,
    "progressive.jpg": lambda p: RGB.save(p, progressive=True),
    "wrong-ending.png": lambda p: RGB.save(p, format="JPEG"),
    "bitmap.bmp": lambda p: RGB.save(p),
    "100-megapixels.jpg": _hundred_megapixels,
}
REFUSED: dict[str, tuple[Write, str]] = {
    "one-pixel.png": (lambda p: RGB.crop((0, 0, 1, 1)).save(p), "1 x 1"),
    "strip.png": (lambda p: RGB.crop((0, 0, 300, 4)).save(p), "300 x 4"),
    "cut.jpg": (_cut, "damaged"),
    "text.jpg": (lambda p: p.write_text("a shopping list"), "no picture"),
    "empty.png": (lambda p: p.write_bytes(b""), "empty"),
    "drawing.svg": (
        lambda p: p.write_text("<svg xmlns='http://www.w3.org/2000/svg'></svg>"),
        "SVG",
    ),
    "folder": (lambda p: p.mkdir(), "folder"),
    "planes.tif": (_planes, "TIFF"),
    "phone.heic": (lambda p: p.write_bytes(b"\0\0\0\x18ftypheic" + bytes(40)), "JPEG first"),
    "pages.pdf": (lambda p: p.write_bytes(b"%PDF-1.7\n"), "PDF"),
    "missing.jpg": (lambda p: None, "no such file"),
}


@pytest.mark.parametrize("name", READ)
def test_is_read(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    READ[name](path)
    reading = read_swatch(path, 12.0)
    assert reading.repeat.kind == "straight", name
    pitch = 12.0 * 50 / (200 if "turned" in name else 300)
    assert reading.repeat.cell_in == pytest.approx((pitch, pitch), rel=0.02)
    if name == "turned.jpg":
        assert reading.height_in == pytest.approx(12.0 * 300 / 200)


@pytest.mark.parametrize("name", REFUSED)
def test_is_refused_with_one_clear_error(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    write, says = REFUSED[name]
    write(path)
    with pytest.raises((QuiltFileError, QuiltValueError), match=says) as caught:
        read_swatch(path, 12.0)
    assert isinstance(caught.value, QuiltError)
    assert "accepted" in str(caught.value)
    result = CliRunner().invoke(cli, ["read", str(path), "--width", "12in"])
    assert result.exit_code == 2
    assert says in result.output.replace("\n", " ")
    assert not list(tmp_path.glob("*.reading.json"))
