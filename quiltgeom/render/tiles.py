"""Cloth tiles made ready for a back end: reduced to a resolution, in colour or in greys."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

from quiltgeom.fabric.cloth import Cloth, tile_image
from quiltgeom.render.scene import ClothPaint, Fill, Scene, flat_items

if TYPE_CHECKING:
    from PIL import Image

TileKey = tuple[Cloth, bool]


def scene_tiles(scene: Scene, ppi_per_scale: float) -> dict[TileKey, Image.Image]:
    """One picture per cloth used in the scene, at ``ppi_per_scale`` pixels per scene inch.

    Cloth that is drawn smaller than life gets correspondingly fewer pixels. Pictures are decoded
    two at a time (decoding lets other threads run).
    """
    wanted: dict[TileKey, float] = {}
    for item in flat_items(scene.layers):
        if isinstance(item, Fill) and isinstance(item.paint, ClothPaint):
            key = (item.paint.cloth, item.paint.grey)
            a, b = item.paint.matrix[:2]
            scale = (a * a + b * b) ** 0.5
            wanted[key] = max(wanted.get(key, 0.0), scale * ppi_per_scale)
    with ThreadPoolExecutor(2) as pool:
        images = list(pool.map(lambda kv: tile_image(kv[0][0], kv[1]), wanted.items()))
    return {
        key: grey_of(image) if key[1] else image for key, image in zip(wanted, images, strict=True)
    }


def grey_of(image: Image.Image) -> Image.Image:
    """Greys of the same lightness: luminance added up in linear light, then coded as sRGB again.

    Weights: Rec. 709 primaries, as IEC 61966-2-1 (sRGB) uses them.
    """
    import numpy as np
    from PIL import Image

    from quiltgeom.colour import linear_to_srgb, srgb_to_linear

    linear = srgb_to_linear(np.arange(256) / 255.0)
    y = linear[np.asarray(image)] @ np.array([0.2126, 0.7152, 0.0722])
    grey = np.rint(linear_to_srgb(y) * 255).astype(np.uint8)
    return Image.fromarray(np.repeat(grey[..., None], 3, axis=2))


def grey_colour(colour: str) -> str:
    """The grey of the same lightness as ``#rrggbb``.

    >>> grey_colour("#808080"), grey_colour("#ffff00")
    ('#808080', '#f7f7f7')
    """
    from PIL import Image

    rgb = tuple(bytes.fromhex(colour[1:]))
    pixel = grey_of(Image.new("RGB", (1, 1), rgb)).getpixel((0, 0))
    return "#" + bytes(pixel if isinstance(pixel, tuple) else (0, 0, 0)).hex()
