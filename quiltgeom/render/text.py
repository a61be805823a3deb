"""Text as outlines, so that a page looks the same on a machine with no fonts.

Glyphs come from Source Sans Pro (SIL Open Font License), which a dependency carries.
"""

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any, Literal

from quiltgeom.render.scene import Fill, Path, Segment, Solid

Font = Literal["Regular", "Semibold", "Bold", "It", "Light"]
_WORD = re.compile(r"(?<!\S)[0-9]+ [0-9]+/[0-9]+\S*|[0-9.]+ cm\b\S*|\S+")
POINT = 1 / 72
"""A typographic point in inches (ISO 32000: 1/72 inch)."""


@dataclass(frozen=True)
class _Face:
    glyphs: Any
    cmap: dict[int, str]
    widths: dict[str, tuple[int, int]]
    units: int


@cache
def _face(font: Font) -> _Face:
    from fontTools.ttLib import TTFont

    path = files("font_source_sans_pro") / "files" / f"SourceSansPro-{font}.ttf"
    with path.open("rb") as handle:
        ttf = TTFont(handle, lazy=False)
        return _Face(
            ttf.getGlyphSet(), ttf.getBestCmap(), ttf["hmtx"].metrics, ttf["head"].unitsPerEm
        )


@lru_cache(maxsize=4096)
def _glyph(font: Font, char: str) -> tuple[tuple[Segment, ...], float]:
    """Outline (in ems, y down, baseline at 0) and advance of a character."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    face = _face(font)
    name = face.cmap.get(ord(char)) or face.cmap.get(ord("?")) or ".notdef"
    pen = DecomposingRecordingPen(face.glyphs)
    face.glyphs[name].draw(pen)
    k = 1.0 / face.units
    segments: list[Segment] = []
    for op, points in pen.value:
        scaled = [(x * k, -y * k) for x, y in points]
        if op == "qCurveTo":
            segments.extend(_cubics(segments[-1][1][-2:], scaled))
        else:
            letter = {"moveTo": "M", "lineTo": "L", "curveTo": "C"}.get(op, "Z")
            segments.append((letter, tuple(v for p in scaled for v in p)))
    return tuple(segments), face.widths[name][0] * k


def _cubics(start: tuple[float, ...], points: list[tuple[float, float]]) -> list[Segment]:
    """TrueType's chain of quadratics as cubics, which all back ends draw; exact."""
    from fontTools.pens.basePen import decomposeQuadraticSegment

    out: list[Segment] = []
    x0, y0 = start
    for (x1, y1), (x2, y2) in decomposeQuadraticSegment(points):
        first = (x0 + (x1 - x0) * 2 / 3, y0 + (y1 - y0) * 2 / 3)
        second = (x2 + (x1 - x2) * 2 / 3, y2 + (y1 - y2) * 2 / 3)
        out.append(("C", (*first, *second, x2, y2)))
        x0, y0 = x2, y2
    return out


def text_width(text: str, points: float, font: Font = "Regular") -> float:
    """Width of a line of text in inches; ``points`` is the size in typographic points.

    >>> text_width("", 12)
    0.0
    >>> text_width("mm", 12) == 2 * text_width("m", 12)
    True
    """
    return points * POINT * sum(_glyph(font, c)[1] for c in text)


@lru_cache(maxsize=2048)
def text_path(
    text: str,
    x: float,
    y: float,
    points: float,
    *,
    font: Font = "Regular",
    anchor: Literal["start", "middle", "end"] = "start",
) -> Path:
    """Outlines of one line of text with its baseline at (x, y), all in inches.

    Headings are the same on every page of a set: lines drawn once are remembered.
    """
    size = points * POINT
    at = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * text_width(text, points, font)
    segments: list[Segment] = []
    for char in text:
        glyph, advance = _glyph(font, char)
        segments.extend(Path(glyph).moved(at, y, size).segments)
        at += advance * size
    return Path(tuple(segments))


def text_items(
    lines: str | list[str],
    x: float,
    y: float,
    points: float,
    *,
    font: Font = "Regular",
    anchor: Literal["start", "middle", "end"] = "start",
    colour: str = "#222222",
    leading: float = 1.3,
) -> list[Fill]:
    """Lines of text as fills, the first baseline at ``y``; ``leading`` times the size apart."""
    rows = [lines] if isinstance(lines, str) else lines
    bases = [y + i * points * POINT * leading for i in range(len(rows))]
    return [
        Fill(text_path(row, x, base, points, font=font, anchor=anchor), Solid(colour))
        for row, base in zip(rows, bases, strict=True)
        if row.strip()
    ]


def wrap_text(text: str, width: float, points: float, font: Font = "Regular") -> list[str]:
    """Break a text into lines no wider than ``width`` inches (a longer word stands alone).

    A whole number stays with its fraction, a number with its centimetres.

    >>> wrap_text("one two three", 0.6, 12), wrap_text('cut 2 1/2"', 0.5, 12)
    (['one two', 'three'], ['cut', '2 1/2"'])
    """
    lines: list[str] = []
    for word in _WORD.findall(text):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, points, font) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def fit_text(text: str, width: float, points: float, font: Font = "Regular") -> float:
    """The size, at most ``points``, at which ``text`` fits into ``width`` inches."""
    natural = text_width(text, points, font)
    return points if natural <= width else points * width / natural
