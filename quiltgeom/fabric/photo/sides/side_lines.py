"""Straight lines of a picture along which it changes, and the four-sided figures they make."""

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_MOST_LINES = 36
_SHORTEST, _LEAST = 0.02, 0.05  # of the longer side: pieces that count, and all pieces of a line
_BESIDE = 6  # pixels to either side of a line at which the picture is compared
_STEP = 2.0  # pixels along a line
_CHANGE = 3.0, 12.0  # CIELAB units: from here it is a change, from here a clear one
_ENDS = 0.03  # of a side, left out at both ends
_ASKEW, _UPRIGHT = np.radians(28), np.radians(50)  # of opposite sides at most, of others at least
_OUTSIDE = 0.15  # of the longer side: corners may lie so far outside the picture
_MOST_CUT = 2
_SMALLEST = 0.04, 0.12  # area of the picture, and side of its longer side
_FIGURES, _DISTINCT = 48, 0.012  # kept, and how far one of their corners at least is apart


def colours_around(lab: Pixels, size: int) -> NDArray[np.float32]:
    """Mean and spread of the colours about every pixel, ``(h, w, 6)``, CIELAB units.

    Args:
        lab: ``(h, w, 3)`` uint8 as OpenCV codes CIELAB.
        size: side of the square about a pixel.
    """
    plain = lab.astype(np.float32) * np.array([100 / 255, 1, 1], np.float32)
    mean = cv2.blur(plain, (size, size))
    spread = np.sqrt(np.maximum(cv2.blur(plain * plain, (size, size)) - mean * mean, 0))
    return np.concatenate([mean, spread], axis=2)


def figures(
    lab: Pixels, more: list[tuple[Floats, tuple[bool, ...]]], hidden: Pixels
) -> Iterator[tuple[Floats, Bools, Floats]]:
    """Four-sided figures along whose sides the picture changes, the clearest first.

    Args:
        lab: see :func:`colours_around`.
        more: figures found otherwise: corners and which sides only the picture's end makes.
        hidden: ``(h, w)``, 1 where nothing is to be seen: a side may go on below it.

    Returns:
        Corners ``(4, 2)`` clockwise, sides cut off, and how much of each side is a change.
    """
    around = colours_around(lab, 7)
    h, w = lab.shape[:2]
    rims = np.array([(0, 1, 0), (1, 0, w), (0, 1, h), (1, 0, 0)], float)
    lines = np.concatenate([_lines(lab, around), rims])
    is_rim = np.arange(len(lines)) >= len(lines) - 4
    order, corners = _crossed(lines, is_rim, lab.shape)
    cut = is_rim[order]
    beside = np.ones((2 * _BESIDE + 1, 2 * _BESIDE + 1), np.uint8)
    around[cv2.dilate(hidden, beside) > 0] = np.nan
    change = _changes(around, lines, order, corners)
    change[cut] = 0.5
    area = _area(corners) / (h * w)
    clear = change.mean(axis=1) + change.min(axis=1) + 0.7 * np.sqrt(area) - 0.16 * cut.sum(axis=1)
    kept: list[int] = []
    for k in np.argsort(-clear, kind="stable")[:400]:
        far = _DISTINCT * max(h, w)
        if len(kept) < _FIGURES and all(np.abs(corners[k] - corners[q]).max() > far for q in kept):
            kept.append(int(k))
            yield corners[k], cut[k], change[k]
    for points, sides in more:
        found = np.array(
            [
                0.5 if c else _change_along(around, points[k], points[(k + 1) % 4])
                for k, c in enumerate(sides)
            ]
        )
        yield points, np.array(sides), found


def _pieces(lab: Pixels) -> Floats:
    """Straight pieces of edges in any of the three planes: x0, y0, x1, y1 (LSD: von Gioi 2010)."""
    detector = cv2.createLineSegmentDetector(cv2.LSD_REFINE_NONE)
    soft = cv2.GaussianBlur(lab, (0, 0), 1.0).astype(np.float32)
    soft[..., 1:] = np.clip((soft[..., 1:] - 128) * 2 + 128, 0, 255)  # colours differ by less
    found = [
        detector.detect(np.ascontiguousarray(soft[..., k].astype(np.uint8)))[0] for k in range(3)
    ]
    pieces = [np.asarray(f, float).reshape(-1, 4) for f in found if f is not None]
    return np.concatenate(pieces) if pieces else np.zeros((0, 4))


