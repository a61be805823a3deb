"""Which place of the cloth each piece shows: from a seed, or centred on a motif."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
import shapely.affinity
from numpy.typing import NDArray

from quiltgeom.colour import Floats
from quiltgeom.fabric.cloth import Cloth, TileKind, cloth_of
from quiltgeom.geometry.placement import Matrix
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Piece
from quiltgeom.tolerance import RULER_SLACK, SAME_POINT

ORIGINS = 8
"""Pieces share this many places of the cloth where they can: neighbours differ, and the SVG
needs few patterns."""


@dataclass(frozen=True, slots=True)
class ClothPlace:
    """The place of a piece on its cloth.

    Attributes:
        cloth: the tile, with the way it continues.
        matrix: inches on the cloth to inches in the quilt (SVG order).
        beyond: whether the piece reaches beyond the swatch, so that what it shows there is a
            continuation and not a photograph.
    """

    cloth: Cloth
    matrix: Matrix
    beyond: bool = False

    def to_cloth(self, shape: shapely.Geometry) -> shapely.Geometry:
        """A shape of the quilt where it lies on the picture of the cloth, inches."""
        a, b, c, d, e, f = self.matrix
        det = a * d - b * c
        p, q, r, s = d / det, -c / det, -b / det, a / det
        shift = (-(p * e + q * f), -(r * e + s * f))
        return shapely.affinity.affine_transform(shape, [p, q, r, s, *shift])

    def larger(self, shape: shapely.Polygon) -> bool:
        """Whether a patch (its outline in the quilt) is larger than the photo, wherever it lies."""
        x0, y0, x1, y1 = self.to_cloth(shape).bounds
        wide, high = x1 - x0 - self.cloth.width, y1 - y0 - self.cloth.height
        return float(max(wide, high)) > SAME_POINT

    def guessed(self, shape: shapely.Polygon) -> float:
        """Share of a patch (its outline in the quilt) that the photo does not show and no repeat
        tells."""
        if not self.beyond or self.cloth.kind == "repeat":
            return 0.0
        photo = shapely.box(0, 0, self.cloth.width, self.cloth.height)
        laid = self.to_cloth(shape)
        return float(1.0 - laid.intersection(photo).area / laid.area)


def outside_words(outside: int, count: int, larger: bool) -> str:
    """That so many patches show more than the photo does; ``larger``: none of them fits into it.

    >>> outside_words(2, 12, False)
    '2 of 12 patches lie partly outside the photo'
    """
    if larger:
        return f"your photo is smaller than {outside} of {count} patches"
    return f"{outside} of {count} patches lie partly outside the photo"


def lie_matrix(angle: float) -> tuple[float, float, float, float]:
    """``a b c d`` of a clockwise turn in degrees; exact at quarter turns."""
    quarter, rest = divmod(angle % 360.0, 90.0)
    if rest == 0:
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter)]
    else:
        cos, sin = float(np.cos(np.radians(angle))), float(np.sin(np.radians(angle)))
    return cos, sin, -sin, cos


def lay_pieces(
    pieces: Sequence[Piece],
    fabric: Fabric,
    *,
    seed: int = 0,
    stream: int = 0,
    fussy: bool = False,
    places: Mapping[int, tuple[float, float]] | None = None,
    offsets: Mapping[int, tuple[float, float]] | None = None,
) -> list[ClothPlace]:
    """Give every piece of one fabric its place on the cloth.

    A piece that fits into the swatch is laid wholly inside it, so that it shows real print; a
    larger one goes on by the known repeat, else by mirroring.

    Args:
        seed, stream: the same numbers give the same places, on any machine.
        fussy: centre every piece on the fabric's motif (or the middle of the swatch).
        places: by piece index, the point of the cloth (inches from the swatch's top left) that
            lies at the middle of the piece's bounding box; from a cutting plan.
        offsets: by piece index, how far its cloth is moved in it, inches right and down.

    Returns:
        One place per piece, in order.
    """
    base = cloth_of(fabric)
    groups: dict[float, list[int]] = {}
    for i, piece in enumerate(pieces):
        groups.setdefault(round((piece.lie_deg - fabric.up_deg) % 360.0, 9), []).append(i)
    found: dict[int, ClothPlace] = {}
    for number, (angle, members) in enumerate(sorted(groups.items())):
        bits = np.random.PCG64(np.random.SeedSequence([seed, stream, number]))
        layer = _Layer(base, fabric, angle, [pieces[i] for i in members], bits)
        a, b, c, d = lie_matrix(angle)
        moved = np.array([(offsets or {}).get(pieces[i].index, (0.0, 0.0)) for i in members])
        shifts, kinds, beyond = layer.choose(fussy, places, moved @ np.array([[a, c], [b, d]]))
        cloths = {kind: replace(base, kind=kind) for kind in sorted(set(kinds))}
        rows = zip(members, shifts.tolist(), kinds, beyond.tolist(), strict=True)
        for i, (u, v), kind, over in rows:
            # cloth = turned-back quilt + shift, so quilt = turn(cloth - shift)
            matrix = (a, b, c, d, -(a * u + c * v), -(b * u + d * v))
            found[i] = ClothPlace(cloths[kind], matrix, over)
    return [found[i] for i in range(len(pieces))]


def continuation(cloth: Cloth, fabric: Fabric, *, beyond: bool = True) -> TileKind:
    """How the print goes on where something reaches ``beyond`` its swatch.

    >>> from pathlib import Path
    >>> cloth = Cloth(Path("kelp.png"), 8.0, 8.0, (800, 800))
    >>> continuation(cloth, Fabric("kelp", colour="#335544", direction="one-way"))
    'mirror-x'
    """
    if cloth.repeat:
        return "repeat"
    if not beyond:
        return "plain"
    if fabric.direction != "one-way":
        return "mirror"
    sideways = round(fabric.up_deg / 90.0) % 2 == 1
    return "mirror-y" if sideways else "mirror-x"


class _Layer:
    """Pieces of one fabric whose cloth lies at one angle."""

    def __init__(
        self,
        cloth: Cloth,
        fabric: Fabric,
        angle: float,
        pieces: Sequence[Piece],
        bits: np.random.PCG64,
    ) -> None:
        self.cloth, self.fabric, self.pieces = cloth, fabric, pieces
        self.size = np.array([cloth.width, cloth.height])
        self.low, self.high = _boxes(pieces, angle)
        raw = bits.random_raw(2 * ORIGINS + 3 * len(pieces))
        numbers = (raw >> np.uint64(11)).astype(np.float64) / 2.0**53
        self.origins = numbers[: 2 * ORIGINS].reshape(-1, 2)
        self.own = numbers[2 * ORIGINS :].reshape(-1, 3)

    def choose(
        self, fussy: bool, places: Mapping[int, tuple[float, float]] | None, moved: Floats
    ) -> tuple[Floats, list[TileKind], NDArray[np.bool_]]:
        if places is not None:
            shifts = self._at(np.array([places[p.index] for p in self.pieces]))
        elif fussy:
            motif = self.fabric.motif or (self.cloth.width / 2, self.cloth.height / 2)
            shifts = self._at(np.tile(motif, (len(self.pieces), 1)))
        elif self.cloth.repeat:
            span = np.array(replace(self.cloth, kind="repeat").tile_size)
            picks = (self.own[:, 2] * ORIGINS).astype(int)
            shifts = (self.origins * span)[picks]
        else:
            shifts = self._inside()
        shifts = shifts - moved  # cloth that goes right shows what was to the left
        low, high = self.low + shifts, self.high + shifts
        beyond = ~np.all((low >= -RULER_SLACK) & (high <= self.size + RULER_SLACK), axis=1)
        kinds = [continuation(self.cloth, self.fabric, beyond=b) for b in beyond]
        return shifts, kinds, beyond

    def _at(self, centres: Floats) -> Floats:
        return centres - (self.low + self.high) / 2

    def _inside(self) -> Floats:
        """A shared place of the cloth where one suits, else a place of the piece's own."""
        spans = self.high - self.low
        room = self.size - spans
        # room may be negative: then the piece shows the whole swatch and a little more beside it
        own = self.own[:, :2] * room - self.low
        start = self.low[:, None, :] + (self.origins * self.size)[None, :, :]
        tiles = np.floor(start / self.size)
        fits = np.all(start - tiles * self.size + spans[:, None, :] <= self.size, axis=2)
        # the pick-th of the fitting places: neighbours rarely get the same
        rank = np.cumsum(fits, axis=1)
        pick = 1 + (self.own[:, 2] * np.maximum(rank[:, -1], 1)).astype(int)
        chosen = np.argmax(rank >= pick[:, None], axis=1)
        rows = np.arange(len(self.pieces))
        shared = (self.origins * self.size)[chosen] - tiles[rows, chosen] * self.size
        return np.where(fits.any(axis=1)[:, None], shared, own)


def _boxes(pieces: Sequence[Piece], angle: float) -> tuple[Floats, Floats]:
    """Bounding boxes of the pieces in the cloth's own axes: ``(n, 2)`` lows and highs."""
    a, b, c, d = lie_matrix(-angle)
    back = np.array([[a, b], [c, d]])
    points: list[tuple[float, float]] = []
    starts: list[int] = []
    for piece in pieces:
        outline = piece.patch.outline
        starts.append(len(points))
        corners = outline.points if outline.is_straight else outline.polyline.tolist()
        points.extend(piece.placement.points(corners))
    turned = np.array(points) @ back
    return np.minimum.reduceat(turned, starts), np.maximum.reduceat(turned, starts)
