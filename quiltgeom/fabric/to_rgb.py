"""Pixels of any kind to 8-bit RGB, a strip at a time: no second copy of a large picture."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from quiltgeom.errors import QuiltValueError

if TYPE_CHECKING:
    from PIL import Image

STRIP = 500_000
"""Pixels that are converted at a time."""


def plain_rgb(image: Image.Image, orientation: int = 1) -> Image.Image:
    """A decoded picture as upright 8-bit RGB, transparency laid on white.

    Nothing of the file but its pixels comes along: no comment, profile or EXIF that saving the
    result would write out again.

    Args:
        image: decoded, of any mode.
        orientation: as EXIF 2.3 counts them, 1 to 8.

    Raises:
        QuiltValueError: a pixel format that has no colours.
    """
    from PIL import Image

    turned = "FLIP_LEFT_RIGHT ROTATE_180 FLIP_TOP_BOTTOM TRANSPOSE ROTATE_270 TRANSVERSE ROTATE_90"
    turns = {k: Image.Transpose[name] for k, name in enumerate(turned.split(), 2)}
    rgb = image if image.mode == "RGB" and not _clear(image) else _converted(image)
    if orientation in turns:
        rgb = rgb.transpose(turns[orientation])
    elif rgb is image:
        rgb = image.copy()
    rgb.info = {}
    return rgb


def _clear(image: Image.Image) -> bool:
    with_alpha = image.mode in ("RGBA", "LA", "PA", "RGBa", "La")
    return with_alpha or "transparency" in image.info


def _converted(image: Image.Image) -> Image.Image:
    from PIL import Image

    convert = _way(image)
    out = Image.new("RGB", image.size)
    for part, top in _strips(image):
        out.paste(convert(part), (0, top))
    return out


def _strips(image: Image.Image) -> Iterator[tuple[Image.Image, int]]:
    rows = max(1, STRIP // image.width)
    for top in range(0, image.height, rows):
        yield image.crop((0, top, image.width, min(top + rows, image.height))), top


def _way(image: Image.Image) -> Callable[[Image.Image], Image.Image]:
    """How one strip becomes RGB; whatever depends on the whole picture is found out once."""
    if image.mode in ("I", "F") or image.mode.startswith("I;16"):
        return _by_factor(image.mode, _highest(image))
    return _on_white if _clear(image) else _to_rgb


def _to_rgb(part: Image.Image) -> Image.Image:
    try:
        return part.convert("RGB")
    except ValueError as e:
        raise QuiltValueError(f"picture: found pixel format {part.mode}; accepted: RGB") from e


def _on_white(part: Image.Image) -> Image.Image:
    from PIL import Image

    rgba = part.convert("RGBA")
    white = Image.new("RGBA", rgba.size, (255, 255, 255, 255))
    return Image.alpha_composite(white, rgba).convert("RGB")


def _values(part: Image.Image) -> np.ndarray[Any, np.dtype[Any]]:
    values = np.asarray(part)
    return np.nan_to_num(values.astype(np.float64)) if values.dtype.kind == "f" else values


def _highest(image: Image.Image) -> float:
    return max(float(_values(part).max(initial=0)) for part, _ in _strips(image))


def _full(mode: str, highest: float) -> float:
    """The value that is white: 65535 where values go beyond 255, 1 for floats up to 1."""
    return 1.0 if mode == "F" and highest <= 1.0 else (65535.0 if highest > 255 else 255.0)


def _by_factor(mode: str, highest: float) -> Callable[[Image.Image], Image.Image]:
    from PIL import Image

    factor = 255.0 / _full(mode, highest)

    def convert(part: Image.Image) -> Image.Image:
        grey = _values(part) * factor
        np.clip(np.rint(grey, out=grey), 0, 255, out=grey)
        return Image.fromarray(grey.astype(np.uint8)).convert("RGB")

    return convert
