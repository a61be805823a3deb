"""The four straight sides of a piece of cloth, from the mask of its pixels."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.uint8]
Floats = NDArray[np.float64]

_NEAR = 0.006
"""Of the longer side of the picture: points this near to a line lie on it."""

_SHORTEST = 0.06
"""Of the longer side: less outline along a line is no side of the cloth."""

_LINES = 8
_TRIES = 400  # pairs of points tried for each line (RANSAC: Fischler and Bolles 1981)
_ASKEW = np.radians(35)  # between opposite sides: more is no photo of a rectangle
_OUTSIDE = 0.25  # of the longer side: corners may lie so far outside the picture
_SIDES_WEIGH = 0.35  # of sides that are seen, beside 1 for how well the area fits
_RIM_COSTS = 0.06  # for each side that is only where the picture ends


class Line(NamedTuple):
    """A straight piece of the outline.

    Attributes:
        support: pixels of the outline on it.
        point, along: where it lies and its unit direction, pixels.
        rim: the picture ends there; no side of the cloth is seen.
    """

    support: float
    point: Floats
    along: Floats
    rim: bool = False


@dataclass(frozen=True, slots=True)
class FourSides:
    """Four sides around a mask.

    Attributes:
        corners: ``(4, 2)`` pixels, clockwise from the one nearest to the picture's top left.
        cut: for the side from each corner to the next, whether only the picture ends there.
        fit: area common to mask and figure by the area of both (intersection over union).
        seen: part of the outline that lies on the sides.
    """

    corners: Floats
    cut: tuple[bool, bool, bool, bool]
    fit: float
    seen: float

    @property
    def score(self) -> float:
        """How well mask and sides agree; the best possible is 1.35."""
        return self.fit + _SIDES_WEIGH * min(1.0, self.seen) - _RIM_COSTS * sum(self.cut)


def four_sides(mask: Mask) -> FourSides | None:
    """The four lines that best enclose a mask, or None where no such figure is near.

    Args:
        mask: ``(h, w)`` uint8, 1 on the cloth.

    >>> mask = np.zeros((120, 160), np.uint8)
    >>> mask[20:100, 30:140] = 1
    >>> sides = four_sides(mask)
    >>> sides.corners.round().astype(int).tolist(), round(sides.fit, 2)
    ([[30, 20], [139, 20], [139, 99], [30, 99]], 1.0)
    """
    outline = _outline(mask)
    lines = [*_lines(outline, max(mask.shape)), *_rims(mask)]
    best = None
    for four in combinations(lines, 4):
        for corners, cut in _figures(four, mask.shape):
            figure = FourSides(corners, cut, *_agreement(mask, corners, four, len(outline)))
            if best is None or figure.score > best.score:
                best = figure
    return best


def filled(corners: Floats, shape: tuple[int, ...]) -> Mask:
    """The mask of a figure with these corners (pixels; they may lie outside)."""
    mask = np.zeros(shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.round(corners * 16).astype(np.int32)], (1,), shift=4)
    return mask


def _outline(mask: Mask) -> Floats:
    """Points of the outline that are not at the picture's rim."""
    h, w = mask.shape
    found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not found:
        return np.empty((0, 2))
    points = max(found, key=len)[:, 0, :].astype(float)
    inner = (points > 2).all(axis=1) & (points < [w - 3, h - 3]).all(axis=1)
    kept: Floats = points[inner]
    return kept


