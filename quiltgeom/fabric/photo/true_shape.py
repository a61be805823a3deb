"""The true shape of a rectangle in a photo: how the camera looked at it, how high it is for its
width, and the part of it that is seen."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FILM_DIAGONAL_MM = 43.267
"""Of the 36 x 24 mm frame that lenses are compared by (CIPA DCG-001: by the diagonal)."""

PHONE_LENS_MM = 26.0
"""What most phones' main lens equals on that frame; common practice, no source."""

_TELLS = 0.15
"""Sine of the angle from which a side far from the picture's middle tells how the other lies."""

_LENSES_MM = (18.0, 120.0)  # believed, where a photo's own perspective tells


@dataclass(frozen=True, slots=True)
class TrueShape:
    """A rectangle as the camera saw it.

    Attributes:
        corners: ``(4, 2)`` pixels of a true rectangle that is wholly in the picture, clockwise.
        aspect: its height by its width.
        tilt_deg: between the camera's axis and the upright over it.
        to_plane: ``(3, 3)`` projective map from pixels to the plane that it lies in, whose axes are
            its top and its left side.
        width: its own, on that plane.
    """

    corners: Floats
    aspect: float
    tilt_deg: float
    to_plane: Floats
    width: float


def focal_px(size: tuple[int, int], lens_mm: float) -> float:
    """Focal length in pixels of a lens that equals so many mm on the 35 mm frame.

    >>> round(focal_px((4000, 3000), 26.0))
    3005
    """
    return lens_mm / FILM_DIAGONAL_MM * float(np.hypot(*size))


def true_shape(
    corners: Floats, cut: Sequence[bool], size: tuple[int, int], lens_mm: float | None = None
) -> TrueShape:
    """The shape of a rectangle seen in perspective.

    Its sides are parallel in pairs and upright to each other: that and the lens give the plane in
    which it lies. Sides that the picture cuts off count for nothing; the rectangle then ends where
    the picture does.

    Args:
        corners: ``(4, 2)`` pixels, clockwise from the top left.
        cut: for the side from each corner to the next, whether only the picture ends there.
        size: width and height of the picture, pixels.
        lens_mm: as on the 35 mm frame; None: by the perspective itself, or a phone's.

    >>> square = np.array([(100, 100), (300, 100), (300, 250), (100, 250)], float)
    >>> true_shape(square, [False] * 4, (400, 350)).aspect
    0.75
    """
    middle = np.array(size) / 2
    focal = focal_px(size, lens_mm) if lens_mm else _own_focal(corners - middle, cut, size)
    rays = np.column_stack([(corners - middle) / focal, np.ones(4)])
    across, down = _directions(rays, cut)
    normal = np.cross(across, down)
    down = np.cross(normal, across)

    def on_plane(rays: Floats) -> Floats:
        flat: Floats = rays @ np.array([across, down]).T / (rays @ normal)[:, None]
        return flat

    def in_picture(points: Floats) -> Floats:
        rays = points @ np.array([across, down]) + normal
        pixels: Floats = rays[:, :2] / rays[:, 2:] * focal + middle
        return pixels

    camera = np.array(
        [[1 / focal, 0, -middle[0] / focal], [0, 1 / focal, -middle[1] / focal], [0, 0, 1]]
    )
    plane = np.array([across, down, normal]) @ camera
    tilt = float(np.degrees(np.arccos(min(1.0, abs(normal[2])))))
    flat = on_plane(rays)
    sides = np.linalg.norm(np.roll(flat, -1, axis=0) - flat, axis=1)
    if not any(cut) and _outside(corners, size) < 0.005 * max(size):
        return TrueShape(corners, _ratio(sides), tilt, plane, float(sides[[0, 2]].mean()))
    box = _seen_box(flat, lambda points: _beyond(in_picture(points), size))
    seen = in_picture(_corners_of(box))
    width, height = box[2:] - box[:2]
    return TrueShape(seen, float(height / width), tilt, plane, float(width))


