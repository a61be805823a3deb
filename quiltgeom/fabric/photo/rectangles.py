"""Plain rectangles that lie beside a cloth, or over its rim."""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from quiltgeom.fabric.photo.above import Above
from quiltgeom.fabric.photo.rims import line_through

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

_SMOOTH = 6.0  # CIELAB units between neighbours: cards and sheets have no print
_SMALLEST, _LARGEST = 0.003, 3.0  # of a square as wide as the cloth
_OUT = 0.2  # of a thing, at least, lies beside the cloth: rectangles inside are its print
_FULL = 0.75  # of the smallest rectangle round it: a corner may lie under the cloth
_REACH = 6  # pixels to either side of where an edge should be
_EDGE = 4.0  # CIELAB units across three pixels
_STRAIGHT = 0.8  # pixels from a side's line, at most
_CORNER = 0.16  # of a side: edges so near to its end show that it ends there
_SEEN = 0.45  # of each side
_UPRIGHT = 0.035  # radians


@dataclass(frozen=True, slots=True)
class Rectangle:
    """One plain rectangle, pixels of the plane.

    Attributes:
        long, short: its sides.
        lab: its own colour, CIELAB.
        table: what lies round it, CIELAB.
    """

    long: float
    short: float
    lab: Floats
    table: Floats


def rectangles(above: Above) -> Iterator[Rectangle]:
    """Those with three corners or all four in plain view.

    Args:
        above: in colour.

    >>> plane = np.full((200, 300, 3), 90, np.uint8)
    >>> plane[50:120, 80:191] = 230
    >>> nothing = np.zeros((200, 300), np.uint8)
    >>> [found] = rectangles(Above(plane, nothing + 1, nothing, 150.0, np.eye(3)))
    >>> round(found.long), round(found.short), round(float(found.lab[0]))
    (111, 70, 91)
    """
    lab = cv2.cvtColor(above.seen.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    box = np.ones((3, 3), np.uint8)
    spread = (cv2.dilate(lab, box) - cv2.erode(lab, box)).max(axis=2)
    inner = cv2.erode(above.there, np.ones((5, 5), np.uint8))
    smooth = ((spread < _SMOOTH) & (inner > 0)).astype(np.uint8)
    smooth = cv2.morphologyEx(smooth, cv2.MORPH_OPEN, box)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(smooth, connectivity=4)
    areas = stats[1:, cv2.CC_STAT_AREA] / above.cloth_px**2
    for k in np.nonzero((areas > _SMALLEST) & (areas < _LARGEST))[0] + 1:
        part = (labels == k).astype(np.uint8)
        if (part & (1 - above.cloth)).sum() < _OUT * part.sum():
            continue
        outline, _ = cv2.findContours(part, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        points = max(outline, key=len)
        about = cv2.minAreaRect(points)
        if cv2.contourArea(points) < _FULL * about[1][0] * about[1][1]:
            continue
        sides = _sides(lab, inner, cv2.boxPoints(about).astype(float))
        if sides is not None:
            ring = cv2.dilate(part, np.ones((25, 25), np.uint8)) & inner & (1 - above.cloth)
            ring &= 1 - cv2.dilate(part, np.ones((11, 11), np.uint8))
            own = np.median(lab[part > 0], axis=0)
            around = np.median(lab[ring > 0], axis=0) if ring.any() else own
            yield Rectangle(max(sides), min(sides), own, around)


def _sides(lab: NDArray[np.float32], there: Pixels, box: Floats) -> tuple[float, float] | None:
    """Lengths of the two pairs of sides near a box, where they are straight, upright to each other
    and end in three corners or four."""
    lines, shown = [], []
    for k in range(4):
        found = _edge(lab, there, box[k], box[(k + 1) % 4])
        if found is None:
            return None
        lines.append(found[0])
        shown.append(found[1])
    corners = sum(shown[k][1] and shown[(k + 1) % 4][0] for k in range(4))
    turns = [np.arctan2(*(b - a)[::-1]) for a, b in lines]
    off = [(turns[k] - turns[0] - k * (turns[1] - turns[0])) for k in (2, 3)]
    off.append(turns[1] - turns[0] - np.pi / 2)
    if corners < 3 or any(abs((o + np.pi / 4) % (np.pi / 2) - np.pi / 4) > _UPRIGHT for o in off):
        return None
    return _apart(lines[0], lines[2]), _apart(lines[1], lines[3])


def _apart(one: tuple[Floats, Floats], other: tuple[Floats, Floats]) -> float:
    (a, b), (c, d) = one, other
    along = (b - a) / np.hypot(*(b - a)) - (d - c) / np.hypot(*(d - c))
    along /= np.hypot(*along)
    return abs(float(((a + b) / 2 - (c + d) / 2) @ [-along[1], along[0]]))


def _edge(
    lab: NDArray[np.float32], there: Pixels, a: Floats, b: Floats
) -> tuple[tuple[Floats, Floats], tuple[bool, bool]] | None:
    """The straight edge near a line, and whether it is seen to either end."""
    length = float(np.hypot(*(b - a)))
    along = (b - a) / length
    t = np.arange(0.0, length + 0.5)
    d = np.arange(-_REACH, _REACH + 0.5, 0.5)
    at = a + t[:, None, None] * along + d[None, :, None] * np.array([-along[1], along[0]])
    x, y = (at[..., k].astype(np.float32) for k in (0, 1))
    colours = cv2.remap(lab, x, y, cv2.INTER_LINEAR)
    shown = cv2.remap(there, x, y, cv2.INTER_NEAREST).min(axis=1) > 0
    step = np.linalg.norm(colours[:, 6:] - colours[:, :-6], axis=2)
    first, last = step.argmax(axis=1), step.shape[1] - 1 - step[:, ::-1].argmax(axis=1)
    places = (d[first + 3] + d[last + 3]) / 2
    good = shown & (step.max(axis=1) > _EDGE) & (np.abs(places) < _REACH - 1.5)
    if good.sum() < max(8, _SEEN * len(t)):
        return None
    slope, offset = line_through(t[good], places[good])
    good &= np.abs(places - offset - slope * t) < _STRAIGHT
    if good.sum() < max(8, _SEEN * len(t)):
        return None
    slope, offset = np.polyfit(t[good], places[good], 1)
    out = np.array([-along[1], along[0]])
    ends = a + offset * out, b + (offset + slope * length) * out
    end = max(4, round(_CORNER * len(t)))
    return ends, (bool(good[:end].mean() > 0.35), bool(good[-end:].mean() > 0.35))