def _lines(points: Floats, side: int) -> Iterator[Line]:
    """The longest straight pieces of an outline, longest first, each point on one of them."""
    rng = np.random.default_rng(0)
    near, left = _NEAR * side, np.ones(len(points), bool)
    for _ in range(_LINES):
        rest = points[left]
        if len(rest) < _SHORTEST * side:
            return
        pairs = rest[rng.integers(0, len(rest), (_TRIES, 2))]
        step = pairs[:, 1] - pairs[:, 0]
        length = np.hypot(*step.T)
        normal = np.stack([-step[:, 1], step[:, 0]], axis=1) / np.maximum(length, 1e-3)[:, None]
        far = np.abs(rest @ normal.T - (pairs[:, 0] * normal).sum(axis=1))
        count = (far < near).sum(axis=0) * (length > 0.05 * side)
        k = int(count.argmax())
        if count[k] < _SHORTEST * side:
            return
        point, unit = pairs[k, 0], normal[k]
        for width in (1.5 * near, near, near):
            on = np.abs((points - point) @ unit) < width
            fit = cv2.fitLine(points[on].astype(np.float32), cv2.DIST_HUBER, 0, 0.01, 0.01)
            along, point = fit[:2, 0].astype(float), fit[2:, 0].astype(float)
            unit = np.array([-along[1], along[0]])
        far_from = np.abs((points - point) @ unit)
        yield Line(float((left & (far_from < 1.5 * near)).sum()), point, along)
        left &= far_from >= 2 * near


def _rims(mask: Mask) -> Iterator[Line]:
    """The sides of the picture that the mask runs into."""
    h, w = mask.shape
    across, down = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    for row, length, point, along in (
        (mask[1], w, (0, 0), across),
        (mask[:, -2], h, (w - 1, 0), down),
        (mask[-2], w, (0, h - 1), across),
        (mask[:, 1], h, (0, 0), down),
    ):
        if row.mean() > 0.1:
            yield Line(0.3 * length * float(row.mean()), np.array(point, float), along, True)


def _figures(
    four: tuple[Line, ...], shape: tuple[int, ...]
) -> Iterable[tuple[Floats, tuple[bool, bool, bool, bool]]]:
    """The four-sided figure of four lines, its opposite sides those nearest to parallel."""
    turn = [float(np.arctan2(line.along[1], line.along[0])) for line in four]

    def apart(i: int, j: int) -> float:
        return abs((turn[i] - turn[j] + np.pi / 2) % np.pi - np.pi / 2)

    pairs = (((0, 1), (2, 3)), ((0, 2), (1, 3)), ((0, 3), (1, 2)))
    (a, b), (c, d) = min(pairs, key=lambda p: apart(*p[0]) + apart(*p[1]))
    if max(apart(a, b), apart(c, d)) > _ASKEW:
        return
    meets = [_crossing(four[i], four[j]) for i, j in ((a, c), (c, b), (b, d), (d, a))]
    if any(p is None for p in meets):
        return
    corners = np.array(meets)
    limit = _OUTSIDE * max(shape)
    inside = (corners > -limit).all() and (corners < np.array(shape[1::-1]) + limit).all()
    if inside and cv2.isContourConvex(corners.astype(np.float32)):
        yield _ordered(corners, [four[i].rim for i in (c, b, d, a)])


def _crossing(one: Line, other: Line) -> Floats | None:
    directions = np.array([one.along, -other.along]).T
    if abs(np.linalg.det(directions)) < 0.3:
        return None
    crossing: Floats = (
        one.point + np.linalg.solve(directions, other.point - one.point)[0] * one.along
    )
    return crossing


def _ordered(corners: Floats, rims: list[bool]) -> tuple[Floats, tuple[bool, bool, bool, bool]]:
    """Clockwise (y points down) from the corner at the top left."""
    (x0, y0), (x1, y1), (x2, y2) = corners[:3]
    if (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1) < 0:
        corners, rims = corners[::-1], [*rims[2::-1], rims[3]]
    first = int(corners.sum(axis=1).argmin())
    a, b, c, d = rims[first:] + rims[:first]
    return np.roll(corners, -first, axis=0), (a, b, c, d)


def _agreement(
    mask: Mask, corners: Floats, four: tuple[Line, ...], outline: int
) -> tuple[float, float]:
    pad = int(_OUTSIDE * max(mask.shape))
    frame = filled(corners + pad, tuple(n + 2 * pad for n in mask.shape))
    figure = frame[pad : pad + mask.shape[0], pad : pad + mask.shape[1]]
    common, both = int((figure & mask).sum()), int((figure | mask).sum())
    return common / max(1, both), sum(line.support for line in four) / max(1, outline)
