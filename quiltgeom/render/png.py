"""PNG: the scene drawn straight into a cairo surface.

Neighbours in a cover are ADDED onto black, so that their anti-aliased edges sum to one and no
ground shows between them; swatches are reduced by area beforehand to twice the output's
resolution (less gives wrong phases, none gives moire).
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from quiltgeom.errors import QuiltValueError
from quiltgeom.render.cairo_draw import cairo, cloth_pattern, draw_path, draw_stroke, set_paint
from quiltgeom.render.files import write_whole
from quiltgeom.render.scene import Fill, Item, Layer, Scene, Stroke
from quiltgeom.render.tiles import TileKey, scene_tiles

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["MAX_SIDE", "draw_pixels", "png_bytes", "write_png"]

MAX_SIDE = 32_000
"""Cairo's surfaces end at 32767 pixels a side."""

BANDS = 4
"""Rows are drawn in this many bands, whatever the number of threads, so that the same scene
gives the same bytes on every machine."""

OVERSAMPLE = 2.0


def write_png(
    scene: Scene, path: str | FilePath, *, px: int | None = None, ppi: float | None = None
) -> FilePath:
    """Write a PNG; its density is stated in the file, so that it opens at life size.

    Args:
        px: length of the longer side in pixels, or
        ppi: pixels per inch (default 96).
    """
    return write_whole(path, png_bytes(scene, px=px, ppi=ppi))


def png_bytes(scene: Scene, *, px: int | None = None, ppi: float | None = None) -> bytes:
    """As :func:`write_png`, returning the file's bytes."""
    scale = _scale(scene, px, ppi)
    image = _to_image(draw_pixels(scene, scale))
    out = io.BytesIO()
    # level 1: within 16 % of the smallest file at a quarter of the time
    image.save(out, "PNG", compress_level=1, dpi=(scale, scale))
    return out.getvalue()


def _scale(scene: Scene, px: int | None, ppi: float | None) -> float:
    longer = max(scene.width, scene.height)
    scale = px / longer if px is not None else (96.0 if ppi is None else ppi)
    if not (math.isfinite(scale) and scale > 0 and 1 <= longer * scale <= MAX_SIDE):
        raise QuiltValueError(
            f"picture size: found {longer * scale:.6g} pixels; accepted: 1 to {MAX_SIDE} pixels "
            "for the longer side"
        )
    return scale


def _to_image(pixels: NDArray[np.uint8]) -> Image.Image:
    from PIL import Image

    height, width = pixels.shape[:2]
    return Image.frombuffer("RGB", (width, height), pixels, "raw", "BGRX", 0, 1)


def draw_pixels(scene: Scene, ppi: float) -> NDArray[np.uint8]:
    """Draw a scene at ``ppi`` pixels per inch.

    Returns:
        ``(height, width, 4)`` bytes: blue, green, red, unused.
    """
    width, height = (max(1, round(v * ppi)) for v in (scene.width, scene.height))
    pixels = np.zeros((height, width, 4), dtype=np.uint8)
    tiles = scene_tiles(scene, ppi * OVERSAMPLE)
    surfaces = {key: _surface(image) for key, image in tiles.items()}
    edges = [round(height * k / BANDS) for k in range(BANDS + 1)]

    def band(k: int) -> None:
        if edges[k] < edges[k + 1]:
            _draw_band(scene, pixels, edges[k], edges[k + 1], surfaces)

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(band, range(BANDS)))
    return pixels


def _surface(image: Image.Image) -> tuple[Any, tuple[int, int], Any]:
    """A cairo surface with the image's pixels (and the memory that it stands on)."""
    data = np.empty((image.height, image.width, 4), dtype=np.uint8)
    data[..., :3] = np.asarray(image)[..., ::-1]  # cairo wants blue, green, red
    surface = cairo().ImageSurface.create_for_data(
        data.data.cast("B"), cairo().FORMAT_RGB24, image.width, image.height, image.width * 4
    )
    return surface, image.size, data


def _draw_band(
    scene: Scene,
    pixels: NDArray[np.uint8],
    top: int,
    bottom: int,
    surfaces: dict[TileKey, tuple[Any, tuple[int, int], Any]],
) -> None:
    lib = cairo()
    height, width = pixels.shape[:2]
    rows = pixels[top:bottom]
    surface = lib.ImageSurface.create_for_data(
        rows.data.cast("B"), lib.FORMAT_RGB24, width, bottom - top, width * 4
    )
    context = lib.Context(surface)
    context.translate(0, -top)
    context.scale(width / scene.width, height / scene.height)
    context.set_fill_rule(lib.FILL_RULE_EVEN_ODD)
    r, g, b = (v / 255 for v in bytes.fromhex(scene.ground[1:]))
    context.set_source_rgb(r, g, b)
    context.paint()
    patterns = {key: _pattern(entry, key) for key, entry in surfaces.items()}
    reach = (top * scene.height / height, bottom * scene.height / height)
    for layer in scene.layers:
        _draw_layer(context, layer, reach, patterns)
    surface.finish()


def _pattern(entry: tuple[Any, tuple[int, int], Any], key: TileKey) -> tuple[Any, float, float]:
    """Each band needs patterns of its own: a pattern's matrix is set anew for every piece."""
    return cloth_pattern(entry[0], entry[1], key[0])


def _draw_layer(
    context: Any,
    layer: Layer,
    reach: tuple[float, float],
    patterns: dict[TileKey, tuple[Any, float, float]],
) -> None:
    lib = cairo()
    if layer.kind == "cover" and layer.frame is not None:
        draw_path(context, layer.frame)
        context.set_source_rgb(0, 0, 0)
        context.fill()
        context.set_operator(lib.OPERATOR_ADD)
    for item in _within(layer.items, reach):
        if isinstance(item, Fill):
            draw_path(context, item.path)
            set_paint(context, item.paint, patterns)
            context.fill()
        else:
            draw_stroke(context, item)
    context.set_operator(lib.OPERATOR_OVER)


def _within(items: Sequence[Item], reach: tuple[float, float]) -> list[Item]:
    """Items that touch the band of scene rows."""
    low, high = reach
    return [
        item
        for item in items
        if item.path.bounds[1] - _half_width(item) <= high
        and item.path.bounds[3] + _half_width(item) >= low
    ]


def _half_width(item: Item) -> float:
    return item.width if isinstance(item, Stroke) else 0.0
