"""A thing of known size beside a cloth, and how wide the cloth is by it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.above import from_above
from quiltgeom.fabric.photo.mat import width_by_mat
from quiltgeom.fabric.photo.rectangles import Rectangle, rectangles
from quiltgeom.fabric.photo.ruler import width_by_ruler
from quiltgeom.fabric.photo.true_shape import TrueShape

Pixels = NDArray[np.uint8]

_CLOTH, _FINE = 480, 900
"""Pixels of the width of the cloth as rectangles are looked for, and lines."""

_WITHIN, _USUAL = {"mat under the cloth": 0.02, "card beside the cloth": 0.04}, 0.03
"""Part of the width: thick cloth lifts what lies on its rim, and small things tell less."""
_ALIKE = 0.03  # of the ratio of the sides
_WHITE = 25.0  # CIELAB chroma: paper in a warm lamp's light has no more
_LIGHTER = 4.0  # CIELAB: paper than the table
_ANOTHER = 10.0  # CIELAB: a card's colour than the table's; what is alike is a part of it
_WIDTHS_IN = (3.0, 80.0)  # of cloth that people photograph; what says otherwise is no ruler

CARD_IN = (85.60 / 25.4, 53.98 / 25.4)
"""Longer and shorter side of a bank card, inches: ISO/IEC 7810, ID-1."""

SHEETS_IN = {"A4": (297 / 25.4, 210 / 25.4), "Letter": (11.0, 8.5)}
"""Of sheets of paper: ISO 216; ANSI/ASME Y14.1 (A)."""


@dataclass(frozen=True, slots=True)
class Scale:
    """How wide a cloth is, by one thing in its photo.

    Attributes:
        by: the thing, for people.
        width_in: of the cloth, inches.
        within: part of the width by which it may be wrong.
    """

    by: str
    width_in: float
    within: float

    def times(self, part: float) -> "Scale":
        """For so much of the width."""
        return replace(self, width_in=self.width_in * part)


def scales(rgb: Pixels, shape: TrueShape) -> tuple[Scale, ...]:
    """What the things of known size in a photo say of a cloth's width, the surest first.

    Args:
        rgb: ``(h, w, 3)`` uint8, the whole photo.
        shape: of the cloth in it.
    """
    plain = from_above(rgb, shape, _CLOTH)
    seen = list(rectangles(plain))
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    fine = from_above(grey, shape, _FINE)
    mat = width_by_mat(fine)
    widths = {
        "mat under the cloth": mat,
        # a mat's own lines would be taken for those of rulers
        "ruler beside the cloth": width_by_ruler(grey, fine) if mat is None else None,
        "card beside the cloth": width_by_card(seen, plain.cloth_px),
    }
    for name in SHEETS_IN:
        widths[f"{name} sheet beside the cloth"] = width_by_sheet(seen, plain.cloth_px, name)
    least, most = _WIDTHS_IN
    found = [
        Scale(by, width, _WITHIN.get(by, _USUAL))
        for by, width in widths.items()
        if width is not None and least < width < most
    ]
    return tuple(sorted(found, key=lambda s: s.within))


def width_by_card(seen: Iterable[Rectangle], cloth_px: float) -> float | None:
    """How wide a cloth is by a bank card: the only rectangle with its ratio of sides.

    Args:
        seen: beside the cloth, or over its rim.
        cloth_px: how wide the cloth is, in the same pixels.

    Returns:
        Inches; None where no card is seen, or more than one.

    >>> card = Rectangle(158.6, 100.0, np.array([40.0, 10.0, -40.0]), np.array([60.0, 9.0, 20.0]))
    >>> width_by_card([card], 480)
    10.2
    """
    return _by([r for r in seen if np.linalg.norm(r.lab - r.table) > _ANOTHER], CARD_IN, cloth_px)


def width_by_sheet(seen: Iterable[Rectangle], cloth_px: float, name: str) -> float | None:
    """How wide a cloth is by a sheet of white paper: a rectangle of its ratio of sides, the only
    one, lighter than the table.

    Args:
        seen: beside the cloth, or over its rim.
        cloth_px: how wide the cloth is, in the same pixels.
        name: one of ``SHEETS_IN``.

    Returns:
        Inches; None where no sheet is seen, or more than one.

    >>> sheet = Rectangle(440.0, 340.0, np.array([92.0, 1.0, 3.0]), np.array([60.0, 9.0, 20.0]))
    >>> width_by_sheet([sheet], 480, "Letter"), width_by_sheet([sheet], 480, "A4")
    (12.0, None)
    """
    white = [r for r in seen if np.hypot(*r.lab[1:]) < _WHITE and r.lab[0] - r.table[0] > _LIGHTER]
    return _by(white, SHEETS_IN[name], cloth_px)


def _by(seen: list[Rectangle], sides: tuple[float, float], cloth_px: float) -> float | None:
    ratio = sides[0] / sides[1]
    like = [r for r in seen if abs(r.long / r.short / ratio - 1) < _ALIKE]
    if len(like) != 1:
        return None
    return round(cloth_px / ((like[0].long / sides[0] + like[0].short / sides[1]) / 2), 2)
