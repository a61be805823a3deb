"""What the rules look at: a print as declared or read, and a quilt as laid out."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from quiltgeom.errors import QuiltValueError
from quiltgeom.geometry.outline import Outline
from quiltgeom.model.fabric import DIRECTIONS, Direction, Repeat
from quiltgeom.model.quilt import Piece, Quilt

__all__ = ["PrintFacts", "QuiltFacts", "quilt_facts", "window_inches"]


@dataclass(frozen=True, slots=True)
class PrintFacts:
    """A print, as far as the choice of a pattern depends on it.

    Attributes:
        motif: size of a typical motif, inches.
        direction: as for a fabric.
        loudness: 0 (reads as solid) to 1 (competes with everything).
        repeat: if known.
    """

    motif: float
    direction: Direction = "non-directional"
    loudness: float = 0.5
    repeat: Repeat | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.motif) and 0 <= self.motif <= 100):
            raise QuiltValueError(f"motif: found {self.motif} in; accepted: 0 to 100 inches")
        if self.direction not in DIRECTIONS:
            raise QuiltValueError(
                f"direction: found {self.direction!r}; accepted: {', '.join(DIRECTIONS)}"
            )
        if not 0 <= self.loudness <= 1:
            raise QuiltValueError(f"loudness: found {self.loudness}; accepted: 0 to 1")


@dataclass(frozen=True, slots=True)
class QuiltFacts:
    """A quilt, seen by somebody who wants to show a print in its main patches.

    Attributes:
        window: side of the largest upright square (in the print's own frame) that the main
            patches show whole, inches; the size of motif that fits.
        main_patches: how many patches have at least nine tenths of that window.
        main_share: share of the quilt's area that these patches show.
        independent: whether they are cut independently.
        upright: whether the print is upright in all of them.
        half_turned: whether it is upright or on its head in all of them.
        small_share: share of the main role's area that is cut smaller than half the window.
        piecing: seams per patch of print: corners where patches of other roles meet, per square
            foot of quilt, as a measure of what the piecing gives the eye.
        touching: share of the main patches' edge that lies against the background.
    """

    window: float
    main_patches: int
    main_share: float
    independent: bool
    upright: bool
    half_turned: bool
    small_share: float
    piecing: float
    touching: float


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
        return round(high, 9)
    for _ in range(48):  # feasibility is monotone in t
        middle = (low + high) / 2
        low, high = (middle, high) if _room(slopes, reach, middle) else (low, middle)
    return round(low, 9)


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
    return round(low, 9)


def _window(piece: Piece) -> float:
    """Window of a placed piece, turned as its print lies."""
    place = piece.placement
    own = piece.lie_deg - place.degrees
    turn = -own if place.mirror else own
    return window_inches(piece.patch.outline, round(turn % 90.0, 9)) * place.scale


def quilt_facts(quilt: Quilt) -> QuiltFacts:
    """Look at a quilt with its main role in mind."""
    role = next((r for r in quilt.roles.values() if r.main), next(iter(quilt.roles.values())))
    inner = [p for p in quilt if p.role == role.name and not p.place.startswith("border")]
    pieces = inner or [p for p in quilt if p.role == role.name]
    windows = [_window(p) for p in pieces]
    largest = max(windows, default=0.0)
    main = [p for p, w in zip(pieces, windows, strict=True) if w >= 0.9 * largest]
    small = sum(p.area for p, w in zip(pieces, windows, strict=True) if w < largest / 2)
    whole = quilt.width * quilt.height
    turns = {round(p.lie_deg % 360.0, 6) for p in main}
    return QuiltFacts(
        window=largest,
        main_patches=len(main),
        main_share=sum(p.area for p in main) / whole,
        independent=role.cut == "independent",
        upright=turns == {0.0},
        half_turned=turns <= {0.0, 180.0},
        small_share=small / max(sum(p.area for p in pieces), 1e-9),
        piecing=_piecing(quilt, role.name, whole),
        touching=_touching(quilt, main),
    )


def _piecing(quilt: Quilt, main_role: str, whole: float) -> float:
    """Patches of the other roles per square foot."""
    return sum(1 for p in quilt if p.role != main_role) / (whole / 144.0)


def _touching(quilt: Quilt, main: Iterable[Piece]) -> float:
    """Share of the main patches' edges that lies against the background."""
    ground = [p.polygon for p in quilt if p.role == "background"]
    edges = shapely.union_all([p.polygon.exterior for p in main])
    if not ground or edges.length == 0:
        return 0.0
    near = shapely.union_all(ground).buffer(1e-4)
    return float(edges.intersection(near).length / edges.length)
