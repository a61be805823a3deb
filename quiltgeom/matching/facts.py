"""What the rules look at: a print as declared or read, and a quilt as laid out."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.reading.as_fabric import careful_direction, known_repeat
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.fabric.reading.value import SOLID
from quiltgeom.geometry.outline import Outline
from quiltgeom.model.fabric import DIRECTIONS, Direction, Repeat
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.tolerance import COVER_AREA, LEAST_DIVISOR, SAME_POINT, SNAP_GRID


@dataclass(frozen=True, slots=True)
class PrintFacts:
    """A print, as far as the choice of a pattern depends on it.

    Attributes:
        motif: size of a typical motif, inches.
        direction: as for a fabric; one-way, the careful way, where nothing is said.
        loudness: 0 (reads as solid) to 1 (competes with everything).
        unsure: what the reading could not tell, in words; each becomes a caution.
        motif_known: False if the motif is assumed, or there may be some that the reading did not
            find.
    """

    motif: float
    direction: Direction = "one-way"
    loudness: float = 0.5
    repeat: Repeat | None = None
    unsure: tuple[str, ...] = ()
    motif_known: bool = True

    def __post_init__(self) -> None:
        if not (math.isfinite(self.motif) and 0 <= self.motif <= 100):
            raise QuiltValueError(f"motif: found {self.motif} in; accepted: 0 to 100 inches")
        if self.direction not in DIRECTIONS:
            raise QuiltValueError(
                f"direction: found {self.direction!r}; accepted: {', '.join(DIRECTIONS)}"
            )
        if not 0 <= self.loudness <= 1:
            raise QuiltValueError(f"loudness: found {self.loudness}; accepted: 0 to 1")


def print_facts(reading: Reading) -> PrintFacts:
    """What a reading says, for the rules; what it cannot say is taken the careful way.

    A direction read with little confidence counts as one-way. A picture that fills the swatch
    without things on a ground (a scene) counts as a motif of half the swatch.

    >>> import numpy as np
    >>> from quiltgeom.fabric.reading.reading import read_array
    >>> plain = read_array(np.full((64, 64, 3), 90, dtype=np.uint8), 6.0)
    >>> print_facts(plain).motif, print_facts(plain).direction
    (0.0, 'non-directional')
    """
    found = reading.direction
    direction, doubt = careful_direction(reading)
    unsure = [words for words in (reading.design.caution, doubt) if words]
    motif = reading.motif.typical
    if motif is None:
        scene = found.figure == "print" and reading.loudness >= 0.25
        motif = 0.5 * min(reading.width_in, reading.height_in) if scene else 0.0
        if scene:
            unsure.append("no single motifs found: taken as a scene half as large as the swatch")
    known = bool(reading.motif.typical) or reading.loudness <= SOLID or found.figure != "print"
    return PrintFacts(
        min(motif, 100.0), direction, reading.loudness, known_repeat(reading), tuple(unsure), known
    )


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
        width, height: finished size, inches.
        level, reasons: difficulty, as of :mod:`quiltgeom.piecing.difficulty`.
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
    width: float
    height: float
    level: int = 0
    reasons: tuple[str, ...] = ()


def _window(piece: Piece) -> float:
    """Window of a placed piece, turned as its print lies."""
    place = piece.placement
    own = piece.lie_deg - place.degrees
    turn = -own if place.mirror else own
    return window_inches(piece.patch.outline, round(turn % 90.0, 9)) * place.scale


def quilt_facts(quilt: Quilt) -> QuiltFacts:
    """Look at a quilt with its main role in mind; its difficulty is left for others to find."""
    role = next((r for r in quilt.roles.values() if r.main), next(iter(quilt.roles.values())))
    inner = [p for p in quilt if p.role == role.name and not p.in_border]
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
        small_share=small / max(sum(p.area for p in pieces), LEAST_DIVISOR),
        piecing=sum(p.role != role.name for p in quilt) / (whole / 144.0),
        touching=_touching(quilt, main),
        width=quilt.width,
        height=quilt.height,
    )


def _touching(quilt: Quilt, main: Iterable[Piece]) -> float:
    """Share of the main patches' edges that lies against the background."""
    ground = [p.polygon for p in quilt if p.role == "background"]
    edges = shapely.union_all([p.polygon.exterior for p in main])
    if not ground or edges.length == 0:
        return 0.0
    near = shapely.union_all(ground).buffer(1e-4)
    return float(edges.intersection(near).length / edges.length)


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
    limits = np.einsum("ij,ij->i", normals, points)
    sides = np.concatenate([normals, np.abs(normals).sum(axis=1)[:, None] / 2], axis=1)
    found = linprog((0, 0, -1), A_ub=sides, b_ub=limits, bounds=((None, None),) * 2 + ((0, None),))
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
