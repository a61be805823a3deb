"""Swatch files of every kind: a picture or one clear error."""

from __future__ import annotations

import io
import struct
import zlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from quiltgeom.errors import QuiltError, QuiltFileError, QuiltValueError
from quiltgeom.fabric.cloth import Cloth, cloth_of, tile_image
from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.model.fabric import Fabric, Repeat


def corners() -> Image.Image:
    """60 x 40: red top left, green top right, blue bottom left, white bottom right."""
    pixels = np.zeros((40, 60, 3), dtype=np.uint8)
    pixels[:20, :30] = (200, 20, 20)
    pixels[:20, 30:] = (20, 160, 20)
    pixels[20:, :30] = (20, 20, 200)
    pixels[20:, 30:] = 240
    return Image.fromarray(pixels)


def colour(image: Image.Image, x: float, y: float) -> str:
    pixel = image.getpixel((int(x * image.width), int(y * image.height)))
    assert isinstance(pixel, tuple)
    r, g, b = pixel
    if min(r, g, b) > 150:
        return "white"
    return ("red", "green", "blue")[int(np.argmax((r, g, b)))]


def assert_upright(image: Image.Image) -> None:
    assert image.mode == "RGB"
    assert [colour(image, x, y) for y in (0.25, 0.75) for x in (0.25, 0.75)] == [
        "red",
        "green",
        "blue",
        "white",
    ]


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P", "CMYK", "YCbCr", "LAB"])
@pytest.mark.parametrize("suffix", ["png", "jpg", "tif", "webp", "bmp", "gif"])
def test_formats_and_modes(mode: str, suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"x.{suffix}"
    image = corners()
    if mode == "LAB":
        from PIL import ImageCms

        image = ImageCms.profileToProfile(
            image, ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), outputMode="LAB"
        )
    else:
        image = image.convert(mode)
    try:
        image.save(path)
    except (OSError, KeyError, ValueError):
        pytest.skip(f"{suffix} files cannot hold {mode}")
    if (mode, suffix) == ("YCbCr", "tif"):
        try:
            Image.open(path).load()
        except OSError:
            pytest.skip("this release of Pillow cannot read what it has written")
    assert_upright(load_image(path))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_exif_orientation_is_obeyed(orientation: int, tmp_path: Path) -> None:
    """EXIF 2.3, tag 0x0112: how the stored picture must be turned or mirrored to be upright."""
    undo = {
        1: None,
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }[orientation]
    upright = corners().resize((600, 400))
    stored = upright if undo is None else upright.transpose(undo)
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / "x.jpg"
    stored.save(path, exif=exif, quality=95)
    info = image_info(path)
    assert (info.width, info.height) == (600, 400)
    assert_upright(load_image(path))
    small = load_image(path, min_size=(150, 100))
    assert 150 <= small.width < 600
    assert_upright(small)


def test_sixteen_bit_grey_and_floats(tmp_path: Path) -> None:
    ramp = np.linspace(0, 65535, 256).astype(np.uint16).reshape(16, 16)
    Image.fromarray(ramp).save(tmp_path / "x.png")
    grey = np.asarray(load_image(tmp_path / "x.png"))
    assert np.array_equal(grey[..., 0].ravel(), np.arange(256))
    Image.fromarray((ramp / 65535).astype(np.float32)).save(tmp_path / "x.tif")
    assert np.array_equal(np.asarray(load_image(tmp_path / "x.tif")), grey)


