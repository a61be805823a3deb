"""Pictures that are handed on: the same pixels and size, and no word about whoever took them."""

from __future__ import annotations

import io
import re
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms
from PIL.PngImagePlugin import PngInfo
from PIL.TiffImagePlugin import IFDRational

from quiltgeom.errors import QuiltFileError
from quiltgeom.fabric.handed_on import clean_picture
from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.fabric.source import PictureBytes

SECRET = b"SECRET-OF-THE-QUILTER"
WORD = SECRET.decode()
GPS = (IFDRational(51), IFDRational(7), IFDRational(123456, 1000))
PROFILE = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def picture(size: tuple[int, int] = (64, 40)) -> Image.Image:
    rows = np.random.default_rng(4).integers(0, 256, (5, 8, 3)).astype(np.uint8)
    return Image.fromarray(rows).resize(size, Image.Resampling.BICUBIC)


def told(orientation: int = 1, ppi: int | None = None) -> Image.Exif:
    """EXIF 2.3 as a phone writes it: names, a serial number, the place of taking."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x013B] = exif[0x8298] = exif[0x010E] = exif[0x0110] = WORD  # artist, copyright, ...
    exif.get_ifd(0x8769).update({0xA430: WORD, 0xA431: WORD, 0x927C: SECRET})  # owner, serial
    exif.get_ifd(0x8825).update({1: "N", 2: GPS, 3: "W", 4: GPS, 29: WORD})
    if ppi:
        exif[0x011A] = exif[0x011B] = IFDRational(ppi)
        exif[0x0128] = 2
    return exif


def jpeg(orientation: int = 1, ppi: int | None = None, *, jfif: bool = True) -> bytes:
    """A JPEG with every kind of remark, a second picture (as phones add) and words at its end."""
    out = io.BytesIO()
    density = {"dpi": (ppi, ppi)} if ppi and jfif else {}
    picture().save(
        out,
        "JPEG",
        quality=90,
        exif=told(orientation, ppi),
        comment=SECRET,
        icc_profile=PROFILE,
        xmp=b"<x:xmpmeta>" + SECRET,
        **density,
    )
    data = out.getvalue()
    iptc = b"Photoshop 3.0\08BIM\4\4\0\0" + struct.pack(">I", len(SECRET)) + SECRET
    others = ((0xED, iptc), (0xE2, b"MPF\0" + SECRET), (0xE9, SECRET), (0xE0, b"JFXX\0" + SECRET))
    extra = b"".join(struct.pack(">BBH", 0xFF, mark, len(body) + 2) + body for mark, body in others)
    at = data.index(b"\xff\xdb")
    return data[:at] + extra + data[at:] + b"\xff\xd8" + SECRET + b"\xff\xd9" + SECRET


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(mode: str = "RGB", orientation: int = 1) -> bytes:
    """A PNG with every kind of remark before and after its pixels, and words at its end."""
    words = PngInfo()
    words.add_text("Author", WORD)
    words.add_text("Comment", WORD, zip=True)
    words.add_itxt("XML:com.adobe.xmp", WORD, zip=True)
    out = io.BytesIO()
    picture().convert(mode).save(
        out, "PNG", pnginfo=words, exif=told(orientation), dpi=(300, 300), icc_profile=PROFILE
    )
    data = out.getvalue()
    at = data.index(b"IDAT") - 4
    private = chunk(b"prVt", SECRET) + chunk(b"tIME", b"\x07\xe8\1\2\3\4\5")
    data = data[:at] + private + data[at:-12] + chunk(b"tEXt", b"Title\0" + SECRET) + data[-12:]
    return data + SECRET


def everything_in(data: bytes) -> bytes:
    """The file, and whatever in it is compressed, decompressed."""
    found = [data]
    for start in re.finditer(rb"\x78[\x01\x5e\x9c\xda]", data):
        stream = zlib.decompressobj()
        try:
            found.append(stream.decompress(data[start.start() :], 1 << 20))
        except zlib.error:
            continue
    return b"\n".join(found)


def check_the_same(before: bytes, after: bytes, rel: float = 1e-6) -> None:
    old, new = (image_info(PictureBytes("x", d)) for d in (before, after))
    assert (new.width, new.height) == (old.width, old.height)
    assert new.ppi == (None if old.ppi is None else pytest.approx(old.ppi, rel=rel))
    a, b = (np.asarray(load_image(PictureBytes("x", d))) for d in (before, after))
    assert np.array_equal(a, b)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize(("ppi", "jfif"), [(None, True), (300, True), (300, False), (254, False)])
def test_a_jpeg_keeps_its_pixels_and_size_alone(
    orientation: int, ppi: int | None, jfif: bool
) -> None:
    data = jpeg(orientation, ppi, jfif=jfif)
    assert everything_in(data).count(SECRET) >= 10
    clean, ending = clean_picture(PictureBytes("photo.jpg", data))
    assert ending == ".jpg"
    assert SECRET not in everything_in(clean)
    with Image.open(io.BytesIO(clean)) as opened:
        assert set(opened.getexif()) <= {0x0112, 0x011A, 0x011B, 0x0128}
        assert not opened.getexif().get_ifd(0x8825)
        assert opened.info["icc_profile"] == PROFILE
        assert ("exif" in opened.info) == (orientation != 1 or not jfif)
    assert clean.endswith(b"\xff\xd9")
    assert clean.count(b"\xff\xd8\xff") == 1
    check_the_same(data, clean)
    assert clean_picture(PictureBytes("photo.jpg", data))[0] == clean
    assert clean_picture(PictureBytes("photo.jpg", clean))[0] == clean


@pytest.mark.parametrize(
    "how",
    [{"progressive": True}, {"restart_marker_blocks": 1}, {"subsampling": 2}, {"optimize": True}],
)
@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_jpegs_of_every_build_keep_their_pixels(how: dict[str, int], mode: str) -> None:
    out = io.BytesIO()
    picture((333, 217)).convert(mode).save(out, "JPEG", comment=SECRET, **how)
    clean, ending = clean_picture(PictureBytes("x.jpg", out.getvalue()))
    assert ending == ".jpg"
    assert SECRET not in clean
    check_the_same(out.getvalue(), clean)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "LA", "P", "1", "I;16"])
def test_a_png_keeps_its_pixels_and_size_alone(mode: str, orientation: int) -> None:
    data = png(mode, orientation)
    assert everything_in(data).count(SECRET) >= 5
    clean, ending = clean_picture(PictureBytes("x.png", data))
    assert ending == ".png"
    assert SECRET not in everything_in(clean)
    names = re.findall(rb"IHDR|PLTE|tRNS|iCCP|pHYs|eXIf|IDAT|IEND|[tiz][TE][XE][tTxI]t", clean)
    assert (b"eXIf" in names) == (orientation != 1)
    assert clean.endswith(chunk(b"IEND", b""))
    check_the_same(data, clean)
    assert clean_picture(PictureBytes("x.png", clean))[0] == clean


def test_the_way_up_is_found_behind_a_pngs_pixels() -> None:
    """PNG, third edition, 11.3.4.5: eXIf may stand anywhere between IHDR and IEND."""
    out = io.BytesIO()
    picture().save(out, "PNG")
    exif = Image.Exif()
    exif[0x0112] = 6
    late = chunk(b"eXIf", exif.tobytes().removeprefix(b"Exif\0\0"))
    data = out.getvalue()[:-12] + late + out.getvalue()[-12:]
    assert image_info(PictureBytes("x", data)).width == 40
    clean, _ = clean_picture(PictureBytes("x", data))
    check_the_same(data, clean)


def test_words_hidden_behind_the_compressed_pixels_go() -> None:
    out = io.BytesIO()
    picture().save(out, "PNG")
    with_words = re.sub(
        rb"(?s)....IDAT(.*)....\0\0\0\0IEND....",
        lambda m: chunk(b"IDAT", m[1] + SECRET) + chunk(b"IEND", b""),
        out.getvalue(),
    )
    assert SECRET in with_words
    assert SECRET not in clean_picture(PictureBytes("x", with_words))[0]


@pytest.mark.parametrize("kind", ["TIFF", "WEBP", "GIF", "BMP", "AVIF"])
def test_every_other_kind_becomes_a_png(kind: str) -> None:
    out = io.BytesIO()
    try:
        picture().save(out, kind, exif=told(6), xmp=SECRET, comment=SECRET, dpi=(200, 200))
    except (OSError, KeyError, ValueError):
        pytest.skip(f"{kind} is not known here")
    clean, ending = clean_picture(PictureBytes("x", out.getvalue()))
    assert ending == ".png"
    assert SECRET not in everything_in(clean)
    assert image_info(PictureBytes("x", clean)).upright
    check_the_same(out.getvalue(), clean, rel=1e-4)  # whole pixels per metre


def test_a_drawing_becomes_pixels_of_its_stated_size() -> None:
    svg = (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='6in' height='4in'><!-- {WORD} -->"
        "<rect width='100' height='100' fill='#a03020'/></svg>"
    ).encode()
    clean, ending = clean_picture(PictureBytes("x.svg", svg))
    assert ending == ".png"
    assert SECRET not in everything_in(clean)
    info = image_info(PictureBytes("x", clean))
    assert info.ppi is not None
    assert info.width / info.ppi == pytest.approx(6, rel=1e-4)
    check_the_same(svg, clean, rel=1e-4)


@pytest.mark.parametrize(
    "data",
    [
        jpeg()[:1500],
        png()[:400],
        b"",
        b"a list",
        b"\xff\xd8\xff\xe0",
        b"\x89PNG\r\n\x1a\n",
        jpeg()[:200],
    ],
    ids=["jpeg", "png", "empty", "text", "soi", "signature", "head"],
)
def test_a_damaged_picture_is_one_clear_error(data: bytes, tmp_path: Path) -> None:
    (tmp_path / "photo.jpg").write_bytes(data)
    with pytest.raises(QuiltFileError, match=r"photo\.jpg.*accepted"):
        clean_picture(tmp_path / "photo.jpg")


def test_decoded_pictures_carry_no_remarks_along() -> None:
    """Saving what was decoded (as previews, pages and drawings do) writes pixels alone."""
    for data in (jpeg(), png()):
        image = load_image(PictureBytes("x", data))
        for kind in ("PNG", "JPEG", "TIFF", "WEBP", "GIF"):
            out = io.BytesIO()
            image.save(out, kind)
            assert SECRET not in everything_in(out.getvalue())
            assert PROFILE[64:128] not in everything_in(out.getvalue())
