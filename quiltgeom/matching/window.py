"""The largest upright square inside a patch: the size of motif that it shows whole."""

import math
from functools import lru_cache

import numpy as np
import shapely

from quiltgeom.geometry.outline import Outline
from quiltgeom.tolerance import COVER_AREA, SAME_POINT, SNAP_GRID


@lru_cache(maxsize=4096)
def window_inches(outline: Outline, turn: float) -> float:
    """Side of the largest square, turned by ``turn`` degrees, inside an outline.

    Exact for convex outlines (a linear programme in three unknowns); for others a lower bound, the
    largest about the point furthest from the outline.

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
    if polygon.convex_hull.area > polygon.area * (1 + COVER_AREA):
        return _largest_by_halving(polygon)
    return _largest_in_convex(shapely.simplify(polygon, SAME_POINT))


def _largest_in_convex(polygon: shapely.Polygon) -> float:
    """Half-planes n.p <= d; a square of side t about p fits if n.p + (|nx|+|ny|) t/2 <= d."""
    from scipy.optimize import linprog

    points = np.asarray(shapely.orient_polygons(polygon).exterior.coords)[:-1]
    edges = np.roll(points, -1, axis=0) - points
    normals = np.stack([edges[:, 1], -edges[:, 0]], axis=1)
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    if np.all(np.abs(normals).max(axis=1) > 1 - SNAP_GRID):  # a rectangle
        return round(float(np.ptp(points, axis=0).min()), 6)
    reach = np.einsum("ij,ij->i", normals, points)
    sides = np.concatenate([normals, np.abs(normals).sum(axis=1)[:, None] / 2], axis=1)
    found = linprog((0, 0, -1), A_ub=sides, b_ub=reach, bounds=((None, None),) * 2 + ((0, None),))
    return round(float(found.x[2]), 6)


def _largest_by_halving(polygon: shapely.Polygon) -> float:
    """Largest square about the point furthest from the outline: a safe lower bound."""
    centre = shapely.maximum_inscribed_circle(polygon).coords[0]
    low, high = 0.0, float(max(np.ptp(np.asarray(polygon.exterior.coords), axis=0)))
    for _ in range(40):
        side = (low + high) / 2
        box = shapely.box(
            centre[0] - side / 2, centre[1] - side / 2, centre[0] + side / 2, centre[1] + side / 2
        )
        low, high = (side, high) if polygon.covers(box) else (low, side)
    return round(low, 6)
