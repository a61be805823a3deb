"""Any picture file to an upright 8-bit RGB picture, and what the file says of its density."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from quiltgeom.errors import QuiltFileError, QuiltValueError

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["MAX_PIXELS", "ImageInfo", "image_info", "load_image"]

MAX_PIXELS = 150_000_000
"""Larger pictures are refused before they are decoded (a 12-inch swatch at 1000 dpi has 144 M)."""

_ORIENTATION = 0x0112
_DAMAGE = (OSError, SyntaxError, ValueError, MemoryError, EOFError)
_TURNED = (5, 6, 7, 8)  # EXIF orientations that swap width and height
_FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF", "PPM", "MPO", "AVIF", "JPEG2000", "TGA",
            "PCX", "ICO", "SGI")  # fmt: skip


@dataclass(frozen=True, slots=True)
class ImageInfo:
    """What the head of a picture file says.

    Attributes:
        width, height: pixels, after turning it upright (EXIF orientation).
        ppi: pixels per inch if the file states a believable density, else None.
        mode: the file's pixel format in Pillow's words, e.g. ``"CMYK"``.
        format: e.g. ``"JPEG"``.
        upright: whether the pixels are stored upright.
    """

    width: int
    height: int
    ppi: float | None
    mode: str
    format: str
    upright: bool


def image_info(path: str | Path) -> ImageInfo:
    """Read the head of a picture file (not its pixels).

    Raises:
        QuiltFileError: missing, not a picture, or too large.
    """
    with _open(path) as image:
        return _info(image, path)


def load_image(path: str | Path, *, min_size: tuple[int, int] | None = None) -> Image.Image:
    """Decode a picture: upright, 8-bit RGB, first frame, transparency laid on white.

    Args:
        path: JPEG, PNG, TIFF, WebP, ... in grey, palette, RGBA, CMYK or 16 bits.
        min_size: if given, a JPEG may come out smaller than it is stored, but not smaller than
            this (width, height): decoding then takes a fraction of the time.

    Raises:
        QuiltFileError: missing, not a picture, truncated, or too large.
    """
    from PIL import Image, ImageOps

    with _open(path) as image:
        turned = _orientation(image, path) in _TURNED
        if min_size and image.format == "JPEG" and image.mode in ("RGB", "L"):
            image.draft("RGB", min_size[::-1] if turned else min_size)
        try:
            image.load()
            upright: Image.Image = ImageOps.exif_transpose(image)
        except _DAMAGE as e:
            raise _damaged(path, e) from e
        except Image.DecompressionBombError as e:
            raise _too_large(path, image.size) from e
        return _to_rgb(upright)


def _open(path: str | Path) -> Image.Image:
    from PIL import Image, UnidentifiedImageError

    path = Path(path)
    if not path.is_file():
        found = "a folder, no such file" if path.is_dir() else "no such file"
        raise QuiltFileError(f"picture {path}: found {found}; accepted: a picture file")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            image = Image.open(path, formats=_known_formats())
    except UnidentifiedImageError as e:
        raise QuiltFileError(
            f"picture {path}: {_looks_like(path)}; accepted: JPEG, PNG, TIFF, WebP, BMP, GIF"
        ) from e
    except Image.DecompressionBombError as e:
        raise QuiltFileError(
            f"picture {path}: found too many pixels ({e}); accepted: up to "
            f"{MAX_PIXELS // 1_000_000} million pixels"
        ) from e
    except (OSError, ValueError, SyntaxError) as e:
        raise QuiltFileError(f"picture {path}: cannot be read ({e})") from e
    if image.width * image.height > MAX_PIXELS:
        image.close()
        raise _too_large(path, image.size)
    return image


_HEADS = (
    (b"II*\0", "found a TIFF of a kind that cannot be read (such as separate colour planes)"),
    (b"MM\0*", "found a TIFF of a kind that cannot be read (such as separate colour planes)"),
    (b"\xff\xd8", "found a damaged JPEG"),
    (b"\x89PNG", "found a damaged PNG"),
    (b"GIF8", "found a damaged GIF"),
    (b"%PDF", "found a PDF, which is pages and no photo"),
)


def _looks_like(path: Path) -> str:
    """What a file that is no readable picture seems to be."""
    try:
        with path.open("rb") as file:
            head = file.read(512)
    except OSError as e:
        return f"cannot be read ({e.strerror})"
    if not head:
        return "found an empty file"
    for start, words in _HEADS:
        if head.startswith(start):
            return words
    if head[4:8] == b"ftyp":
        return "found a phone's picture or a film (such as HEIC): save it as JPEG first"
    if b"<svg" in head:
        return "found an SVG drawing: save it as PNG first"
    return "found no picture in it"


def _known_formats() -> list[str]:
    from PIL import Image

    Image.init()
    return [f for f in _FORMATS if f in Image.OPEN]


def _orientation(image: Image.Image, path: str | Path) -> int:
    """EXIF orientation, 1 where the file states none (a PNG is decoded to look for it)."""
    try:
        return int(image.getexif().get(_ORIENTATION, 1))
    except _DAMAGE as e:
        raise _damaged(path, e) from e


def _damaged(path: str | Path, e: BaseException) -> QuiltFileError:
    return QuiltFileError(
        f"picture {path}: found a damaged file ({e}); accepted: a complete picture"
    )


def _too_large(path: str | Path, size: tuple[int, int]) -> QuiltFileError:
    return QuiltFileError(
        f"picture {path}: found {size[0]} x {size[1]} pixels; accepted: up to "
        f"{MAX_PIXELS // 1_000_000} million pixels"
    )


def _info(image: Image.Image, path: str | Path) -> ImageInfo:
    orientation = _orientation(image, path)
    w, h = image.size
    if orientation in _TURNED:
        w, h = h, w
    return ImageInfo(w, h, _density(image), image.mode, image.format or "",
                     orientation in (0, 1))  # fmt: skip


def _density(image: Image.Image) -> float | None:
    """Stated pixels per inch, if equal both ways and more than a screen's default."""
    stated = image.info.get("dpi")
    if not isinstance(stated, tuple) or len(stated) != 2:
        return None
    x, y = (float(v) for v in stated)
    believable = 20 <= x <= 10_000 and abs(x - y) <= 0.01 * x
    # 72 and 96 are what programs write when they do not know
    return x if believable and round(x) not in (72, 96) else None


def _to_rgb(image: Image.Image) -> Image.Image:
    from PIL import Image

    if image.mode == "RGB":
        return image
    if image.mode.startswith("I") or image.mode == "F":
        return _wide_grey_to_rgb(image)
    if image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info:
        rgba = image.convert("RGBA")
        white = Image.new("RGBA", rgba.size, (255, 255, 255, 255))
        return Image.alpha_composite(white, rgba).convert("RGB")
    try:
        return image.convert("RGB")
    except ValueError as e:
        raise QuiltValueError(f"picture: found pixel format {image.mode}; accepted: RGB") from e


def _wide_grey_to_rgb(image: Image.Image) -> Image.Image:
    """16-bit and float grey to 8 bits: by 65535 where values go beyond 255, by 1 for floats."""
    import numpy as np
    from PIL import Image

    values = np.asarray(image, dtype=np.float64)
    values = np.nan_to_num(values)
    top = float(values.max(initial=0.0))
    full = 1.0 if image.mode == "F" and top <= 1.0 else (65535.0 if top > 255 else 255.0)
    grey = np.clip(np.rint(values * (255.0 / full)), 0, 255).astype(np.uint8)
    return Image.fromarray(grey).convert("RGB")
