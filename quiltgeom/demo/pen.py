"""A drawing pen in inches, and the repeating tile that it draws on."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltgeom.render.cairo_draw import cairo

Point = tuple[float, float]
Points = Sequence[Point] | str
"""Points of a path, or the text of them that :func:`table` reads: ``0,-.5 .09,-.42``."""


def table(text: str) -> list[Any]:
    """Rows of numbers written as SVG writes points: commas within a row, blanks between rows.

    >>> table("0,-.5 .09,-.42")
    [(0.0, -0.5), (0.09, -0.42)]
    """
    return [tuple(map(float, row.split(","))) for row in text.split()]


def zigzag(x: float, y: float, step: float, rise: float, count: int) -> list[Point]:
    """Points ``step`` apart from ``x`` on, by turns ``rise`` above and below ``y``."""
    return [(x + i * step, y + (rise if i % 2 else -rise)) for i in range(count)]


def _listed(points: Points) -> Sequence[Point]:
    return table(points) if isinstance(points, str) else points


class Pen:
    """Thin layer over a cairo context: shapes from points, ink by hex colour."""

    def __init__(self, context: Any) -> None:
        self.layers: list[tuple[Any, float]] = []
        self._start(context)

    def _start(self, context: Any) -> None:
        self.ctx = context
        context.set_line_join(1)
        context.set_line_cap(1)

    def layer(self, opacity: float = 1.0) -> None:
        """Go on in a new layer, above everything so far even where motifs cross the tile's edge.

        ``opacity`` is that of the layer as a whole.
        """
        lib = cairo()
        record = lib.RecordingSurface(lib.CONTENT_COLOR_ALPHA, None)
        self.layers.append((record, opacity))
        self._start(lib.Context(record))

    @contextmanager
    def at(
        self, x: float, y: float, scale: float = 1.0, turn: float = 0.0, mirror: bool = False
    ) -> Iterator[None]:
        """Draw with the origin at (x, y), scaled, turned clockwise (degrees), maybe mirrored."""
        self.ctx.save()
        self.ctx.translate(x, y)
        self.ctx.rotate(math.radians(turn))
        self.ctx.scale(-scale if mirror else scale, scale)
        yield
        self.ctx.restore()

    @contextmanager
    def inside(self) -> Iterator[None]:
        """Everything drawn is kept inside the current path."""
        self.ctx.save()
        self.ctx.clip()
        yield
        self.ctx.restore()

    def poly(self, points: Points) -> Pen:
        """A polygon."""
        self.polyline(points).ctx.close_path()
        return self

    def polyline(self, points: Points) -> Pen:
        """An open path of straight lines."""
        self.ctx.new_path()
        for p in _listed(points):
            self.ctx.line_to(*p)
        return self

    def curve(self, points: Points, *, pull: float = 1.0) -> Pen:
        """A smooth closed path through all points (Catmull-Rom as cubic curves)."""
        return self._smooth(_listed(points), True, pull)

    def thread(self, points: Points) -> Pen:
        """A smooth open path through all points."""
        return self._smooth(_listed(points), False)

    def _smooth(self, points: Sequence[Point], closed: bool, pull: float = 1.0) -> Pen:
        n, k = len(points), pull / 6
        self.ctx.new_path()
        self.ctx.move_to(*points[0])
        for i in range(n if closed else n - 1):
            a, b, c, d = (self._nth(points, i + j, closed) for j in (-1, 0, 1, 2))
            self.ctx.curve_to(
                b[0] + (c[0] - a[0]) * k,
                b[1] + (c[1] - a[1]) * k,
                c[0] - (d[0] - b[0]) * k,
                c[1] - (d[1] - b[1]) * k,
                *c,
            )
        if closed:
            self.ctx.close_path()
        return self

    @staticmethod
    def _nth(points: Sequence[Point], i: int, closed: bool) -> Point:
        return points[i % len(points)] if closed else points[min(max(i, 0), len(points) - 1)]

    def oval(self, x: float, y: float, rx: float, ry: float | None = None, turn: float = 0) -> Pen:
        """An ellipse (a circle without ``ry``)."""
        self.ctx.new_path()
        self.ctx.save()
        self.ctx.translate(x, y)
        self.ctx.rotate(math.radians(turn))
        self.ctx.scale(rx, rx if ry is None else ry)
        self.ctx.arc(0, 0, 1, 0, 2 * math.pi)
        self.ctx.restore()
        return self

    def arc(self, x: float, y: float, r: float, start: float, end: float) -> Pen:
        """An open arc, degrees clockwise from the right."""
        self.ctx.new_path()
        self.ctx.arc(x, y, r, math.radians(start), math.radians(end))
        return self

    def box(self, x: float, y: float, w: float, h: float) -> Pen:
        """A rectangle."""
        self.ctx.new_path()
        self.ctx.rectangle(x, y, w, h)
        return self

    def fill(self, colour: str, opacity: float = 1.0) -> Pen:
        """Fill the path; it stays for a line or a clip."""
        self._ink(colour, opacity)
        self.ctx.fill_preserve()
        return self

    def line(self, colour: str, width: float, opacity: float = 1.0) -> Pen:
        """Draw along the path; it stays."""
        self._ink(colour, opacity)
        self.ctx.set_line_width(width)
        self.ctx.stroke_preserve()
        return self

    def _ink(self, colour: str, opacity: float) -> None:
        r, g, b = bytes.fromhex(colour[1:])
        self.ctx.set_source_rgba(r / 255, g / 255, b / 255, opacity)


def draw_tile(
    size: tuple[float, float], kind: str, ground: str, ppi: int, draw: Callable[[Pen], None]
) -> NDArray[np.uint8]:
    """Draw one repeat so that whatever overhangs an edge comes in again on the other side.

    Args:
        size: the repeat, inches. A half-drop or brick tile holds two of them.
        kind: ``straight``, ``half-drop`` or ``brick``.
        ppi: pixels per inch; the tile is rounded to whole pixels.
        draw: draws one repeat, anywhere from -size to 2 size.

    Returns:
        RGBX pixels, shape (rows, columns, 4).
    """
    lib = cairo()
    two_wide, two_high = kind == "half-drop", kind == "brick"
    across, down = size[0] * (1 + two_wide), size[1] * (1 + two_high)
    columns, rows = max(1, round(across * ppi)), max(1, round(down * ppi))
    surface = lib.ImageSurface(lib.FORMAT_RGB24, columns, rows)
    ctx = lib.Context(surface)
    ctx.scale(columns / across, rows / down)
    pen = Pen(ctx)
    pen.box(0, 0, across, down).fill(ground)
    motifs = Pen(ctx)
    motifs.layer()
    draw(motifs)
    for record, opacity in motifs.layers:
        for row, column in product(range(-2, 4), range(-2, 4)):
            x = size[0] * (column + (0.5 if two_high and row % 2 else 0))
            y = size[1] * (row + (0.5 if two_wide and column % 2 else 0))
            _paste(ctx, record, opacity, x, y, across, down)
    surface.flush()
    bgrx = np.frombuffer(surface.get_data(), np.uint8).reshape(rows, surface.get_stride() // 4, 4)
    return bgrx[:, :columns][:, :, [2, 1, 0, 3]]


def _paste(
    ctx: Any, record: Any, opacity: float, x: float, y: float, across: float, down: float
) -> None:
    left, top, wide, high = record.ink_extents()
    if x + left >= across or y + top >= down or x + left + wide <= 0 or y + top + high <= 0:
        return
    ctx.set_source_surface(record, x, y)
    ctx.paint_with_alpha(opacity)
