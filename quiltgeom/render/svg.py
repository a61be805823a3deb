"""SVG: the scene as a standalone file for browsers and vector editors.

The view box counts thousandths of an inch, tiles are measured in their own pixels and scaled by
``patternTransform``: so they stay sharp in every renderer tried. A cover is one group drawn
more than once, first without and then with anti-aliasing: no gaps between neighbours, smooth
diagonals.
"""

from __future__ import annotations

import base64
import io
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from quiltgeom.files import write_whole
from quiltgeom.geometry.placement import Matrix
from quiltgeom.outputs.stamps import stamped
from quiltgeom.render.scene import (
    ClothPaint,
    Fill,
    Item,
    Layer,
    Path,
    Scene,
    Segment,
    Solid,
    Stroke,
    TileKey,
    scene_tiles,
)

if TYPE_CHECKING:
    from PIL import Image

MILS = 1000.0
"""View box units per inch."""

NUDGE = (3, 1)
"""Thousandths of an inch; along no direction in which seams usually run."""

LONG_TILE = 864
"""Pixels (12 inches of cloth at 72 to the inch) that a written-out repeat comes up to."""

CLOTH_PPI = 72.0
"""Pixels per scene inch of embedded cloth, unless asked for more."""


def write_svg(scene: Scene, path: str | FilePath, *, cloth_ppi: float = CLOTH_PPI) -> FilePath:
    """Write an SVG; ``cloth_ppi`` is the resolution at which swatches are embedded."""
    data = svg_text(scene, cloth_ppi=cloth_ppi).encode("utf-8")
    return write_whole(path, stamped(data, ".svg"))


def svg_text(scene: Scene, *, cloth_ppi: float = CLOTH_PPI, lossless: bool = False) -> str:
    """As :func:`write_svg`, returning the file's text; ``lossless`` embeds photos as PNG."""
    import svgwrite

    drawing = svgwrite.Drawing(
        size=(f"{scene.width:.6g}in", f"{scene.height:.6g}in"),
        viewBox=f"0 0 {_n(scene.width)} {_n(scene.height)}",
        debug=False,
    )
    drawing.attribs["role"] = "img"
    drawing.set_desc(title=_clean(scene.title) or None, desc=_clean(scene.description) or None)
    drawing.add(drawing.rect((0, 0), ("100%", "100%"), fill=scene.ground, id="ground"))
    writer = _Writer(drawing, scene_tiles(scene, cloth_ppi), lossless)
    for number, layer in enumerate(scene.layers, 1):
        writer.layer(layer, number)
    return '<?xml version="1.0" encoding="utf-8"?>\n' + str(drawing.tostring()) + "\n"