def _lines(lab: Pixels, around: NDArray[np.float32]) -> Floats:
    """Lines on which long pieces of clear edges lie: ``(n, 3)`` of normal and distance."""
    side = max(lab.shape)
    pieces = _pieces(lab)
    step = pieces[:, 2:] - pieces[:, :2]
    length = np.hypot(*step.T)
    pieces, step, length = (v[length > _SHORTEST * side] for v in (pieces, step, length))
    normal = np.column_stack([-step[:, 1], step[:, 0]]) / length[:, None]
    clear = np.zeros(len(pieces))
    for t in (0.2, 0.5, 0.8):
        clear += _difference(around, pieces[:, :2] + t * step, normal) / 3
    left = length * np.clip(clear / 10, 0, 1)
    out = []
    for _ in range(_MOST_LINES):
        best, members = 0.0, np.flatnonzero(left > np.inf)
        for k in np.argsort(-left, kind="stable")[:40]:
            on = _on(pieces, normal[k], float(pieces[k, :2] @ normal[k]), 0.008 * side)
            on &= left > 0
            if left[on].sum() > best:
                best, members = float(left[on].sum()), np.flatnonzero(on)
        if best < _LEAST * side:
            break
        ends, weight = pieces[members].reshape(-1, 2), np.repeat(left[members], 2)
        middle = np.average(ends, axis=0, weights=weight)
        unit = np.linalg.eigh(((ends - middle) * weight[:, None]).T @ (ends - middle))[1][:, 0]
        out.append((*unit, middle @ unit))
        left[members] = 0
        left[_on(pieces, unit, float(middle @ unit), 0.006 * side)] = 0
    return np.array(out).reshape(-1, 3)


def _on(pieces: Floats, normal: Floats, at: float, near: float) -> Bools:
    off = np.abs(pieces.reshape(-1, 2, 2) @ normal - at)
    return np.asarray(off.max(axis=1) < near)


def _difference(around: NDArray[np.float32], at: Floats, normal: Floats) -> Floats:
    """How unlike the two sides of places ``(n, 2)`` are."""
    h, w = around.shape[:2]
    one, other = (
        around[tuple(np.clip(np.rint(at + k * normal).astype(int), 0, (w - 1, h - 1)).T[::-1])]
        for k in (_BESIDE, -_BESIDE)
    )
    unlike: Floats = np.linalg.norm(one - other, axis=1)
    return unlike


def _crossed(
    lines: Floats, is_rim: Bools, shape: tuple[int, ...]
) -> tuple[NDArray[np.int_], Floats]:
    """All figures of four lines: line of each side ``(n, 4)``, corners ``(n, 4, 2)`` clockwise."""
    turn = np.arctan2(lines[:, 1], lines[:, 0])
    i, j = np.triu_indices(len(lines), 1)
    opposite = _between(turn[i], turn[j]) < _ASKEW
    i, j = i[opposite], j[opposite]
    middle = np.angle(np.exp(2j * turn[i]) + np.exp(2j * turn[j])) / 2
    a, b = np.triu_indices(len(i), 1)
    upright = _between(middle[a], middle[b]) > _UPRIGHT
    a, b = a[upright], b[upright]
    order = np.column_stack([i[b], j[a], j[b], i[a]])
    order = order[is_rim[order].sum(axis=1) <= _MOST_CUT]
    corners = np.stack(
        [_meet(lines[order[:, k - 1]], lines[order[:, k]]) for k in range(4)], axis=1
    )
    h, w = shape[:2]
    room = _OUTSIDE * max(h, w)
    with np.errstate(invalid="ignore"):
        fine = ((corners > -room) & (corners < np.array([w, h]) + room)).all(axis=(1, 2))
        edge = np.roll(corners, -1, axis=1) - corners
        after = np.roll(edge, -1, axis=1)
        bend = edge[..., 0] * after[..., 1] - edge[..., 1] * after[..., 0]
        fine &= (np.sign(bend) == np.sign(bend[:, :1])).all(axis=1)
        fine &= _area(corners) > _SMALLEST[0] * h * w
        fine &= np.linalg.norm(edge, axis=2).min(axis=1) > _SMALLEST[1] * max(h, w)
    order, corners, bend = order[fine], corners[fine], bend[fine]
    left = bend[:, 0] < 0
    corners[left] = corners[left][:, ::-1]
    order[left] = order[left][:, [2, 1, 0, 3]]
    return order, corners


