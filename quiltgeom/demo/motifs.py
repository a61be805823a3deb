"""Motifs of the harbour, each drawn about its own middle, in inches, its up at -y."""

from __future__ import annotations

import math
from typing import Any

from quiltgeom.demo.canvas import blob, rgb

__all__ = ["boat", "fish", "gull", "heron", "house", "leaf", "lemon", "lighthouse", "reed"]


def _fill(c: Any, colour: str, line: str | None = None, width: float = 0.03) -> None:
    c.set_source_rgb(*rgb(colour))
    if line is None:
        c.fill()
        return
    c.fill_preserve()
    c.set_source_rgb(*rgb(line))
    c.set_line_width(width)
    c.stroke()


def _poly(c: Any, *points: tuple[float, float]) -> None:
    c.move_to(*points[0])
    for p in points[1:]:
        c.line_to(*p)
    c.close_path()


def lighthouse(c: Any, ink: str = "#2b3a4a") -> None:
    """Five inches high, red bands, lamp at the top."""
    _poly(c, (-0.62, 2.3), (0.62, 2.3), (0.36, -1.5), (-0.36, -1.5))
    _fill(c, "#f6efe2", ink)
    for top, bottom in ((-1.0, -0.3), (0.45, 1.15)):
        half = [0.36 + (v + 1.5) / 3.8 * 0.26 for v in (top, bottom)]
        _poly(c, (-half[0], top), (half[0], top), (half[1], bottom), (-half[1], bottom))
        _fill(c, "#b5483a", ink)
    c.rectangle(-0.14, 1.55, 0.28, 0.72)
    _fill(c, "#6b4a33", ink)
    c.arc(0, -0.62, 0.1, 0, 2 * math.pi)
    _fill(c, ink)
    c.rectangle(-0.5, -1.62, 1.0, 0.14)
    _fill(c, ink)
    c.rectangle(-0.27, -2.15, 0.54, 0.54)
    _fill(c, "#f4cf62", ink)
    for x in (-0.09, 0.09):
        c.move_to(x, -2.15)
        c.line_to(x, -1.62)
    c.set_line_width(0.03)
    c.stroke()
    _poly(c, (-0.38, -2.13), (0.38, -2.13), (0, -2.55))
    _fill(c, "#b5483a", ink)


def house(c: Any, wall: str, roof: str, ink: str = "#2b3a4a") -> None:
    """About 1.3 inches wide and high."""
    c.rectangle(-0.6, -0.25, 1.2, 0.95)
    _fill(c, wall, ink)
    _poly(c, (-0.72, -0.22), (0.72, -0.22), (0, -0.85))
    _fill(c, roof, ink)
    c.rectangle(0.28, -0.92, 0.16, 0.4)
    _fill(c, roof, ink)
    c.rectangle(-0.13, 0.18, 0.26, 0.52)
    _fill(c, roof, ink)
    for x in (-0.45, 0.23):
        c.rectangle(x, -0.08, 0.22, 0.24)
        _fill(c, "#f6e3a8", ink, 0.025)


def boat(c: Any, hull: str, sail: str, ink: str = "#2b3a4a") -> None:
    """A small boat under sail, about 1.8 inches wide and 2.2 high."""
    c.move_to(0, 0.55)
    c.line_to(0, -1.3)
    c.set_source_rgb(*rgb(ink))
    c.set_line_width(0.06)
    c.stroke()
    c.move_to(0.07, -1.2)
    c.curve_to(0.7, -0.6, 0.85, 0.0, 0.8, 0.35)
    c.line_to(0.07, 0.35)
    c.close_path()
    _fill(c, sail, ink)
    c.move_to(-0.07, -0.95)
    c.curve_to(-0.45, -0.5, -0.6, 0.0, -0.62, 0.35)
    c.line_to(-0.07, 0.35)
    c.close_path()
    _fill(c, "#f6efe2", ink)
    c.move_to(-0.95, 0.5)
    c.line_to(0.98, 0.5)
    c.curve_to(0.8, 0.95, 0.6, 1.0, 0.4, 1.0)
    c.line_to(-0.55, 1.0)
    c.curve_to(-0.75, 0.95, -0.9, 0.75, -0.95, 0.5)
    c.close_path()
    _fill(c, hull, ink)


def gull(c: Any, colour: str = "#f6efe2", ink: str = "#2b3a4a") -> None:
    """A gull in flight, about an inch across."""
    c.move_to(0, 0.08)
    c.curve_to(-0.12, -0.16, -0.34, -0.24, -0.58, -0.14)
    c.curve_to(-0.38, -0.1, -0.2, 0.02, 0, 0.2)
    c.curve_to(0.2, 0.02, 0.38, -0.1, 0.58, -0.14)
    c.curve_to(0.34, -0.24, 0.12, -0.16, 0, 0.08)
    c.close_path()
    _fill(c, colour, ink, 0.022)