class _Writer:
    """Adds layers to a drawing; each tile picture is embedded once, when it is first needed."""

    def __init__(
        self, drawing: Any, tiles: dict[TileKey, Image.Image], lossless: bool = False
    ) -> None:
        self.drawing, self.lossless = drawing, lossless
        self.times = {key: _times(key, image) for key, image in tiles.items()}
        self.tiles = {key: _repeated(image, *self.times[key]) for key, image in tiles.items()}
        self.embedded: dict[bytes, str] = {}
        self.images: dict[TileKey, str] = {}
        self.patterns: dict[tuple[TileKey, Matrix], str] = {}

    def layer(self, layer: Layer, number: int) -> None:
        name = layer.label or f"layer-{number}"
        group = self.drawing.g(id=f"{name}-{number}" if layer.label else name)
        for item in _merged(layer.items):
            group.add(self.item(item))
        if layer.kind != "cover":
            self.drawing.add(group)
            return
        self.drawing.defs.add(group)
        href = f"#{group['id']}"
        # a pixel's centre may lie on a seam exactly and be drawn by neither neighbour: a copy
        # moved by a thread's breadth lies below it
        moved = f"translate({NUDGE[0]} {NUDGE[1]})"
        self.drawing.add(self.drawing.use(href, shape_rendering="crispEdges", transform=moved))
        self.drawing.add(self.drawing.use(href, shape_rendering="crispEdges"))
        self.drawing.add(self.drawing.use(href))

    def item(self, item: Item) -> Any:
        path = self.drawing.path(d=path_data(item.path))
        if isinstance(item, Stroke):
            path.update({"fill": "none", "stroke": item.colour})
            path.update({"stroke-width": _n(item.width), "stroke-linejoin": "round"})
            path["stroke-linecap"] = "butt" if item.dash else "round"
            if item.dash:
                path["stroke-dasharray"] = " ".join(_n(d) for d in item.dash)
            if item.opacity < 1:
                path["stroke-opacity"] = f"{item.opacity:g}"
            return path
        path["fill-rule"] = "evenodd"
        if isinstance(item.paint, Solid):
            path["fill"] = item.paint.colour
            if item.paint.opacity < 1:
                path["fill-opacity"] = f"{item.paint.opacity:g}"
        else:
            path["fill"] = f"url(#{self.pattern(item.paint)})"
        return path

    def pattern(self, paint: ClothPaint) -> str:
        """Each pattern has a ``use`` of its own: one renderer skips patterns that inherit."""
        key = (paint.cloth, paint.grey)
        known = self.patterns.get((key, paint.matrix))
        if known:
            return known
        image, (width, height) = self.tiles[key], paint.cloth.image_size
        width, height = width * self.times[key][0], height * self.times[key][1]
        a, b, c, d, e, f = paint.matrix
        kx, ky = MILS * width / image.width, MILS * height / image.height
        values = (a * kx, b * kx, c * ky, d * ky, e * MILS, f * MILS)
        name = f"cut-{len(self.patterns) + 1}"
        mirrored = paint.cloth.kind == "mirror"
        size = (image.width * 2, image.height * 2) if mirrored else image.size
        pattern = self.drawing.pattern(
            id=name,
            size=size,
            patternUnits="userSpaceOnUse",
            patternTransform=f"matrix({' '.join(f'{v:.9g}' for v in values)})",
        )
        pattern.add(self.drawing.use(f"#{self.image(key)}"))
        if mirrored:
            w, h = size
            for turn in (f"-1 0 0 1 {w} 0", f"1 0 0 -1 0 {h}", f"-1 0 0 -1 {w} {h}"):
                pattern.add(self.drawing.use(f"#{self.image(key)}", transform=f"matrix({turn})"))
        self.drawing.defs.add(pattern)
        self.patterns[(key, paint.matrix)] = name
        return name

    def image(self, key: TileKey) -> str:
        """Id of the embedded picture; equal pictures (plain and mirrored cloth) are one."""
        if key not in self.images:
            self.images[key] = self.embed(self.tiles[key], key[0].photo and not self.lossless)
        return self.images[key]

    def embed(self, image: Image.Image, photo: bool) -> str:
        packed = io.BytesIO()
        if photo:
            image.save(packed, "JPEG", quality=90, subsampling=0)
        else:
            image.save(packed, "PNG", compress_level=6)
        data = packed.getvalue()
        if data not in self.embedded:
            self.embedded[data] = name = f"cloth-{len(self.embedded) + 1}"
            head = "data:image/jpeg;base64," if photo else "data:image/png;base64,"
            href = head + base64.b64encode(data).decode()
            element = self.drawing.image(href, size=image.size, id=name)
            element["preserveAspectRatio"] = "none"
            self.drawing.defs.add(element)
        return self.embedded[data]


def _times(key: TileKey, image: Image.Image) -> tuple[int, int]:
    """How often a short repeat is written out: some renderers round a tile to whole pixels of
    the output, and the print would drift by that much with every tile."""
    if key[0].kind != "repeat":
        return 1, 1
    return max(1, LONG_TILE // image.width), max(1, LONG_TILE // image.height)


def _repeated(image: Image.Image, across: int, down: int) -> Image.Image:
    from PIL import Image

    if across == down == 1:
        return image
    whole = Image.new("RGB", (image.width * across, image.height * down))
    for i in range(across):
        for j in range(down):
            whole.paste(image, (i * image.width, j * image.height))
    return whole


def _merged(items: tuple[Item, ...]) -> list[Item]:
    """Fills that share a paint become one path: renderers decode a picture once per fill."""
    if not all(isinstance(i, Fill) for i in items):  # the order of strokes matters
        return list(items)
    segments: dict[Solid | ClothPaint, list[Segment]] = {}
    for item in items:
        if isinstance(item, Fill):
            segments.setdefault(item.paint, []).extend(item.path.segments)
    return [Fill(Path(tuple(s)), paint) for paint, s in segments.items()]


def _n(inches: float, digits: int = 4) -> str:
    """Inches as view box units, to a ten-millionth of an inch at most."""
    text = f"{inches * MILS:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text if text not in ("-0", "") else "0"


def path_data(path: Path, digits: int = 4) -> str:
    """SVG path data in thousandths of an inch, with ``digits`` decimals at most.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> from quiltgeom.render.scene import path_of
    >>> path_data(path_of(rectangle(0, 0, 2, 1)))
    'M0 0L2000 0L2000 1000L0 1000Z'
    """
    parts = []
    for op, v in path.segments:
        if op == "A":
            _, _, r, _, sweep, x, y = v
            large, clockwise = int(abs(sweep) > 3.141592653589793), int(sweep > 0)
            ends = [_n(c, digits) for c in (r, r, x, y)]
            parts.append(f"A{ends[0]} {ends[1]} 0 {large} {clockwise} {ends[2]} {ends[3]}")
        elif op == "Z":
            parts.append("Z")
        else:
            parts.append(op + " ".join(_n(c, digits) for c in v))
    return "".join(parts)


def _clean(text: str) -> str:
    """Characters that XML forbids are left out."""
    return "".join(c for c in text if c in "\t\n" or (ord(c) >= 32 and c not in "\ufffe\uffff"))
