"""PDF at real size: scenes drawn straight onto a cairo PDF surface, one page each."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from quiltgeom.errors import QuiltValueError
from quiltgeom.files import write_whole
from quiltgeom.outputs.stamps import stamped
from quiltgeom.render.cairo_draw import (
    Patterns,
    cairo,
    cloth_pattern,
    draw_path,
    draw_stroke,
    set_paint,
)
from quiltgeom.render.png import _surface
from quiltgeom.render.scene import ClothPaint, Fill, Layer, Path, Scene, Solid, TileKey, scene_tiles

if TYPE_CHECKING:
    from PIL import Image

POINTS = 72.0
"""PDF's default user unit is 1/72 inch (ISO 32000-1, 8.3.2.3)."""

CLOTH_PPI = 150.0
"""Viewers sample pictures without averaging when zoomed out; more only makes files heavy."""

BLEED = 0.004
"""Inches: the underlay below a cover is this much wider, under the neighbours' edges, so that a
viewer's anti-aliasing finds cloth there and no paper."""


def write_pdf(
    scenes: Scene | Sequence[Scene], path: str | FilePath, *, title: str = ""
) -> FilePath:
    """Write one page per scene, each at its real size."""
    return write_whole(path, stamped(pdf_bytes(scenes, title=title), ".pdf"))


def pdf_bytes(scenes: Scene | Sequence[Scene], *, title: str = "") -> bytes:
    """As :func:`write_pdf`, returning the file's bytes; the same scenes give the same bytes."""
    lib = cairo()
    pages = [scenes] if isinstance(scenes, Scene) else list(scenes)
    if not pages:
        raise QuiltValueError("PDF: found no pages; accepted: at least one")
    out = io.BytesIO()
    surface = lib.PDFSurface(out, pages[0].width * POINTS, pages[0].height * POINTS)
    surface.set_metadata(lib.PDF_METADATA_TITLE, title or pages[0].title or "quiltgeom")
    surface.set_metadata(lib.PDF_METADATA_CREATOR, "quiltgeom")
    # a fixed date: the same input gives the same bytes
    surface.set_metadata(lib.PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z")
    shared: Patterns = {}
    for scene in pages:
        surface.set_size(scene.width * POINTS, scene.height * POINTS)
        context = lib.Context(surface)
        context.scale(POINTS, POINTS)
        context.set_fill_rule(lib.FILL_RULE_EVEN_ODD)
        _draw_page(context, scene, shared)
        surface.show_page()
    surface.finish()
    return out.getvalue()


def _draw_page(context: Any, scene: Scene, shared: Patterns) -> None:
    if scene.ground != "#ffffff":
        set_paint(context, Solid(scene.ground), {})
        context.paint()
    tiles = scene_tiles(scene, CLOTH_PPI)
    for key, image in tiles.items():
        if key not in shared:
            shared[key] = _pattern(image, key)
    means = {key: _mean_colour(image) for key, image in tiles.items()}
    for layer in scene.layers:
        _draw_layer(context, layer, shared, means)


def _mean_colour(image: Image.Image) -> str:
    pixel = image.reduce((image.width, image.height)).getpixel((0, 0))
    return "#" + bytes(pixel if isinstance(pixel, tuple) else (128, 128, 128)).hex()


def _pattern(image: Image.Image, key: TileKey) -> tuple[Any, float, float]:
    surface, size, _ = _surface(image)
    packed = io.BytesIO()
    image.save(packed, "JPEG", quality=92, subsampling=0)
    surface.set_mime_data("image/jpeg", packed.getvalue())
    return cloth_pattern(surface, size, key[0])


def _draw_underlay(
    context: Any, layer: Layer, patterns: Patterns, means: dict[TileKey, str]
) -> None:
    """What shows through where a viewer's anti-aliasing leaves a hairline.

    Between two tiles of one cloth: the cloth's mean colour; between patches: their own cloth,
    a little wider than the patch.
    """
    context.save()
    draw_path(context, layer.frame or Path(()))
    context.clip()
    context.set_line_width(BLEED)
    for item in layer.items:
        if not isinstance(item, Fill):
            continue
        draw_path(context, item.path)
        if isinstance(item.paint, ClothPaint):
            key = (item.paint.cloth, item.paint.grey)
            set_paint(context, Solid(means[key]), patterns)
            context.fill_preserve()
        set_paint(context, item.paint, patterns)
        context.stroke()
    context.restore()


def _draw_layer(context: Any, layer: Layer, patterns: Patterns, means: dict[TileKey, str]) -> None:
    if layer.kind == "cover" and layer.frame is not None:
        _draw_underlay(context, layer, patterns, means)
    for item in layer.items:
        if isinstance(item, Fill):
            draw_path(context, item.path)
            set_paint(context, item.paint, patterns)
            context.fill()
        else:
            draw_stroke(context, item)
