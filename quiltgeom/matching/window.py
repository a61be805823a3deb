"""The largest upright square inside a patch: the size of motif that it shows whole."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely

from quiltgeom.geometry.outline import Outline

__all__ = ["window_inches"]


@lru_cache(maxsize=4096)
def window_inches(outline: Outline, turn: float) -> float:
    """Side of the largest square, turned by ``turn`` degrees, inside an outline.

    Exact for convex outlines (a linear programme in three unknowns, solved by going through its
    vertices); for others the best over the pieces of a convex cover is a lower bound.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> window_inches(rectangle(0, 0, 3, 5), 0.0)
    3.0
    >>> round(window_inches(rectangle(0, 0, 2, 2), 45.0), 6) == round(2 / 2**0.5, 6)
    True
    """
    angle = math.radians(-turn)
    turned = outline.polyline @ np.array(
        [[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]]
    )
    polygon = shapely.Polygon(turned)
    if polygon.convex_hull.area > polygon.area * (1 + 1e-9):
        return _largest_by_halving(polygon)
    return _largest_in_convex(shapely.simplify(polygon, 1e-9))


def _largest_in_convex(polygon: shapely.Polygon) -> float:
    """Half-planes n.p <= d; a square of side t about p fits if n.p + (|nx|+|ny|) t/2 <= d."""
    points = np.asarray(shapely.orient_polygons(polygon).exterior.coords)[:-1]
    edges = np.roll(points, -1, axis=0) - points
    normals = np.stack([edges[:, 1], -edges[:, 0]], axis=1)
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    reach = np.einsum("ij,ij->i", normals, points)
    slopes = np.concatenate([normals, np.abs(normals).sum(axis=1)[:, None] / 2], axis=1)
    low, high = 0.0, float(min(np.ptp(points[:, 0]), np.ptp(points[:, 1])))
    if _room(slopes, reach, high):
        return round(high, 6)
    for _ in range(48):  # feasibility is monotone in t
        middle = (low + high) / 2
        low, high = (middle, high) if _room(slopes, reach, middle) else (low, middle)
    return round(low, 6)


def _room(slopes: np.ndarray, reach: np.ndarray, side: float) -> bool:
    """Whether some centre leaves room for a square: the shrunken half-planes still meet."""
    bound = reach - slopes[:, 2] * side + 1e-9
    x = np.array([[0.0, 0.0]])
    corners = [x]
    for i in range(len(bound)):
        a = np.broadcast_to(slopes[i, :2], (len(bound), 2))
        det = a[:, 0] * slopes[:, 1] - a[:, 1] * slopes[:, 0]
        ok = np.abs(det) > 1e-12
        px = (bound[i] * slopes[ok, 1] - a[ok, 1] * bound[ok]) / det[ok]
        py = (a[ok, 0] * bound[ok] - bound[i] * slopes[ok, 0]) / det[ok]
        corners.append(np.stack([px, py], axis=1))
    candidates = np.concatenate(corners)
    return bool(np.any(np.all(candidates @ slopes[:, :2].T <= bound + 1e-9, axis=1)))


def _largest_by_halving(polygon: shapely.Polygon) -> float:
    """Largest square about the point furthest from the outline: a safe lower bound."""
    centre = shapely.maximum_inscribed_circle(polygon).coords[0]
    low, high = 0.0, float(max(np.ptp(np.asarray(polygon.exterior.coords), axis=0)))
    for _ in range(40):
        side = (low + high) / 2
        box = shapely.box(centre[0] - side / 2, centre[1] - side / 2,
                          centre[0] + side / 2, centre[1] + side / 2)  # fmt: skip
        low, high = (side, high) if polygon.covers(box) else (low, side)
    return round(low, 6)