def test_sixteen_bit_colour_png(tmp_path: Path) -> None:
    """Made by hand after the PNG specification: bit depth 16, colour type 2."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    rows = b"".join(b"\0" + struct.pack(">9H", *([60000, 1000, 1000] * 3)) for _ in range(3))
    (tmp_path / "x.png").write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", 3, 3, 16, 2, 0, 0, 0))
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )
    assert load_image(tmp_path / "x.png").getpixel((1, 1)) == (234, 3, 3)


def test_transparency_lies_on_white(tmp_path: Path) -> None:
    Image.new("RGBA", (4, 4), (0, 0, 0, 0)).save(tmp_path / "x.png")
    assert load_image(tmp_path / "x.png").getpixel((0, 0)) == (255, 255, 255)


def test_damaged_and_foreign_files_get_one_clear_error(tmp_path: Path) -> None:
    whole = io.BytesIO()
    corners().resize((600, 400)).save(whole, "JPEG")
    bad = {
        "cut.jpg": whole.getvalue()[:700],
        "text.png": b"not a picture",
        "empty.jpg": b"",
        "page.svg": b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>",
    }
    for name, data in bad.items():
        (tmp_path / name).write_bytes(data)
        with pytest.raises(QuiltFileError, match=name):
            load_image(tmp_path / name)
    for odd in (tmp_path / "none.png", tmp_path):
        with pytest.raises(QuiltFileError, match="no such file"):
            load_image(odd)


def test_a_bomb_is_refused_before_it_is_decoded(tmp_path: Path) -> None:
    Image.new("1", (20_000, 20_000)).save(tmp_path / "bomb.png")
    with pytest.raises(QuiltFileError, match=r"400000000 pixels.*up to 150 million"):
        image_info(tmp_path / "bomb.png")


@pytest.mark.parametrize(
    ("dpi", "believed"), [(300, True), (150, True), (72, False), (96, False), (1, False)]
)
def test_density_is_believed_only_where_somebody_set_it(
    dpi: int, believed: bool, tmp_path: Path
) -> None:
    corners().save(tmp_path / "x.png", dpi=(dpi, dpi))
    fabric = Fabric("x", image=tmp_path / "x.png")
    if believed:
        # pHYs stores whole pixels per metre: 300 dpi comes back as 299.9994
        assert cloth_of(fabric).width == pytest.approx(60 / dpi, rel=1e-4)
    else:
        with pytest.raises(QuiltValueError, match="does not say how large"):
            cloth_of(fabric)


def test_one_pixel_is_cloth_too(tmp_path: Path) -> None:
    Image.new("RGB", (1, 1), (9, 8, 7)).save(tmp_path / "x.png")
    cloth = cloth_of(Fabric("x", image=tmp_path / "x.png", width=12))
    assert tile_image(cloth, 1000).size == (1, 1)


def test_a_repeat_larger_than_the_swatch_is_refused(tmp_path: Path) -> None:
    corners().save(tmp_path / "x.png")
    with pytest.raises(QuiltError, match="repeat that the swatch shows whole"):
        cloth_of(Fabric("x", image=tmp_path / "x.png", width=6, repeat=Repeat(7, 2)))


def test_a_half_drop_tile_is_the_repeat_and_its_lowered_twin(tmp_path: Path) -> None:
    """Moving the tile by (width, height / 2) of the repeat must leave it as it is."""
    rng = np.random.default_rng(1).integers(0, 255, (40, 30, 3), dtype=np.uint8)
    Image.fromarray(np.tile(rng, (3, 4, 1))).save(tmp_path / "x.png")
    repeat = Repeat(3, 4, "half-drop")
    base = cloth_of(Fabric("x", image=tmp_path / "x.png", width=12, repeat=repeat))
    cloth: Cloth = replace(base, kind="repeat")
    assert cloth.tile_size == (6, 4)
    tile = np.asarray(tile_image(cloth, 1000))
    assert tile.shape == (40, 60, 3)
    assert np.array_equal(np.roll(tile, (20, 30), axis=(0, 1)), tile)
    assert np.array_equal(tile[:, :30], rng)


def test_a_png_cut_short_is_damaged_whichever_way_it_is_asked(tmp_path: Path) -> None:
    """Pillow decodes a PNG to look for its orientation: that, too, meets the end of the file."""
    whole, half = tmp_path / "whole.png", tmp_path / "half.png"
    Image.effect_noise((96, 96), 40).convert("RGB").save(whole)
    half.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    for ask in (image_info, load_image):
        with pytest.raises(QuiltFileError, match="damaged"):
            ask(half)