def _ratio(sides: Floats) -> float:
    return round(float((sides[1] + sides[3]) / (sides[0] + sides[2])), 6)


def _own_focal(corners: Floats, cut: Sequence[bool], size: tuple[int, int]) -> float:
    """By the two points to which the sides run (they lie upright to each other as seen from the
    lens), where that is a lens at all."""
    usual = focal_px(size, PHONE_LENS_MM)
    if any(cut):
        return usual
    points = np.column_stack([corners, np.ones(4)])
    a, b, c, d = (np.cross(points[k], points[(k + 1) % 4]) for k in range(4))
    one, other = np.cross(a, c), np.cross(b, d)
    scale = 1e-4 * np.hypot(*size)
    if (
        min(abs(one[2]) * scale / np.hypot(*one[:2]), abs(other[2]) * scale / np.hypot(*other[:2]))
        < 1e-5
    ):
        return usual  # parallel in the picture, too: any lens would do
    square = -float(one[:2] @ other[:2]) / float(one[2] * other[2])
    least, most = (focal_px(size, mm) for mm in _LENSES_MM)
    return float(np.sqrt(square)) if least**2 < square < most**2 else usual


def _directions(rays: Floats, cut: Sequence[bool]) -> tuple[Floats, Floats]:
    """Unit vectors along the top and down the sides, upright to each other, camera axes."""
    planes = [_unit(np.cross(rays[k], rays[(k + 1) % 4])) for k in range(4)]
    axis = np.array([0.0, 0.0, 1.0])
    pairs: list[Floats | None] = [
        None if cut[k] or cut[k + 2] else _unit(np.cross(planes[k], planes[k + 2])) for k in (0, 1)
    ]
    for k in (0, 1):
        seen = [planes[j] for j in (k, k + 2) if not cut[j]]
        other = pairs[1 - k]
        if pairs[k] is not None:
            continue
        if other is not None and seen and np.linalg.norm(turn := np.cross(seen[0], other)) > _TELLS:
            pairs[k] = _unit(turn)
        elif other is not None:
            pairs[k] = _unit(np.cross(axis - (axis @ other) * other, other))
        elif seen:
            pairs[k] = _unit(np.cross(seen[0], axis))
    across = pairs[0] if pairs[0] is not None else np.array([1.0, 0.0, 0.0])
    down = pairs[1] if pairs[1] is not None else np.cross(axis, across)
    across, down = across * np.sign(across[0] or 1), down * np.sign(down[1] or 1)
    # what is left of an angle that is not upright is shared between the two
    half = (across @ down) / 2
    return _unit(across - half * down), _unit(down - half * across)


def _unit(vector: Floats) -> Floats:
    unit: Floats = vector / np.linalg.norm(vector)
    return unit


def _seen_box(flat: Floats, beyond: Callable[[Floats], Floats]) -> Floats:
    """Left, top, right, bottom of the rectangle on the plane, drawn in until all of it is in the
    picture.

    Args:
        beyond: how far each of four corners is beyond the picture's left, top, right, bottom.
    """
    x, y = flat.T
    box = np.array([x[[0, 3]].mean(), y[[0, 1]].mean(), x[[1, 2]].mean(), y[[2, 3]].mean()])
    step = min(box[2] - box[0], box[3] - box[1]) / 400 * np.array([1, 1, -1, -1])
    for _ in range(300):
        out = beyond(_corners_of(box)).max(axis=0) > 0
        if not out.any():
            break
        box = box + out * step
    return box


def _corners_of(box: Floats) -> Floats:
    left, top, right, bottom = box
    return np.array([(left, top), (right, top), (right, bottom), (left, bottom)])


def _beyond(points: Floats, size: tuple[int, int]) -> Floats:
    return np.concatenate([-points, points - np.array(size)], axis=1)


def _outside(points: Floats, size: tuple[int, int]) -> float:
    return float(_beyond(points, size).max())
