"""The page with two marker sheets: beside a cloth, one tells scale and colour of a photo."""

from collections.abc import Iterator

import numpy as np
import shapely

from quiltgeom.colour import linear_to_srgb
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.photo.markers.marker_sheet import (
    MARKER_IN,
    MARKERS_AT,
    PAPERS,
    SHEET_IN,
    STEPS,
    STEPS_AT,
    marker_cells,
    marker_number,
)
from quiltgeom.geometry.outline import rectangle
from quiltgeom.render.scene import Fill, Item, Path, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import text_items, wrap_text
from quiltgeom.tracing.pages import CHECK_WIDTH, paper_size
from quiltgeom.units import INCH_IN_CM

_GREY = "#666666"
_LEFT, _RIGHT = MARKER_IN + 0.3, SHEET_IN[0] - MARKER_IN - 0.3  # between the markers
_LAY = (
    "Lay this sheet flat beside the cloth, or over its rim, and photograph both together: it tells "
    "how large the cloth is and which colours are true.",
    "Keep it in the same light as the cloth, with at least two of its markers in plain view.",
)
_CHECK = "Print at 100 % (actual size), on plain white paper."
_RULER = (4, 10)  # inches, centimetres


def marker_page(paper: str = "letter") -> Scene:
    """Two marker sheets on a page, to be printed at its real size and cut apart.

    Raises:
        QuiltValueError: an unknown paper.

    >>> round(marker_page("a4").width * 25.4)
    210
    """
    if paper not in PAPERS:
        raise QuiltValueError(f"paper: found {paper!r}; accepted: {', '.join(PAPERS)}")
    width, height = paper_size(paper)
    cut = line_path([(0, height / 2), (width, height / 2)])
    page = Scene(width, height, title="Marker sheets for photos of cloth").with_items(
        Stroke(cut, 0.006, _GREY, dash=(0.06, 0.06))
    )
    for half in (0, 1):
        sheet = Scene(*SHEET_IN).with_items(*_sheet(paper, half))
        page = page.with_scene(sheet, *sheet_place(paper, half))
    return page


def sheet_place(paper: str, half: int) -> tuple[float, float]:
    """Where what is drawn on a sheet begins on its page, inches."""
    width, height = paper_size(paper)
    return (width - SHEET_IN[0]) / 2, height / 2 * half + (height / 2 - SHEET_IN[1]) / 2


def _sheet(paper: str, half: int) -> Iterator[Item]:
    for place, (x, y) in enumerate(MARKERS_AT):
        cells = _marker(marker_number(paper, half, place))
        yield Fill(cells.moved(x, y, MARKER_IN / 7), Solid("#000000"))
    yield from text_items("Marker sheet for photos of cloth", _LEFT, 0.16, 14, font="Bold")
    y = 0.42
    for text in _LAY:
        lines = wrap_text(text, _RIGHT - _LEFT, 10)
        yield from text_items(lines, _LEFT, y, 10)
        y += 0.18 * len(lines) + 0.08
    yield from _steps()
    yield from _ruler()


def _marker(number: int) -> Path:
    """Its black cells, each a unit wide, as one path without seams."""
    black = shapely.union_all([shapely.box(x, y, x + 1, y + 1) for x, y in marker_cells(number)])
    rings = [r for p in shapely.get_parts(black) for r in (p.exterior, *p.interiors)]
    return Path(tuple(s for r in rings for s in line_path(r.coords[:-1], closed=True).segments))


def _steps() -> Iterator[Item]:
    for light, (x, y, w, h) in zip(STEPS, STEPS_AT, strict=True):
        outline = path_of(rectangle(x, y, w, h))
        grey = bytes([round(255 * float(linear_to_srgb(np.array(light))))] * 3).hex()
        yield Fill(outline, Solid(f"#{grey}")) if light < 1 else Stroke(outline, 0.006, _GREY)
        name = "paper, 100 %" if light == 1 else f"{light:.0%}".replace("%", " %")
        yield from text_items(name, x + w / 2, y + h + 0.17, 9, anchor="middle")


def _ruler() -> Iterator[Item]:
    """Inches above the line, centimetres below it."""
    x, y, (inches, cm) = _LEFT, 4.28, _RULER
    yield from text_items([_CHECK, "Measure before use:"], x, 3.46, 10)
    yield Stroke(line_path([(x, y), (x + inches, y)]), CHECK_WIDTH)
    for count, step, rise, unit in ((inches, 1.0, -1, "in"), (cm, 1 / INCH_IN_CM, 1, "cm")):
        for k in range(count + 1):
            at, long = x + k * step, 0.16 if k in (0, count) else 0.1
            yield Stroke(line_path([(at, y), (at, y + rise * long)]), CHECK_WIDTH)
            name = f"{k} {unit}" if k == count else str(k)
            down = 0.16 + 0.13 if rise > 0 else -0.2
            yield from text_items(name, at, y + down, 9, anchor="middle")