def heron(c: Any, body: str, wing: str, ink: str) -> None:
    """A standing heron, about four inches high, looking to the right."""
    c.set_source_rgb(*rgb(ink))
    c.set_line_width(0.055)
    for x, foot in ((-0.12, -0.2), (0.1, 0.16)):
        c.move_to(x, 0.7)
        c.line_to(x + 0.03, 1.3)
        c.line_to(x - 0.02, 1.95)
        c.line_to(foot + 0.22, 2.0)
        c.stroke()
    blob(c, [(0.5, -0.25), (0.42, 0.35), (0.0, 0.75), (-0.55, 0.85), (-0.95, 1.0),
             (-0.6, 0.45), (-0.25, 0.0), (0.15, -0.35)])  # fmt: skip
    _fill(c, body, ink)
    blob(c, [(0.22, -0.05), (0.18, 0.3), (-0.25, 0.62), (-0.8, 0.88), (-0.45, 0.35), (-0.1, 0.0)])
    _fill(c, wing, ink)
    for k in range(3):
        c.move_to(0.1 - 0.16 * k, 0.12 + 0.1 * k)
        c.curve_to(-0.1 - 0.16 * k, 0.35 + 0.1 * k, -0.3 - 0.1 * k, 0.5 + 0.08 * k,
                   -0.45 - 0.1 * k, 0.58 + 0.08 * k)  # fmt: skip
    c.set_line_width(0.025)
    c.stroke()
    c.move_to(0.42, 0.0)
    c.curve_to(0.85, -0.35, 0.05, -0.75, 0.1, -1.25)
    c.curve_to(0.12, -1.62, 0.45, -1.72, 0.62, -1.55)
    c.curve_to(0.7, -1.42, 0.6, -1.35, 0.45, -1.36)
    c.curve_to(0.28, -1.35, 0.28, -1.15, 0.34, -1.0)
    c.curve_to(0.5, -0.65, 0.75, -0.45, 0.42, 0.0)
    c.close_path()
    _fill(c, body, ink)
    _poly(c, (0.58, -1.58), (1.3, -1.42), (0.6, -1.42))
    _fill(c, "#c99a4a", ink, 0.022)
    c.move_to(0.48, -1.66)
    c.curve_to(0.2, -1.8, 0.0, -1.7, -0.3, -1.5)
    c.curve_to(0.0, -1.58, 0.2, -1.6, 0.42, -1.52)
    c.close_path()
    _fill(c, ink)
    c.arc(0.5, -1.53, 0.035, 0, 2 * math.pi)
    _fill(c, ink)


def reed(c: Any, green: str, head: str) -> None:
    """A bulrush three inches high with two blades."""
    c.set_source_rgb(*rgb(green))
    c.set_line_width(0.05)
    c.move_to(0, 1.5)
    c.curve_to(0.05, 0.5, -0.05, -0.4, 0.05, -1.4)
    c.stroke()
    for side in (-1, 1):
        c.move_to(0, 1.5)
        c.curve_to(0.1 * side, 0.6, 0.25 * side, 0.0, 0.62 * side, -0.55)
        c.curve_to(0.4 * side, 0.2, 0.2 * side, 0.8, 0.07 * side, 1.5)
        c.close_path()
        c.fill()
    c.save()
    c.translate(0.03, -1.0)
    c.scale(0.11, 0.42)
    c.arc(0, 0, 1, 0, 2 * math.pi)
    c.restore()
    _fill(c, head)


def lemon(c: Any, skin: str = "#f2c53d", ink: str = "#a9781c") -> None:
    """A lemon about 1.3 inches long, its tip at the right."""
    blob(c, [(-0.62, 0.0), (-0.42, -0.3), (0.0, -0.42), (0.4, -0.3), (0.55, -0.1), (0.7, -0.04),
             (0.7, 0.05), (0.55, 0.12), (0.4, 0.32), (0.0, 0.42), (-0.42, 0.3)])  # fmt: skip
    _fill(c, skin, ink, 0.025)
    blob(c, [(-0.35, -0.12), (-0.1, -0.28), (0.25, -0.2), (-0.05, -0.16)])
    _fill(c, "#fbe79a")
    for k in range(7):
        a = k * 2.4
        c.arc(0.3 * math.cos(a) * (0.4 + k / 10), 0.06 + 0.2 * math.sin(a), 0.018, 0, 2 * math.pi)
        _fill(c, ink)


def leaf(c: Any, green: str = "#5f8f4e", vein: str = "#3d6a38") -> None:
    """A leaf an inch long, its tip at the right."""
    c.move_to(-0.5, 0)
    c.curve_to(-0.2, -0.35, 0.25, -0.3, 0.55, 0)
    c.curve_to(0.25, 0.3, -0.2, 0.35, -0.5, 0)
    c.close_path()
    _fill(c, green, vein, 0.02)
    c.move_to(-0.62, 0)
    c.line_to(0.42, 0)
    for x in (-0.2, 0.05, 0.28):
        c.move_to(x - 0.1, 0)
        c.line_to(x + 0.06, -0.14)
        c.move_to(x - 0.1, 0)
        c.line_to(x + 0.06, 0.14)
    c.set_line_width(0.018)
    c.stroke()


def fish(c: Any, body: str, fin: str, ink: str) -> None:
    """A fish 1.7 inches long that swims up."""
    blob(c, [(0, -0.85), (0.22, -0.5), (0.32, -0.05), (0.2, 0.35), (0.07, 0.55),
             (-0.07, 0.55), (-0.2, 0.35), (-0.32, -0.05), (-0.22, -0.5)])  # fmt: skip
    _fill(c, body, ink, 0.025)
    _poly(c, (-0.06, 0.5), (0.06, 0.5), (0.34, 0.88), (0, 0.74), (-0.34, 0.88))
    _fill(c, fin, ink, 0.025)
    for side in (-1, 1):
        _poly(c, (0.29 * side, -0.12), (0.52 * side, 0.14), (0.24 * side, 0.2))
        _fill(c, fin, ink, 0.025)
        c.arc(0.1 * side, -0.56, 0.035, 0, 2 * math.pi)
        _fill(c, ink)
    c.set_line_width(0.022)
    for y in (-0.3, -0.12, 0.06, 0.24):
        c.move_to(-0.2, y)
        c.curve_to(-0.1, y + 0.12, 0.1, y + 0.12, 0.2, y)
        c.stroke()
