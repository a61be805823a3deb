"""The print is upright and life-size wherever it should be: read back from the pixels.

A swatch of arrows (known shape, all pointing up) is laid into every role of every pattern; in the
drawn picture each whole arrow inside a piece is measured: direction by its moments (the head is
heavier than the tail), size by its area.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import shapely
from scipy import ndimage

from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.render.mockup import mockup
from quiltgeom.render.png import draw_pixels
from tests.conftest import ARROW_AREA

PPI = 60.0
UNIT_IN = 0.15  # one arrow unit on the swatch: 15 pixels of 100 to the inch


def measure(grey: np.ndarray) -> tuple[float, float]:
    """Direction (degrees clockwise from up) and unit size (pixels) of one dark arrow."""
    ink = 1.0 - grey / 255.0
    total = ink.sum()
    y, x = np.mgrid[: ink.shape[0], : ink.shape[1]]
    cx, cy = (ink * x).sum() / total, (ink * y).sum() / total
    dx, dy = x - cx, y - cy
    xx, yy, xy = ((ink * a * b).sum() for a, b in ((dx, dx), (dy, dy), (dx, dy)))
    axis = 0.5 * math.atan2(2 * xy, xx - yy)
    along = dx * math.cos(axis) + dy * math.sin(axis)
    if (ink * along**3).sum() > 0:  # the long thin tail lies on the side of the third moment
        axis += math.pi
    angle = math.degrees(math.atan2(math.sin(axis), math.cos(axis))) + 90.0
    return (angle + 180) % 360 - 180, math.sqrt(total / ARROW_AREA)


def whole_arrows(grey: np.ndarray, piece: Piece, ppi: float = PPI) -> Iterator[np.ndarray]:
    """Cut out every arrow that lies whole inside the piece, clear of its edges."""
    inner = piece.polygon.buffer(-2.5 / ppi)
    if inner.is_empty:
        return
    x0, y0, x1, y1 = (round(v * ppi) for v in piece.polygon.bounds)
    part = grey[y0:y1, x0:x1]
    labels, _ = ndimage.label(part < 250, structure=np.ones((3, 3)))
    for k, box in enumerate(ndimage.find_objects(labels), 1):
        rows, cols = box
        corners = [
            ((x0 + c) / ppi, (y0 + r) / ppi)
            for r in (rows.start - 1, rows.stop + 1)
            for c in (cols.start - 1, cols.stop + 1)
        ]
        hull = shapely.MultiPoint(corners).convex_hull
        if not inner.covers(hull):
            continue
        only = np.where(labels[box] == k, part[box], 255.0)
        if (255 - only).sum() / 255 > 0.6 * ARROW_AREA * (UNIT_IN * ppi) ** 2:
            yield np.pad(only, 1, constant_values=255.0)


def draw(quilt: Quilt, fabric: Fabric) -> np.ndarray:
    made = mockup(quilt, dict.fromkeys(quilt.roles, fabric))
    return draw_pixels(made.scene, PPI)[:, :, 1].astype(float)


def check(quilt: Quilt, grey: np.ndarray) -> dict[tuple[str, str], int]:
    """Measure up to two pieces of every kind; returns how many arrows were read per kind."""
    seen: dict[tuple[str, str], int] = {}
    tried: dict[tuple[object, ...], int] = {}
    for piece in quilt:
        kind = (
            piece.place.rstrip("0123456789, "),
            piece.role,
            piece.patch.part,
            piece.lie_deg,
            piece.placement.turn,
            piece.placement.mirror,
        )
        if tried.get(kind, 0) >= 2:
            continue
        for arrow in whole_arrows(grey, piece):
            angle, unit = measure(arrow)
            off = (angle - piece.lie_deg + 180) % 360 - 180
            assert abs(off) < 1.0, (piece.place, piece.role, angle, piece.lie_deg)
            assert unit == pytest.approx(UNIT_IN * PPI, rel=0.01), (piece.place, unit)
            tried[kind] = tried.get(kind, 0) + 1
            key = (str(kind[0]), piece.role)
            seen[key] = seen.get(key, 0) + 1
    return seen


@pytest.mark.parametrize("pattern", list(load_patterns()), ids=lambda p: p.key)
def test_every_placement_of_every_pattern(pattern: Pattern, arrow_files: list[Path]) -> None:
    small = {"harbour-windows": (2, 2), "gull-cove": (3, 2)}.get(pattern.key)
    rows, columns = small or (min(pattern.rows, 4), min(pattern.columns, 4))
    quilt = lay_out(pattern, rows=rows, columns=columns)
    fabric = Fabric("arrows", image=arrow_files[0], width=12, direction="one-way")
    seen = check(quilt, draw(quilt, fabric))
    assert any(role == pattern.main_role for _, role in seen), seen
    assert sum(seen.values()) >= 8
    for piece in quilt:
        if quilt.roles[piece.role].lie == "upright" and not piece.place.startswith("border"):
            assert piece.lie_deg == 0.0


@pytest.mark.parametrize("turn", [0, 1, 2, 3])
def test_a_photo_that_does_not_stand_upright(turn: int, arrow_files: list[Path]) -> None:
    """The same arrows photographed lying on their side, with ``up`` saying so."""
    quilt = lay_out(load_patterns().get("gull-cove"), rows=2, columns=2)
    fabric = Fabric(
        "arrows", image=arrow_files[turn], width=12, direction="one-way", up_deg=90.0 * turn
    )
    seen = check(quilt, draw(quilt, fabric))
    assert sum(seen.values()) > 10


def test_the_reader_can_fail(arrow_files: list[Path]) -> None:
    quilt = lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1)
    fabric = Fabric("arrows", image=arrow_files[0], width=12, direction="one-way", up_deg=2.0)
    with pytest.raises(AssertionError):
        check(quilt, draw(quilt, fabric))
    wrong = Fabric("arrows", image=arrow_files[0], width=12.3, direction="one-way")
    with pytest.raises(AssertionError):
        check(quilt, draw(quilt, wrong))


def test_lies_of_turned_and_mirrored_blocks() -> None:
    quilt = lay_out(load_patterns().get("sail-loft"))
    lies = {p.lie_deg for p in quilt if p.role == "accent" and p.block == "pinwheel"}
    assert lies == {0.0, 90.0, 180.0, -90.0}  # "unit": four units sewn alike, then turned
    strips = {(p.place.split()[-1], p.lie_deg) for p in quilt if p.place.startswith("border 2")}
    assert strips == {("top", 0.0), ("bottom", 0.0), ("left", 90.0), ("right", 90.0)}


def test_a_motif_is_centred_where_asked(tmp_path: Path) -> None:
    """Fussy cutting: a dot printed at a known place comes to the middle of every main patch."""
    from PIL import Image, ImageDraw

    swatch = Image.new("RGB", (1200, 1200), "white")
    ImageDraw.Draw(swatch).ellipse((380, 780, 420, 820), fill="black")
    swatch.save(tmp_path / "dot.png")
    fabric = Fabric("dot", image=tmp_path / "dot.png", width=12, motif=(4, 8))
    quilt = lay_out(load_patterns().get("net-menders-chain"), block_size=6, rows=3, columns=3)
    made = mockup(quilt, {"focus": fabric}, fussy=("focus",))
    grey = draw_pixels(made.scene, PPI)[:, :, 1].astype(float)
    for piece in (p for p in quilt if p.role == "focus"):
        x0, y0, x1, y1 = (round(v * PPI) for v in piece.polygon.bounds)
        ink = 255 - grey[y0 + 2 : y1 - 2, x0 + 2 : x1 - 2]
        y, x = np.mgrid[: ink.shape[0], : ink.shape[1]]
        cx, cy = (ink * x).sum() / ink.sum(), (ink * y).sum() / ink.sum()
        assert (cx + 2.5, cy + 2.5) == pytest.approx(((x1 - x0) / 2, (y1 - y0) / 2), abs=1.0)
