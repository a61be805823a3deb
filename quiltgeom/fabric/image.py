"""Any picture file to an upright 8-bit RGB picture, and what the file says of its density.

Whatever a file holds, it is answered or refused in bounded time and memory: by its size in pixels
and its parts before it is decoded, and all that a decoder may raise becomes one clear error.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

from quiltgeom.errors import QuiltError, QuiltFileError
from quiltgeom.fabric.heads import read_head
from quiltgeom.fabric.source import PictureBytes, Source, opened
from quiltgeom.fabric.svg_artwork import Raster, svg_raster
from quiltgeom.fabric.to_rgb import plain_rgb

if TYPE_CHECKING:
    from PIL import Image

MAX_PIXELS = 150_000_000
"""Larger pictures are refused before they are decoded (a 12-inch swatch at 1000 dpi has 144 M)."""

MAX_ASPECT = 100
"""Longer side to shorter side: a half-inch ribbon across 44-inch cloth has 88."""

_MOST = {"WEBP": 70_000_000, "AVIF": 50_000_000, "JPEG2000": 12_000_000}
"""Fewer for kinds whose decoders hold several copies, or are slow."""

_SLOW = 4_000_000
"""Pixels, for the few kinds that are decoded in Python."""

_SCANS = 3_000_000_000
"""Pixels times scans of a progressive JPEG: a small file can ask for thousands of scans."""

_MOST_TILE = 16_777_216
"""Pixels of one tile of a TIFF, which is decoded whole; usual ones have 65,536."""

NO_WIDTH = "found no believable density in it"
"""Said of a picture that does not state how large it really is."""

_ORIENTATION = 0x0112
_TURNED = (5, 6, 7, 8)  # EXIF orientations that swap width and height
_FORMATS = tuple("JPEG PNG TIFF WEBP BMP GIF PPM MPO AVIF JPEG2000 TGA PCX SGI".split())


@dataclass(frozen=True, slots=True)
class ImageInfo:
    """What the head of a picture file says.

    Attributes:
        width, height: pixels, after turning it upright (EXIF orientation).
        ppi: pixels per inch if the file states a believable density, else None.
        mode: the file's pixel format in Pillow's words, e.g. ``"CMYK"``.
        format: e.g. ``"JPEG"``; ``"SVG"`` for a drawing, whose pixels are those it is drawn with.
        upright: whether the pixels are stored upright.
        orientation: how they are stored, 1 to 8 as EXIF counts.
        lens_mm: of a lens that sees as much on the 35 mm frame, if a photo states it.
    """

    width: int
    height: int
    ppi: float | None
    mode: str
    format: str
    upright: bool
    orientation: int = 1
    lens_mm: float | None = None


def image_info(path: Source) -> ImageInfo:
    """Read the head of a picture file (not its pixels).

    Args:
        path: the file, or its bytes as :class:`~quiltgeom.fabric.source.PictureBytes`.

    Raises:
        QuiltFileError: missing, not a picture, too large, or of a shape that is no swatch.
    """
    drawing = svg_raster(path)
    with _image(path, drawing) as (image, orientation):
        w, h = image.size[::-1] if orientation in _TURNED else image.size
        if drawing:
            return ImageInfo(w, h, drawing.ppi, "RGB", "SVG", True)
        kind = image.mode, image.format or ""
        upright = orientation == 1
        return ImageInfo(w, h, _density(image), *kind, upright, orientation, _lens(image))


def load_image(path: Source, *, min_size: tuple[int, int] | None = None) -> Image.Image:
    """Decode a picture: upright, 8-bit RGB, first frame, transparency laid on white.

    Nothing but pixels comes along: no comment, profile or EXIF.

    Args:
        path: JPEG, PNG, TIFF, WebP, SVG, ... in grey, palette, RGBA, CMYK or 16 bits; the file, or
            its bytes as :class:`~quiltgeom.fabric.source.PictureBytes`.
        min_size: if given, a JPEG may come out smaller than it is stored, but not smaller than
            this (width, height): decoding then takes a fraction of the time.

    Raises:
        QuiltFileError: missing, not a picture, truncated, too large, or of a shape that is no
            swatch.
    """
    with _image(path, svg_raster(path)) as (image, orientation):
        with _decoding(path):
            if min_size and image.format in ("JPEG", "MPO"):
                image.draft("RGB", min_size[::-1] if orientation in _TURNED else min_size)
            image.load()
        return plain_rgb(image, orientation)


@contextmanager
def _image(path: Source, drawing: Raster | None) -> Iterator[tuple[Image.Image, int]]:
    """A picture (for a drawing: what it was drawn as), opened but not decoded, and its EXIF
    orientation; refused here if it is too large."""
    from PIL import Image

    with opened(PictureBytes(str(path), drawing.png) if drawing else path) as file:
        with _decoding(path, file):
            exif, scans = read_head(file)
            image = Image.open(file, formats=_known_formats())
            if exif:
                image.info["exif"] = exif
        with image:
            _check(image, path, scans)
            yield image, _orientation(image)


@contextmanager
def _decoding(path: Source, file: BinaryIO | None = None) -> Iterator[None]:
    """Turns whatever a decoder raises (they know no bounds there) into one error."""
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except QuiltError:
        raise
    except UnidentifiedImageError as e:
        raise QuiltFileError(
            f"picture {path}: {_looks_like(file)}; accepted: JPEG, PNG, TIFF, WebP, BMP, GIF, SVG"
        ) from e
    except Image.DecompressionBombError as e:
        raise QuiltFileError(
            f"picture {path}: found too many pixels ({e}); accepted: up to "
            f"{MAX_PIXELS // 1_000_000} million pixels"
        ) from e
    except Exception as e:
        raise QuiltFileError(
            f"picture {path}: found a damaged file ({_said(e)}); accepted: a complete picture"
        ) from e


def _said(e: Exception) -> str:
    """What a decoder says, without what a hostile file may have put into it."""
    text = "".join(c if c.isprintable() else " " for c in str(e))[:120].strip()
    return text or type(e).__name__


def _check(image: Image.Image, path: Source, scans: int) -> None:
    w, h = image.size
    most = _most_pixels(image)
    if w * h > most:
        kind = "" if most == MAX_PIXELS else f" in a {image.format} file of this kind"
        raise QuiltFileError(
            f"picture {path}: found {w} x {h} pixels; accepted: up to "
            f"{most // 1_000_000} million pixels{kind}"
        )
    if w * h * scans > _SCANS:
        raise QuiltFileError(
            f"picture {path}: found {scans} scans of {w} x {h} pixels in it; accepted: up to "
            f"{_SCANS // (w * h)}; save it as an ordinary JPEG"
        )
    side = _tile_pixels(image)
    if side > _MOST_TILE:
        raise QuiltFileError(
            f"picture {path}: found tiles of {side} pixels in it; accepted: up to {_MOST_TILE}"
        )
    if max(w, h) > MAX_ASPECT * min(w, h):
        raise QuiltFileError(
            f"picture {path}: found {w} x {h} pixels; accepted: at most {MAX_ASPECT} times as "
            "long as wide"
        )


def _most_pixels(image: Image.Image) -> int:
    from PIL import Image

    # an opened file's tiles name their decoders, and those written in Python are on this list
    tiles = getattr(image, "tile", None) or ()
    slow = any(tile[0] in Image.DECODERS for tile in tiles)
    return _SLOW if slow else _MOST.get(image.format or "", MAX_PIXELS)


def _tile_pixels(image: Image.Image) -> int:
    """Pixels of a TIFF's tiles, 0 where it has none."""
    tags = getattr(image, "tag_v2", None)
    sides = [tags.get(tag) for tag in (322, 323)] if tags is not None else []
    whole = [side for side in sides if isinstance(side, int)]
    return whole[0] * whole[1] if len(whole) == 2 else 0


