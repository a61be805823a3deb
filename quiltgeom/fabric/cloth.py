"""Cloth: a swatch of known size as a tile that repeats, at the resolution a drawing needs."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.image import image_info, load_image
from quiltgeom.model.fabric import Fabric, Repeat

if TYPE_CHECKING:
    from PIL import Image

TileKind = Literal["plain", "repeat", "mirror", "mirror-x", "mirror-y"]
"""How cloth goes on beyond the swatch: not at all (``plain``), by the known ``repeat``, or by
mirroring: both ways, or (one-way prints) only across the print's up, so that it stays up."""


LEAST_IN = 0.05
"""Inches each way: less is a slip in a unit, and a quilt would show it millions of times."""


@dataclass(frozen=True, slots=True)
class Cloth:
    """A swatch in real size.

    Attributes:
        width, height: real size of the swatch, inches.
        kind: how this tile continues.
        photo: whether the file is lossily compressed, so that a copy may be, too.
    """

    path: Path
    width: float
    height: float
    px: tuple[int, int]
    repeat: Repeat | None = None
    kind: TileKind = "plain"
    photo: bool = False

    @property
    def ppi(self) -> float:
        """Pixels per inch across the swatch."""
        return self.px[0] / self.width

    @property
    def image_size(self) -> tuple[float, float]:
        """Width and height that the tile's picture spans, inches.

        That of the repeating tile, but for ``mirror``: back ends mirror the plain swatch.
        """
        return (self.width, self.height) if self.kind == "mirror" else self.tile_size

    @property
    def tile_size(self) -> tuple[float, float]:
        """Width and height of the repeating tile, inches."""
        if self.kind == "repeat" and self.repeat:
            two_wide = 2 if self.repeat.kind == "half-drop" else 1
            two_high = 2 if self.repeat.kind == "brick" else 1
            return self.repeat.width * two_wide, self.repeat.height * two_high
        across = 2 if self.kind in ("mirror", "mirror-x") else 1
        down = 2 if self.kind in ("mirror", "mirror-y") else 1
        return self.width * across, self.height * down


def cloth_of(fabric: Fabric) -> Cloth:
    """The cloth of a fabric that has a picture.

    The real width is the fabric's; else the file's own density; pixels are taken as square.

    Raises:
        QuiltValueError: neither a width nor a believable density is known, the swatch is hardly a
            thread wide, or the stated repeat is larger than the swatch.
    """
    if fabric.image is None:
        raise QuiltValueError(f"fabric {fabric.name}: found a plain colour; accepted: a picture")
    info = image_info(fabric.image)
    width = fabric.width or (info.width / info.ppi if info.ppi else None)
    if width is None:
        raise QuiltValueError(
            f"fabric {fabric.name}: width: the picture {fabric.image} does not say how large it "
            "is; accepted: the swatch's real width, such as width = 12, inches"
        )
    height = width * info.height / info.width
    if min(width, height) < LEAST_IN:
        raise QuiltValueError(
            f"fabric {fabric.name}: width: found a swatch of {width:.4g} x {height:.4g} in; "
            f"accepted: at least {LEAST_IN} in each way"
        )
    repeat = fabric.repeat
    if repeat and (repeat.width > width * 1.001 or repeat.height > height * 1.001):
        raise QuiltValueError(
            f"fabric {fabric.name}: repeat: found {repeat.width:g} x {repeat.height:g} in on a "
            f"swatch of {width:.4g} x {height:.4g} in; accepted: a repeat "
            "that the swatch shows whole"
        )
    size, photo = (info.width, info.height), info.format in ("JPEG", "MPO")
    return Cloth(fabric.image, width, height, size, repeat, photo=photo)


def tile_image(cloth: Cloth, max_ppi: float) -> Image.Image:
    """The tile's picture (RGB), reduced by area averaging to at most ``max_ppi``.

    Its size in pixels is whole, so its scale is :attr:`Cloth.image_size` / pixels, each way by
    itself. For ``mirror`` it is the plain swatch.
    """
    factor = min(1.0, max_ppi / cloth.ppi)
    return _tile(cloth, (max(1, round(cloth.px[0] * factor)), max(1, round(cloth.px[1] * factor))))


NEAR_ENOUGH = 0.9
"""A decoded size this near below the wanted one is used without another resampling."""


@lru_cache(maxsize=32)
def _swatch(
    path: Path, stamp: tuple[int, int], full: tuple[int, int], size: tuple[int, int]
) -> Image.Image:
    from PIL import Image

    # a JPEG can be decoded at a half, a quarter, an eighth: near enough is taken as it comes
    image = load_image(path, min_size=(round(size[0] * NEAR_ENOUGH), round(size[1] * NEAR_ENOUGH)))
    whole = full[0] % image.width == 0 and full[1] % image.height == 0
    near = NEAR_ENOUGH * size[0] <= image.width <= size[0]
    if image.size != size and not (whole and near):
        image = image.resize(size, Image.Resampling.BOX)
    return image


@lru_cache(maxsize=32)
def _tile(cloth: Cloth, size: tuple[int, int]) -> Image.Image:
    stat = cloth.path.stat()
    swatch = _swatch(cloth.path, (stat.st_mtime_ns, stat.st_size), cloth.px, size)
    if cloth.kind in ("plain", "mirror"):
        return swatch
    if cloth.kind == "repeat":
        return _repeat_tile(cloth, swatch)
    return _mirror_tile(swatch, cloth.kind)


def _repeat_tile(cloth: Cloth, swatch: Image.Image) -> Image.Image:
    """One whole repeat cut from the swatch's top left; half-drop and brick as two of them."""
    from PIL import Image, ImageChops

    repeat = cloth.repeat
    if repeat is None:
        return swatch
    sx, sy = swatch.width / cloth.width, swatch.height / cloth.height
    box = (0.0, 0.0, min(repeat.width * sx, swatch.width), min(repeat.height * sy, swatch.height))
    cols, rows = max(2, round(box[2])), max(2, round(box[3]))
    if repeat.kind == "half-drop":
        rows += rows % 2
    if repeat.kind == "brick":
        cols += cols % 2
    one = swatch.resize((cols, rows), Image.Resampling.BICUBIC, box=box)
    if repeat.kind == "straight":
        return one
    drop = repeat.kind == "half-drop"
    moved = ImageChops.offset(one, 0 if drop else cols // 2, rows // 2 if drop else 0)
    tile = Image.new("RGB", (cols * 2, rows) if drop else (cols, rows * 2))
    tile.paste(one, (0, 0))
    tile.paste(moved, (cols, 0) if drop else (0, rows))
    return tile


def _mirror_tile(swatch: Image.Image, kind: TileKind) -> Image.Image:
    from PIL import Image, ImageOps

    w, h = swatch.size
    sideways = kind == "mirror-x"
    tile = Image.new("RGB", (2 * w, h) if sideways else (w, 2 * h))
    tile.paste(swatch, (0, 0))
    flipped = ImageOps.mirror(swatch) if sideways else ImageOps.flip(swatch)
    tile.paste(flipped, (w, 0) if sideways else (0, h))
    return tile