def _between(one: Floats, other: Floats) -> Floats:
    between: Floats = np.abs((one - other + np.pi / 2) % np.pi - np.pi / 2)
    return between


def _meet(one: Floats, other: Floats) -> Floats:
    """Where lines cross; not a number where they hardly do."""
    det = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    det = np.where(np.abs(det) < 0.2, np.nan, det)
    x = (one[:, 2] * other[:, 1] - other[:, 2] * one[:, 1]) / det
    y = (one[:, 0] * other[:, 2] - other[:, 0] * one[:, 2]) / det
    return np.column_stack([x, y])


def _area(corners: Floats) -> Floats:
    x, y = corners[..., 0], corners[..., 1]
    twice = (x * np.roll(y, -1, axis=1) - np.roll(x, -1, axis=1) * y).sum(axis=1)
    area: Floats = np.abs(twice) / 2
    return area


def _clear(unlike: Floats) -> Floats:
    """How much of a change it is; even chances where nothing is to be seen."""
    low, high = _CHANGE
    clear: Floats = np.nan_to_num(np.clip((unlike - low) / (high - low), 0, 1), nan=0.5)
    return clear


def _changes(
    around: NDArray[np.float32], lines: Floats, order: NDArray[np.int_], corners: Floats
) -> Floats:
    """How much of each side of figures ``(n, 4)`` is a change, from sums along the lines."""
    h, w = around.shape[:2]
    reach = 1.6 * float(np.hypot(h, w))
    t = np.arange(-reach, reach, _STEP)
    sums, counts = [], []
    for normal in lines:
        unit, along = normal[:2], np.array([-normal[1], normal[0]])
        at = normal[2] * unit + t[:, None] * along
        inside = ((at >= 0) & (at < (w, h))).all(axis=1)
        found = _clear(
            np.max([_difference(around, at + o * unit, unit) for o in (-1.5, 0, 1.5)], axis=0)
        )
        sums.append(np.concatenate([[0], np.cumsum(found * inside)]))
        counts.append(np.concatenate([[0], np.cumsum(inside)]))
    total, number = np.array(sums), np.array(counts)
    along = np.column_stack([-lines[:, 1], lines[:, 0]])[order]
    ends = np.stack(
        [(corners * along).sum(axis=2), (np.roll(corners, -1, axis=1) * along).sum(axis=2)]
    )
    low, high = ends.min(axis=0), ends.max(axis=0)
    trim = _ENDS * (high - low)
    first, last = (
        np.clip(np.ceil((v + reach) / _STEP).astype(int), 0, len(t))
        for v in (low + trim, high - trim)
    )
    seen = np.maximum(number[order, last] - number[order, first], 1)
    change: Floats = (total[order, last] - total[order, first]) / seen
    return change


def _change_along(around: NDArray[np.float32], a: Floats, b: Floats) -> float:
    """The same for one side from ``a`` to ``b`` that is not quite where the edge is."""
    h, w = around.shape[:2]
    normal = (b - a)[::-1] * (-1, 1) / np.hypot(*(b - a))
    at = a + np.linspace(_ENDS, 1 - _ENDS, 80)[:, None] * (b - a)
    inside = ((at >= 0) & (at < (w, h))).all(axis=1)
    found = _clear(
        np.max(
            [_difference(around, at + o * normal, normal) for o in (-3, -1.5, 0, 1.5, 3)], axis=0
        )
    )
    return float(found[inside].mean()) if inside.any() else 0.0
