"""PNG: the scene drawn straight into a cairo surface.

Neighbours in a cover are ADDED onto black, so that their anti-aliased edges sum to one and no
ground shows between them; swatches are reduced by area beforehand to twice the output's
resolution (less gives wrong phases, none gives moire). Bands of rows are drawn and packed side by
side: cairo and zlib both let other threads run.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats
from quiltgeom.errors import QuiltValueError
from quiltgeom.render.cairo_draw import (
    Patterns,
    cairo,
    cloth_pattern,
    draw_path,
    draw_stroke,
    set_paint,
)
from quiltgeom.render.encode import PackedRows, pack_rows, png_of_bands
from quiltgeom.render.scene import (
    ClothPaint,
    Item,
    Layer,
    Path,
    Scene,
    Solid,
    Stroke,
    TileKey,
    scene_tiles,
)

if TYPE_CHECKING:
    from PIL import Image

T = TypeVar("T")

MAX_SIDE = 32_000
"""Cairo's surfaces end at 32767 pixels a side."""

BANDS = 4
"""Rows are drawn in this many bands, whatever the number of threads, so that the same scene
gives the same bytes on every machine."""

OVERSAMPLE = 2.0


def png_bytes(scene: Scene, *, px: int | None = None, ppi: float | None = None) -> bytes:
    """A PNG file's bytes; its density is stated in it, so that it opens at life size.

    Args:
        px: length of the longer side in pixels, or
        ppi: pixels per inch (default 96).
    """
    scale = _scale(scene, px, ppi)
    sheet = _prepare(scene, scale)

    def band(top: int, bottom: int) -> PackedRows:
        rows = np.zeros((bottom - top, sheet.width, 4), dtype=np.uint8)
        _draw_band(sheet, rows, top)
        return pack_rows(rows, last=bottom == sheet.height)

    return png_of_bands(_each_band(sheet.height, band), sheet.width, scale)


def _scale(scene: Scene, px: int | None, ppi: float | None) -> float:
    longer = max(scene.width, scene.height)
    scale = px / longer if px is not None else (96.0 if ppi is None else ppi)
    if not (math.isfinite(scale) and scale > 0 and 1 <= longer * scale <= MAX_SIDE):
        raise QuiltValueError(
            f"picture size: found {longer * scale:.6g} pixels; accepted: 1 to {MAX_SIDE} pixels "
            "for the longer side"
        )
    return scale


def draw_pixels(scene: Scene, ppi: float) -> NDArray[np.uint8]:
    """Draw a scene at ``ppi`` pixels per inch.

    Returns:
        ``(height, width, 4)`` bytes: blue, green, red, unused.
    """
    sheet = _prepare(scene, ppi)
    pixels = np.zeros((sheet.height, sheet.width, 4), dtype=np.uint8)
    _each_band(sheet.height, lambda top, bottom: _draw_band(sheet, pixels[top:bottom], top))
    return pixels


def _each_band(height: int, work: Callable[[int, int], T]) -> list[T]:
    """What ``work(top, bottom)`` returns for every band of rows, in order."""
    edges = sorted({round(height * k / BANDS) for k in range(BANDS + 1)})
    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(work, edges[:-1], edges[1:]))


@dataclass(frozen=True, slots=True)
class _Layer:
    """A layer made ready: what is drawn with one paint, and the rows (inches) that it touches."""

    frame: Path | None
    groups: list[list[Item]]
    low: Floats
    high: Floats

    def within(self, low: float, high: float) -> list[list[Item]]:
        return [self.groups[i] for i in np.flatnonzero((self.low <= high) & (self.high >= low))]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A scene made ready to be drawn in bands at one size in pixels."""

    scene: Scene
    width: int
    height: int
    layers: list[_Layer]
    surfaces: dict[TileKey, tuple[Any, tuple[int, int], Any]]


def _prepare(scene: Scene, ppi: float) -> _Sheet:
    width, height = (max(1, round(v * ppi)) for v in (scene.width, scene.height))
    tiles = scene_tiles(scene, ppi * OVERSAMPLE)
    # plain and mirrored cloth have one picture, so one surface
    made = {id(image): _surface(image) for image in tiles.values()}
    surfaces = {key: made[id(image)] for key, image in tiles.items()}
    return _Sheet(scene, width, height, [_ready(layer) for layer in scene.layers], surfaces)


def _ready(layer: Layer) -> _Layer:
    """In a cover the order does not matter (adding commutes): one group per paint."""
    groups: dict[object, list[Item]] = {}
    cover = layer.kind == "cover" and layer.frame is not None
    for number, item in enumerate(layer.items):
        groups.setdefault(_paint_key(item, number) if cover else number, []).append(item)
    boxes = [
        [(i.path.bounds, i.width if isinstance(i, Stroke) else 0.0) for i in group]
        for group in groups.values()
    ]
    low = np.array([min(b[1] - w for b, w in box) for box in boxes])
    high = np.array([max(b[3] + w for b, w in box) for box in boxes])
    return _Layer(layer.frame if cover else None, list(groups.values()), low, high)


def _paint_key(item: Item, number: int) -> object:
    if isinstance(item, Stroke):
        return number
    paint = item.paint
    return (id(paint.cloth), paint.grey, paint.matrix) if isinstance(paint, ClothPaint) else paint


def _surface(image: Image.Image) -> tuple[Any, tuple[int, int], Any]:
    """A cairo surface with the image's pixels (and the memory that it stands on)."""
    data = np.empty((image.height, image.width, 4), dtype=np.uint8)
    data[..., :3] = np.asarray(image)[..., ::-1]  # cairo wants blue, green, red
    surface = cairo().ImageSurface.create_for_data(
        data.data.cast("B"), cairo().FORMAT_RGB24, image.width, image.height, image.width * 4
    )
    return surface, image.size, data


def _draw_band(sheet: _Sheet, rows: NDArray[np.uint8], top: int) -> None:
    """Draw the rows of the sheet that start at ``top``."""
    lib = cairo()
    scene, count = sheet.scene, len(rows)
    surface = lib.ImageSurface.create_for_data(
        rows.data.cast("B"), lib.FORMAT_RGB24, sheet.width, count, sheet.width * 4
    )
    context = lib.Context(surface)
    context.translate(0, -top)
    context.scale(sheet.width / scene.width, sheet.height / scene.height)
    context.set_fill_rule(lib.FILL_RULE_EVEN_ODD)
    set_paint(context, Solid(scene.ground), {})
    context.paint()
    # each band needs patterns of its own: a pattern's matrix is set anew for every paint
    patterns = {
        key: cloth_pattern(entry[0], entry[1], key[0]) for key, entry in sheet.surfaces.items()
    }
    inch = scene.height / sheet.height
    for layer in sheet.layers:
        _draw_layer(context, layer, (top * inch, (top + count) * inch), patterns)
    surface.finish()


def _draw_layer(context: Any, layer: _Layer, rows: tuple[float, float], patterns: Patterns) -> None:
    lib = cairo()
    if layer.frame is not None:
        draw_path(context, layer.frame)
        context.set_source_rgb(0, 0, 0)
        context.fill()
        context.set_operator(lib.OPERATOR_ADD)
    for group in layer.within(*rows):
        first = group[0]
        if isinstance(first, Stroke):
            draw_stroke(context, first)
            continue
        for item in group:
            draw_path(context, item.path)
        set_paint(context, first.paint, patterns)
        context.fill()
    context.set_operator(lib.OPERATOR_OVER)
