"""Rulers, mats, sheets and cards beside a cloth say how wide it is; nothing else does.

Drawn here with several looks, seen in perspective by a lens of known length: the truth is exact.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageDraw

from quiltgeom.fabric.photo.cloth_outline import find_cloth
from quiltgeom.fabric.photo.known_sizes import scales
from quiltgeom.fabric.photo.rims import finer
from quiltgeom.fabric.photo.tick_marks import read_ticks
from quiltgeom.fabric.photo.true_shape import focal_px, true_shape

PPI = 100
TABLE_IN = (20.0, 16.0)
CLOTH_IN = (4.0, 3.5, 12.0, 11.5)  # left, top, right, bottom
SIZE = (1600, 1280)
Draw = Callable[[ImageDraw.ImageDraw], None]


def box(d: ImageDraw.ImageDraw, inches: tuple[float, ...], fill: object, **more: object) -> None:
    d.rectangle([v * PPI for v in inches], fill=fill, **more)


def photo(*things: Draw, table: tuple[int, int, int] = (120, 86, 60)) -> tuple:
    """A table with a cloth of 8 x 8 inches and things on it, tilted by 14 degrees, and the cloth's
    shape."""
    picture = Image.new("RGB", tuple(round(v * PPI) for v in TABLE_IN), table)
    d = ImageDraw.Draw(picture)
    for thing in things:
        thing(d)
    focal, tilt = focal_px(SIZE, 26.0), np.radians(14)
    turn = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    camera = np.array([[focal, 0, SIZE[0] / 2], [0, focal, SIZE[1] / 2], [0, 0, 1]])
    # inches on the table, its middle at the origin, seen from 16 inches
    onto = camera @ np.column_stack([turn[:, 0], turn[:, 1], (0, 0, 16.0)])
    middle = np.array([[1 / PPI, 0, -TABLE_IN[0] / 2], [0, 1 / PPI, -TABLE_IN[1] / 2], [0, 0, 1]])
    rgb = cv2.warpPerspective(
        np.asarray(picture), onto @ middle, SIZE, flags=cv2.INTER_AREA, borderValue=table
    )
    x0, y0, x1, y1 = (v * PPI for v in CLOTH_IN)
    corners = np.array([[(x0, y0), (x1, y0), (x1, y1), (x0, y1)]])
    seen = cv2.perspectiveTransform(corners, onto @ middle)[0]
    noise = np.random.default_rng(1).normal(0, 2, rgb.shape)
    rgb = np.clip(cv2.GaussianBlur(rgb, (0, 0), 0.6) + noise, 0, 255).astype(np.uint8)
    return rgb, true_shape(seen, (False,) * 4, SIZE, 26.0)


def cloth(d: ImageDraw.ImageDraw) -> None:
    box(d, CLOTH_IN, (150, 60, 70))
    for x in np.arange(4.4, 12, 0.9):
        for y in np.arange(4, 11.5, 0.9):
            box(d, (x, y, x + 0.3, y + 0.3), (235, 215, 190))


def ticks(
    d: ImageDraw.ImageDraw,
    at: tuple[float, float],
    unit: float,
    long: dict[int, float],
    parts: int,
    ink: tuple[int, int, int],
    down: int = 1,
    many: int = 6,
) -> None:
    """Ticks to the right from a place; ``long``: inches for each step of which they are whole."""
    for k in range(many * parts + 1):
        x = at[0] + k * unit / parts
        length = long[max(step for step in long if k % step == 0)]
        d.line([x * PPI, at[1] * PPI, x * PPI, (at[1] + down * length) * PPI], ink, 2)
        if k % parts == 0:
            y = at[1] + down * (long[max(long)] + 0.12)
            d.text((x * PPI, y * PPI), str(k // parts), ink, anchor="mm", font_size=16)


SIXTEENTHS = {1: 0.12, 2: 0.18, 4: 0.25, 8: 0.32, 16: 0.42}
EIGHTHS = {1: 0.15, 2: 0.22, 4: 0.3, 8: 0.5}
MILLIMETRES = {1: 0.14, 5: 0.22, 10: 0.32}


def white_ruler(d: ImageDraw.ImageDraw) -> None:
    box(d, (4, 12, 12.4, 13.1), (236, 236, 230))
    ticks(d, (4.2, 12), 1.0, SIXTEENTHS, 16, (20, 20, 20), many=8)


def yellow_tape(d: ImageDraw.ImageDraw) -> None:
    box(d, (3, 12.2, 16, 12.9), (230, 190, 40))
    ticks(d, (3.3, 12.9), 1.0, EIGHTHS, 8, (10, 10, 10), down=-1, many=12)


def steel_with_both(d: ImageDraw.ImageDraw) -> None:
    box(d, (4, 12, 12.2, 13.4), (178, 180, 184))
    ticks(d, (4.2, 12), 1.0, EIGHTHS, 8, (40, 40, 44), many=7)
    ticks(d, (4.2, 13.4), 1 / 2.54, MILLIMETRES, 10, (40, 40, 44), down=-1, many=20)


def black_centimetres(d: ImageDraw.ImageDraw) -> None:
    box(d, (12.6, 3, 19.6, 4.2), (40, 42, 46))
    ticks(d, (12.8, 4.2), 1 / 2.54, MILLIMETRES, 10, (235, 235, 235), down=-1, many=15)


def clear_acrylic(d: ImageDraw.ImageDraw) -> None:
    box(d, (3, 12, 16, 14), (132, 100, 76))
    for x in np.arange(3.5, 16):
        d.line([x * PPI, 12 * PPI, x * PPI, 14 * PPI], (240, 225, 60), 2)
    ticks(d, (3.5, 12), 1.0, EIGHTHS, 8, (20, 20, 20), many=12)


@pytest.mark.parametrize(
    "ruler", [white_ruler, yellow_tape, steel_with_both, black_centimetres, clear_acrylic]
)
def test_rulers_of_many_looks(ruler: Draw) -> None:
    [scale] = scales(*photo(cloth, ruler))
    assert scale.by == "ruler beside the cloth"
    assert scale.width_in == pytest.approx(8.0, rel=0.015)


def even_ticks(d: ImageDraw.ImageDraw) -> None:
    box(d, (4, 12, 12.4, 13.1), (236, 236, 230))
    ticks(d, (4.2, 12), 1.0, {1: 0.2}, 8, (20, 20, 20), many=8)


def a_fifth_longer(d: ImageDraw.ImageDraw) -> None:
    box(d, (4, 12, 12.4, 13.1), (236, 236, 230))
    ticks(d, (4.2, 12), 1.0, {1: 0.15, 6: 0.3, 12: 0.45}, 12, (20, 20, 20), many=8)


def two_that_disagree(d: ImageDraw.ImageDraw) -> None:
    white_ruler(d)
    box(d, (12.6, 3, 19.6, 4.2), (40, 42, 46))
    ticks(d, (12.8, 4.2), 0.6, MILLIMETRES, 10, (235, 235, 235), down=-1, many=10)


def printed_in_it(d: ImageDraw.ImageDraw) -> None:
    white_ruler(d)
    box(d, (4.4, 7, 11.8, 8), (236, 236, 230))
    ticks(d, (4.6, 7), 0.8, EIGHTHS, 8, (20, 20, 20), many=8)


@pytest.mark.parametrize("thing", [even_ticks, a_fifth_longer, two_that_disagree, printed_in_it])
def test_what_is_no_ruler_or_tells_two_things_tells_nothing(thing: Draw) -> None:
    assert scales(*photo(cloth, thing)) == ()


def test_a_half_as_long_as_a_whole_is_not_taken_for_one() -> None:
    """Every second long tick is longer: the unit is from longest to longest."""
    strip = np.full((80, 1700), 200, np.uint8)
    for k in range(140):
        long = {0: 60, 8: 50, 4: 36, 12: 36}.get(k % 16, 26 if k % 2 == 0 else 18)
        strip[:long, 12 * k : 12 * k + 3] = 30
    found = read_ticks(strip, 1.0)
    assert found is not None
    assert found.inch == pytest.approx(192, rel=0.002)


def grid(unit: float, halves: int, heavy: int, fill: tuple[int, int, int]) -> Draw:
    """A mat's lines: ``halves`` fine ones to a unit, a broad one each ``heavy`` units."""

    def draw(d: ImageDraw.ImageDraw) -> None:
        box(d, (0, 0, *TABLE_IN), fill)
        for way in (0, 1):
            step = unit / halves
            for k in range(int(TABLE_IN[way] / step)):
                at = (0.13 + k * step) * PPI
                line = [at, 0, at, TABLE_IN[1] * PPI] if way == 0 else [0, at, 9999, at]
                if k % halves:
                    d.line(line, tuple(v + 35 for v in fill), 1)
                else:
                    d.line(line, (190, 200, 180), 5 if heavy and k // halves % heavy == 0 else 3)

    return draw


MATS = {
    "inches": (grid(1.0, 2, 6, (30, 70, 60)), 8.0),
    "centimetres": (grid(1 / 2.54, 1, 5, (40, 45, 60)), 8.0),
    "tiles": (grid(1.0, 1, 0, (90, 90, 95)), None),
}


@pytest.mark.parametrize("mat", MATS)
def test_mats_whose_heavier_lines_tell_their_unit(mat: str) -> None:
    draw, width = MATS[mat]
    found = {s.by: s.width_in for s in scales(*photo(draw, cloth))}
    expected = {} if width is None else {"mat under the cloth": pytest.approx(width, rel=0.015)}
    assert found == expected


def sheet(width: float, height: float) -> Draw:
    return lambda d: box(d, (12.3, 0.9, 12.3 + width / 2, 0.9 + height / 2), (240, 240, 238))


@pytest.mark.parametrize(
    ("size_in", "by"),
    [
        ((8.5, 11.0), "Letter sheet beside the cloth"),  # ANSI/ASME Y14.1
        ((210 / 25.4, 297 / 25.4), "A4 sheet beside the cloth"),  # ISO 216
        ((8.5, 10.2), None),
    ],
)
def test_sheets_of_paper(size_in: tuple[float, float], by: str | None) -> None:
    """Drawn half as large, so that they have room: the cloth is twice as wide for their size."""
    found = {s.by: s.width_in for s in scales(*photo(cloth, sheet(*size_in)))}
    assert found == ({by: pytest.approx(16.0, rel=0.02)} if by else {})


PHOTOS = Path(__file__).parent / "photos"


@pytest.mark.parametrize(
    ("name", "by"),
    [
        ("bright-desk_lighthouse-row.jpg", "ruler beside the cloth"),
        ("cutting-mat_low-tide.jpg", "mat under the cloth"),
        ("kitchen-table_drying-nets.jpg", "card beside the cloth"),
        ("held-down_lamp-dots.jpg", None),
        ("kitchen-table_market-lemons.jpg", None),
        ("sun-stripes_oilskin-plaid.jpg", None),
    ],
)
def test_path_traced_photographs(name: str, by: str | None) -> None:
    """The cloth is 12 inches wide."""
    rgb = np.asarray(Image.open(PHOTOS / name).convert("RGB"))
    about = find_cloth(rgb)
    assert about is not None
    corners = finer(rgb, about.corners, about.cut)
    found = {
        s.by: s.width_in for s in scales(rgb, true_shape(corners, about.cut, rgb.shape[1::-1]))
    }
    assert found == ({by: pytest.approx(12.0, rel=0.03)} if by else {})
