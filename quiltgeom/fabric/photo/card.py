"""Finding a white or grey card that lies in plain view in a photo of a swatch."""

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, rgb_to_lab
from quiltgeom.fabric.photo.calibrate import Box
from quiltgeom.fabric.reading.pixels import check_rgb, local_spread, shrink

_SIDE = 320
_SMOOTH = 4.0  # CIELAB units between neighbours: a card has no print
_NEUTRAL = 22.0  # chroma of a white card in the light of a lamp
_ALIKE = 5.0  # CIELAB units: one card, evenly lit
_LEAST, _MOST = 0.002, 0.2  # of the photo's area
_RECTANGLE = 0.85  # of the area of the rectangle around it
_LONGEST = 3.5  # times its width: bars are no cards
_EDGE = 0.22  # of the photo: a card lies beside the swatch or at its edge
_BURNT = 252


def find_card(rgb: NDArray[np.uint8]) -> Box | None:
    """The box inside a card that can be trusted to be one, or None.

    A card is smooth, near neutral, the lightest large smooth area, a rectangle (turned or not), at
    the photo's edge, and the only such area: a print with white squares has none.

    Args:
        rgb: the photo, ``(h, w, 3)`` uint8.

    Returns:
        ``(x0, y0, x1, y1)`` in pixels, well inside the card.

    >>> photo = np.full((300, 400, 3), (120, 60, 40), dtype=np.uint8)
    >>> photo[10:70, 20:120] = (236, 230, 220)
    >>> find_card(photo)
    (35, 19, 105, 61)
    """
    small = shrink(check_rgb(rgb), _SIDE)
    lab = rgb_to_lab(small)
    mask = (local_spread(lab) < _SMOOTH) & (np.hypot(lab[..., 1], lab[..., 2]) < _NEUTRAL)
    mask &= (small < _BURNT).any(axis=2) & (lab[..., 0] > 40)
    found = _cards(lab, mask)
    if len(found) != 1:
        return None
    scale = rgb.shape[1] / small.shape[1]
    x0, y0, x1, y1 = (round(v * scale) for v in found[0])
    return x0, y0, x1, y1


def _cards(lab: Floats, mask: NDArray[np.bool_]) -> list[tuple[int, int, int, int]]:
    """Inner boxes of the rectangles about as light as the lightest large smooth area."""
    from scipy.ndimage import binary_opening, find_objects, label

    labels, _ = label(binary_opening(mask, np.ones((3, 3))))
    size = labels.size
    places = find_objects(labels)
    large = [(i, p, labels[p] == i) for i, p in enumerate(places, 1)]
    large = [(i, p, m) for i, p, m in large if m.sum() >= _LEAST * size]
    if not large:
        return []
    colours = [np.median(lab[p][m], axis=0) for _, p, m in large]
    lightest = max(float(c[0]) for c in colours)
    out: list[tuple[int, int, int, int]] = []
    for (_, place, m), colour in zip(large, colours, strict=True):
        if colour[0] < lightest - _ALIKE:
            continue
        even = np.linalg.norm(lab[place][m] - colour, axis=1) < _ALIKE
        card = m.sum() <= _MOST * size and even.mean() > 0.9 and _rectangle(m)
        if card and _at_edge(place, labels.shape):
            out.append(_inner(m, place))
    return out


def _rectangle(m: NDArray[np.bool_]) -> bool:
    """Whether a shape fills the smallest of the rectangles around it, at any turn."""
    y, x = np.nonzero(m)
    best = 0.0
    for a in np.radians(np.arange(0, 90, 3)):
        u, v = x * np.cos(a) + y * np.sin(a), y * np.cos(a) - x * np.sin(a)
        sides = sorted((float(np.ptp(u)) + 1, float(np.ptp(v)) + 1))
        if sides[1] <= _LONGEST * sides[0]:
            best = max(best, len(x) / (sides[0] * sides[1]))
    return best >= _RECTANGLE


def _at_edge(place: tuple[slice, ...], shape: tuple[int, ...]) -> bool:
    rows, columns = place
    near_y = min(rows.start, shape[0] - rows.stop) <= _EDGE * shape[0]
    near_x = min(columns.start, shape[1] - columns.stop) <= _EDGE * shape[1]
    return bool(near_y or near_x)


def _inner(m: NDArray[np.bool_], place: tuple[slice, ...]) -> tuple[int, int, int, int]:
    """A box about the middle of a shape, all of it inside."""
    y, x = np.nonzero(m)
    cy, cx = float(np.median(y)), float(np.median(x))
    h, w = m.shape
    for part in np.arange(0.35, 0.04, -0.05):
        y0, y1 = round(cy - part * h), round(cy + part * h) + 1
        x0, x1 = round(cx - part * w), round(cx + part * w) + 1
        if m[max(0, y0) : y1, max(0, x0) : x1].all():
            break
    top, left = place[0].start, place[1].start
    return left + max(0, x0), top + max(0, y0), left + x1, top + y1
