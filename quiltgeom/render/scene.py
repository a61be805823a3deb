"""The scene: a flat list of things to draw, in inches. Every back end draws the same list.

Its cloth is made ready here, too: reduced to a resolution, in colour or in greys.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from quiltgeom.colour import LUMINANCE, Floats, from_hex, linear_light, linear_to_srgb
from quiltgeom.fabric.cloth import Cloth, tile_image
from quiltgeom.geometry.outline import Outline, arc_of, rectangle
from quiltgeom.geometry.placement import Matrix, matrix_multiply

if TYPE_CHECKING:
    from PIL import Image

Segment = tuple[str, tuple[float, ...]]
"""``("M", (x, y))``, ``("L", (x, y))``, ``("C", (x1, y1, x2, y2, x, y))`` cubic,
``("A", (cx, cy, r, start, sweep, x, y))`` circular arc (radians, clockwise +), ``("Z", ())``."""


@dataclass(frozen=True)
class Path:
    """A path of lines, cubics and circular arcs.

    >>> path_of(rectangle(0, 0, 2, 1)).bounds
    (0.0, 0.0, 2.0, 1.0)
    """

    segments: tuple[Segment, ...]

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """A box round the path (control points count; arcs by their circle's reach)."""
        xs: list[float] = []
        ys: list[float] = []
        for op, v in self.segments:
            if op == "A":
                cx, cy, r = v[:3]
                xs += [cx - r, cx + r]
                ys += [cy - r, cy + r]
            else:
                xs += v[0::2]
                ys += v[1::2]
        return (min(xs), min(ys), max(xs), max(ys)) if xs else (0.0, 0.0, 0.0, 0.0)

    def moved(self, dx: float, dy: float, scale: float = 1.0) -> Path:
        """The path scaled, then shifted."""
        return Path(tuple((op, _moved(op, v, dx, dy, scale)) for op, v in self.segments))

    def __add__(self, other: Path) -> Path:
        return Path(self.segments + other.segments)


def _moved(op: str, v: tuple[float, ...], dx: float, dy: float, k: float) -> tuple[float, ...]:
    if op == "A":
        cx, cy, r, start, sweep, x, y = v
        return (cx * k + dx, cy * k + dy, r * k, start, sweep, x * k + dx, y * k + dy)
    return tuple(c * k + (dy if i % 2 else dx) for i, c in enumerate(v))


def path_of(*outlines: Outline) -> Path:
    """Outlines as one path, arcs kept as arcs."""
    segments: list[Segment] = []
    for outline in outlines:
        segments.append(("M", outline.points[0]))
        for p, q, b in outline.edges():
            if b:
                arc = arc_of(p, q, b)
                segments.append(("A", (arc.cx, arc.cy, arc.radius, arc.start, arc.sweep, *q)))
            elif q != outline.points[0]:
                segments.append(("L", q))
        segments.append(("Z", ()))
    return Path(tuple(segments))


def line_path(points: ArrayLike, *, closed: bool = False) -> Path:
    """A polyline through ``(n, 2)`` points."""
    pts: Floats = np.asarray(points, dtype=float).reshape(-1, 2)
    segments: list[Segment] = [
        ("L" if i else "M", (float(x), float(y))) for i, (x, y) in enumerate(pts)
    ]
    return Path(tuple(segments + ([("Z", ())] if closed else [])))


def region_path(region: BaseGeometry) -> Path:
    """The outer edges of a shapely polygon, or of all polygons of a collection, as one path."""
    rings = [p.exterior for p in shapely.get_parts(region) if p.geom_type == "Polygon"]
    return Path(tuple(s for r in rings for s in line_path(r.coords, closed=True).segments))


@dataclass(frozen=True, slots=True)
class Solid:
    """A plain colour ``#rrggbb``."""

    colour: str
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class ClothPaint:
    """Real cloth: ``matrix`` (SVG order) takes inches on the tile to inches in the scene.

    Attributes:
        grey: draw it in greys of equal lightness (value study).
    """

    cloth: Cloth
    matrix: Matrix
    grey: bool = False


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled path (even-odd)."""

    path: Path
    paint: Solid | ClothPaint

    def moved(self, dx: float, dy: float, scale: float = 1.0) -> Fill:
        """The fill scaled, then shifted, its cloth with it."""
        paint = self.paint
        if isinstance(paint, ClothPaint):
            outer: Matrix = (scale, 0.0, 0.0, scale, dx, dy)
            paint = replace(paint, matrix=matrix_multiply(outer, paint.matrix))
        return Fill(self.path.moved(dx, dy, scale), paint)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A stroked path; width and dashes in inches."""

    path: Path
    width: float
    colour: str = "#000000"
    opacity: float = 1.0
    dash: tuple[float, ...] = ()


Item = Fill | Stroke


@dataclass(frozen=True)
class Layer:
    """Items drawn together.

    Attributes:
        kind: ``"over"`` draws one thing over the other. ``"cover"``: the items are fills that
            cover ``frame`` exactly, without gap or overlap; back ends then draw them without
            hairlines between neighbours.
        frame: outline of a cover.
        label: name of the layer for people and for style sheets.
    """

    items: tuple[Item, ...]
    kind: Literal["over", "cover"] = "over"
    frame: Path | None = None
    label: str = ""


@dataclass(frozen=True)
class Scene:
    """Everything on one sheet.

    Attributes:
        width, height: size in inches.
        title, description: for people who cannot see the picture, and for the file's head.
    """

    width: float
    height: float
    layers: tuple[Layer, ...] = ()
    ground: str = "#ffffff"
    title: str = ""
    description: str = ""
    texts: tuple[str, ...] = field(default=(), repr=False)

    def with_items(self, *items: Item, label: str = "") -> Scene:
        """The scene with some items drawn over it."""
        return replace(self, layers=(*self.layers, Layer(tuple(items), label=label)))

    def with_scene(self, other: Scene, x: float, y: float, scale: float = 1.0) -> Scene:
        """The scene with another one placed into it (its ground is not drawn)."""
        placed = tuple(_placed_layer(layer, x, y, scale) for layer in other.layers)
        return replace(self, layers=self.layers + placed)


def _placed_layer(layer: Layer, x: float, y: float, scale: float) -> Layer:
    items = tuple(_placed(item, x, y, scale) for item in layer.items)
    return replace(layer, items=items, frame=layer.frame and layer.frame.moved(x, y, scale))


def _placed(item: Item, x: float, y: float, scale: float) -> Item:
    if isinstance(item, Fill):
        return item.moved(x, y, scale)
    path, dash = item.path.moved(x, y, scale), tuple(d * scale for d in item.dash)
    return replace(item, path=path, width=item.width * scale, dash=dash)


def cover_layer(items: Iterable[Fill], width: float, height: float, label: str = "") -> Layer:
    """Fills that cover the rectangle ``width`` x ``height`` exactly."""
    return Layer(tuple(items), "cover", path_of(rectangle(0, 0, width, height)), label)


def flat_items(layers: Sequence[Layer]) -> list[Item]:
    """All items of all layers in drawing order."""
    return [item for layer in layers for item in layer.items]


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
        key: _grey_image(image) if key[1] else image
        for key, image in zip(wanted, images, strict=True)
    }


def _grey_image(image: Image.Image) -> Image.Image:
    from PIL import Image

    return Image.fromarray(np.repeat(_grey(np.asarray(image))[..., None], 3, axis=2))


def _grey(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Greys of the same lightness: luminance added up in linear light, then coded as sRGB again."""
    return np.rint(linear_to_srgb(linear_light(rgb) @ LUMINANCE) * 255).astype(np.uint8)


def grey_colour(colour: str) -> str:
    """The grey of the same lightness as ``#rrggbb``.

    >>> grey_colour("#808080"), grey_colour("#ffff00")
    ('#808080', '#f7f7f7')
    """
    return "#" + bytes([_grey(from_hex(colour))] * 3).hex()