_HEADS = (
    (b"II*\0", "found a TIFF of a kind that cannot be read (such as separate colour planes)"),
    (b"MM\0*", "found a TIFF of a kind that cannot be read (such as separate colour planes)"),
    (b"\xff\xd8", "found a damaged JPEG"),
    (b"\x89PNG", "found a damaged PNG"),
    (b"GIF8", "found a damaged GIF"),
    (b"%PDF", "found a PDF, which is pages and no photo"),
)


def _looks_like(file: BinaryIO | None) -> str:
    """What a file that is no readable picture seems to be."""
    head = b""
    if file is not None:
        file.seek(0)
        head = file.read(512)
    if not head:
        return "found an empty file"
    for start, words in _HEADS:
        if head.startswith(start):
            return words
    if head[4:8] == b"ftyp":
        return "found a phone's picture or a film (such as HEIC): save it as JPEG first"
    return "found no picture in it"


def _known_formats() -> list[str]:
    from PIL import Image

    Image.init()
    return [f for f in _FORMATS if f in Image.OPEN]


def _orientation(image: Image.Image) -> int:
    """EXIF orientation, 1 where the file states none that can be read."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            # of the base class: a PNG's own would decode the picture to look for it
            stated = Image.Image.getexif(image).get(_ORIENTATION)
    except Exception:  # EXIF is full of faults, and the picture is there all the same
        return 1
    return stated if isinstance(stated, int) and 1 <= stated <= 8 else 1


def _lens(image: Image.Image) -> float | None:
    """Focal length as on the 35 mm frame (EXIF 2.3, tag 41989), if a believable one is stated."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            stated = float(Image.Image.getexif(image).get_ifd(0x8769).get(0xA405, 0))
    except Exception:  # as above
        return None
    return stated if 8 <= stated <= 400 else None


def _density(image: Image.Image) -> float | None:
    """Stated pixels per inch, if equal both ways and more than a screen's default."""
    try:
        x, y = (float(v) for v in image.info.get("dpi") or ())
    except (TypeError, ValueError, ArithmeticError):
        return None
    believable = 20 <= x <= 10_000 and abs(x - y) <= 0.01 * x
    # 72 and 96 are what programs write when they do not know
    return x if believable and round(x) not in (72, 96) else None
