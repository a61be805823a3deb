"""The exact-cover audit: do these shapes fill that outline, with no gap and no overlap?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.chains import covers_exactly
from quiltgeom.geometry.outline import Outline, split_arcs
from quiltgeom.tolerance import COVER_AREA, SAME_POINT, SNAP_GRID

MOST_FAULTS = 200
"""Of a kind. Where everything lies over everything, pairs of patches count by the million."""


@dataclass(frozen=True, slots=True)
class CoverFault:
    """A gap, an overlap, or a part that sticks out.

    Attributes:
        kind: ``"gap"``, ``"overlap"`` or ``"outside"``.
        at: a point inside the fault.
        shapes: indices of the shapes involved (empty for a gap).
    """

    kind: str
    area: float
    at: tuple[float, float]
    shapes: tuple[int, ...]
    geometry: BaseGeometry


def cover_faults(
    shapes: Sequence[Outline], boundary: Outline, *, split: bool = False
) -> list[CoverFault]:
    """Every way in which ``shapes`` fail to cover ``boundary`` exactly; empty when they do.

    The quick test :func:`~quiltgeom.geometry.chains.covers_exactly` comes first; only where it
    does not hold are the faults looked for as regions, with arcs as polylines that share their
    points (see :func:`~quiltgeom.geometry.outline.split_arcs`; ``split`` says that the outlines
    went through it already). Not based on shapely's ``coverage_is_valid``, which rejects
    T-junctions and accepts small gaps.

    >>> from quiltgeom.geometry.outline import rectangle
    >>> halves = [rectangle(0, 0, 1, 2), rectangle(1, 0, 1, 2)]
    >>> cover_faults(halves, rectangle(0, 0, 2, 2))
    []
    >>> [(f.kind, f.area) for f in cover_faults(halves, rectangle(0, 0, 3, 2))]
    [('gap', 2.0)]
    >>> [f.kind for f in cover_faults([], rectangle(0, 0, 3, 2))]
    ['gap']
    """
    if covers_exactly(shapes, boundary):
        return []
    *cut, edge = [*shapes, boundary] if split else split_arcs([*shapes, boundary])
    return polygon_faults([o.polygon for o in cut], edge.polygon)


def polygon_faults(polygons: Sequence[BaseGeometry], boundary: BaseGeometry) -> list[CoverFault]:
    """As :func:`cover_faults`, for shapely polygons."""
    polys = np.array(polygons, dtype=object)
    tolerance = COVER_AREA * max(1.0, boundary.area)
    bad = [i for i in range(len(polys)) if not polys[i].is_valid]
    if bad:
        return [_fault("overlap", shapely.make_valid(polys[i]), (i,)) for i in bad]
    total = float(shapely.area(polys).sum()) if len(polys) else 0.0
    union = _union(polys, total, tolerance)
    gaps = _careful(shapely.difference, boundary, union)
    faults = [_fault("gap", g, ()) for g in _pieces(gaps, tolerance)]
    if abs(total - union.area) > tolerance:
        faults += _overlaps(polys, tolerance)
    if _careful(shapely.difference, union, boundary).area > tolerance:
        faults += _outside(polys, boundary, tolerance)
    return faults


def _union(polys: np.ndarray, total: float, tolerance: float) -> BaseGeometry:
    """Union of the polygons.

    Where edges differ by rounding noise alone, the plain union may lose a whole polygon (seen
    with GEOS 3.14 on a turned nine-patch grid). Its area then differs from the sum, as it does
    where polygons overlap: only then the slower union on a grid is asked.
    """
    if not len(polys):
        return shapely.Polygon()
    union = _careful(shapely.union_all, polys)
    if abs(total - union.area) > tolerance:
        union = _careful(partial(shapely.union_all, grid_size=SNAP_GRID), polys)
    return union


def _careful(operation: Callable[..., BaseGeometry], *shapes: Any) -> BaseGeometry:
    """An operation on polygons; where nearly equal edges defeat it, on ever coarser grids."""
    for grid in (None, SNAP_GRID, SAME_POINT):
        try:
            return operation(*shapes) if grid is None else operation(*shapes, grid_size=grid)
        except shapely.errors.GEOSException:
            continue
    raise QuiltValueError(
        "cover: found edges so nearly equal that they cannot be told apart; accepted: corners that "
        "are the same points, or well apart"
    )


def _overlaps(polys: np.ndarray, tolerance: float) -> list[CoverFault]:
    """The overlaps of pairs, in order; no more than anybody would read."""
    tree = shapely.STRtree(polys)
    found: list[CoverFault] = []
    for i, poly in enumerate(polys):
        for j in sorted(int(k) for k in tree.query(poly, predicate="intersects") if k > i):
            pieces = _pieces(_careful(shapely.intersection, poly, polys[j]), tolerance)
            found += [_fault("overlap", g, (i, j)) for g in pieces]
            if len(found) > MOST_FAULTS:
                return found
    return found


def _outside(polys: np.ndarray, boundary: BaseGeometry, tolerance: float) -> list[CoverFault]:
    """What sticks out of the boundary, as many parts as somebody would read."""
    found: list[CoverFault] = []
    for i, poly in enumerate(polys):
        outside = _careful(shapely.difference, poly, boundary)
        found += [_fault("outside", g, (i,)) for g in _pieces(outside, tolerance)]
        if len(found) > MOST_FAULTS:
            break
    return found


def _pieces(region: BaseGeometry, tolerance: float) -> list[BaseGeometry]:
    parts = [g for g in shapely.get_parts(region) if g.area > tolerance]
    return sorted(parts, key=lambda g: tuple(round(v, 9) for v in g.bounds))


def _fault(kind: str, region: BaseGeometry, shapes: tuple[int, ...]) -> CoverFault:
    point = region.representative_point()
    return CoverFault(kind, float(region.area), (point.x, point.y), shapes, region)
