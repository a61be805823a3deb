"""What the patches of a print show, as they are placed: motifs whole, sliced and absent; what lies
beyond the photo; how much of the print appears at all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
import shapely.affinity
from numpy.typing import NDArray

from quiltgeom.colour import from_hex, rgb_to_lab
from quiltgeom.fabric.cloth import Cloth, tile_image
from quiltgeom.fabric.reading.motif import Box, Hull
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.model.quilt import Piece
from quiltgeom.render.lay import ClothPlace

Floats = NDArray[np.float64]
Shapes = list[shapely.Polygon]

WHOLE, VISIBLE = 0.985, 0.04
"""Shares of a motif's area from which it shows whole, and from which anything of it shows: what a
seam takes off its rim nobody misses, a sliver nobody sees."""

_LEAST = 0.6
"""Motifs smaller than this part of the typical one are sprigs and specks between the motifs."""

TOUCH, LEAST_SEAM = 1e-5, 0.05
"""Inches: how near two patches meet, and the shortest contact that is a seam and no corner."""

_GRID = 96
"""Samples across the longer side of a tile, to find what of the print appears at all."""

_COLOUR = 0.03
"""Colours of less than this share of the print are not missed."""


@dataclass(frozen=True, slots=True)
class PatchSeen:
    """What one patch shows.

    Attributes:
        piece: its number in the quilt.
        whole, sliced: motifs that it shows whole, and in part.
        at_joins: of the sliced ones, those that a seam to a patch of the same cloth cuts.
        guessed: share of its area that the photo does not show and no repeat tells.
        outside: whether it lies partly outside the photo.
        larger: whether it is larger than the photo.
    """

    piece: int
    whole: int
    sliced: int
    at_joins: int
    guessed: float
    outside: bool = False
    larger: bool = False


@dataclass(frozen=True)
class Seen:
    """What the main patches of a print show.

    Attributes:
        patches: one entry for each.
        motifs: how many different motifs the print has; 0: none were found.
        appear: how many of them show whole somewhere.
        shown: share of the print (of one repeat, or of the photo) that appears in some patch.
        lost: names of the print's colours that appear nowhere.
        joined: patches that are sewn to another of the same cloth.
    """

    patches: tuple[PatchSeen, ...]
    motifs: int
    appear: int
    shown: float
    lost: tuple[str, ...] = ()
    joined: int = 0

    @property
    def whole(self) -> int:
        """Motifs shown whole."""
        return sum(p.whole for p in self.patches)

    @property
    def sliced(self) -> int:
        """Motifs of which a part shows."""
        return sum(p.sliced for p in self.patches)

    @property
    def at_joins(self) -> int:
        """Sliced motifs that a seam between two patches of this cloth cuts."""
        return sum(p.at_joins for p in self.patches)

    @property
    def absent(self) -> int:
        """Patches without a whole motif."""
        return sum(not p.whole for p in self.patches)

    @property
    def guessed(self) -> int:
        """Patches that show more than the photo does."""
        return sum(p.guessed > 0.01 for p in self.patches)


def motif_copies(cloth: Cloth, shapes: Sequence[shapely.Polygon]) -> tuple[Shapes, Floats | None]:
    """The motifs of one tile as it is drawn, and the vectors by which it goes on.

    Args:
        cloth: the tile, with the way it continues.
        shapes: motifs in the picture, inches.

    Returns:
        Shapes, each different motif once, and ``(2, 2)`` vectors (None: it ends there).
    """
    if cloth.kind == "plain":
        return list(shapes), None
    if cloth.kind == "repeat" and cloth.repeat:
        w, h, kind = cloth.repeat.width, cloth.repeat.height, cloth.repeat.kind
        lower, aside = h / 2 * (kind == "half-drop"), w / 2 * (kind == "brick")
        vectors = np.array([[w, lower], [aside, h]], dtype=np.float64)
        return _different(shapes, vectors), vectors
    found = list(shapes)
    for x, kinds in ((True, ("mirror", "mirror-x")), (False, ("mirror", "mirror-y"))):
        if cloth.kind in kinds:
            flip = [-1, 0, 0, 1, 2 * cloth.width, 0] if x else [1, 0, 0, -1, 0, 2 * cloth.height]
            found += [shapely.affinity.affine_transform(s, flip) for s in found]
    return found, np.diag(cloth.tile_size)


def _different(shapes: Sequence[shapely.Polygon], vectors: Floats) -> Shapes:
    """Motifs that are not copies of each other by the repeat."""
    kept: Shapes = []
    back = np.linalg.inv(vectors)
    for shape in shapes:
        size = 0.25 * max(0.2, float(np.sqrt(shape.area)))
        for other in kept:
            apart = (np.array(shape.centroid.coords[0]) - other.centroid.coords[0]) @ back
            if np.hypot(*((apart - np.round(apart)) @ vectors)) <= size:
                break
        else:
            kept.append(shape)
    return kept


def look_at(
    pieces: Sequence[Piece],
    places: Mapping[int, ClothPlace],
    reading: Reading,
    joins: Mapping[int, shapely.Geometry] | None = None,
) -> Seen:
    """Look at the patches of a print as they are placed.

    Args:
        pieces: the patches to be looked at.
        places: by piece index, as drawn.
        reading: of the print, for its motifs and colours.
        joins: by piece index, the seams to other patches of the same cloth, in the quilt.
    """
    motifs = _worth(reading)
    known: dict[Cloth, tuple[Shapes, Floats | None]] = {}
    patches, appear = [], set()
    shapes: list[tuple[Cloth, shapely.Polygon]] = []
    for piece in pieces:
        place = places[piece.index]
        polygon = piece.polygon
        shape = place.to_cloth(polygon)
        shapes.append((place.cloth, shape))
        if place.cloth not in known:
            known[place.cloth] = motif_copies(place.cloth, motifs)
        copies, which = _near(*known[place.cloth], shape)
        share = _shares(copies, shape)
        whole, cut = share >= WHOLE, (share >= VISIBLE) & (share < WHOLE)
        appear |= set((which[whole] % max(len(motifs), 1)).tolist())
        line = (joins or {}).get(piece.index)
        at_joins = 0
        if line is not None and cut.any():
            at_joins = int(shapely.intersects(copies[cut], place.to_cloth(line)).sum())
        counts = int(whole.sum()), int(cut.sum()), at_joins
        how = place.guessed(polygon), place.beyond, place.larger(polygon)
        patches.append(PatchSeen(piece.index, *counts, *how))
    count = max(
        (len(c) if k.kind == "repeat" else len(motifs) for k, (c, _) in known.items()), default=0
    )
    shown, lost = _coverage(shapes, reading)
    return Seen(tuple(patches), count, min(len(appear), count), shown, lost, len(joins or {}))


def seams_within(pieces: Sequence[Piece]) -> dict[int, shapely.Geometry]:
    """By piece index, where a piece meets another of them; those that meet none are left out."""
    shapes = np.array([p.polygon for p in pieces], dtype=object)
    wider = shapely.buffer(shapes, TOUCH)
    found: dict[int, list[shapely.Geometry]] = {}
    for i, j in shapely.STRtree(wider).query(shapes, predicate="intersects").T:
        if i != j:
            line = shapes[i].exterior.intersection(wider[j])
            if line.length > LEAST_SEAM:
                found.setdefault(pieces[i].index, []).append(line)
    return {k: shapely.union_all(lines) for k, lines in found.items()}


def _worth(reading: Reading) -> Shapes:
    """Motifs that are worth showing whole, by their outlines, or else by the ellipses in their
    boxes: they seldom fill their corners."""
    typical, found = reading.motif.typical, reading.motif
    if typical is None:
        return []
    hulls: Sequence[Hull | None] = found.outlines or [None] * len(found.boxes)
    return [
        _ellipse(b) if hull is None else shapely.Polygon(hull)
        for b, hull in zip(found.boxes, hulls, strict=True)
        if max(b[2], b[3]) >= _LEAST * typical
    ]


def _ellipse(box: Box) -> shapely.Polygon:
    turns = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    x, y, w, h = box
    rim = np.stack([x + w / 2 * (1 + np.cos(turns)), y + h / 2 * (1 + np.sin(turns))], 1)
    return shapely.Polygon(rim)


def _near(
    motifs: Shapes, vectors: Floats | None, shape: shapely.Polygon
) -> tuple[NDArray[np.object_], NDArray[np.intp]]:
    """All copies of the motifs that may touch a shape, and which motif each is."""
    numbers = np.arange(len(motifs))
    if vectors is None or not motifs:
        return np.array(motifs, dtype=object), numbers
    x0, y0, x1, y1 = shape.bounds
    corners = np.array([(x, y) for x in (x0, x1) for y in (y0, y1)])
    back = np.linalg.inv(vectors)
    shifts, which = [], []
    for k, motif in enumerate(motifs):
        left, top, right, bottom = motif.bounds
        steps = np.concatenate([corners - (left, top), corners - (right, bottom)]) @ back
        low, high = np.floor(steps.min(0)).astype(int), np.ceil(steps.max(0)).astype(int)
        i, j = np.meshgrid(np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1))
        by = np.stack([i.ravel(), j.ravel()], 1) @ vectors
        at = by + np.array([left, top])
        near = np.all((at < (x1, y1)) & (at > (x0 - right + left, y0 - bottom + top)), axis=1)
        shifts.append(by[near])
        which.append(np.full(int(near.sum()), k))
    picked = np.concatenate(which)
    geoms = np.array(motifs, dtype=object)[picked]
    by = np.repeat(np.concatenate(shifts), shapely.get_num_coordinates(geoms), axis=0)
    return shapely.transform(geoms, lambda c: c + by), picked


def _shares(motifs: NDArray[np.object_], shape: shapely.Polygon) -> Floats:
    """Share of each motif's area that a shape shows."""
    if not len(motifs):
        return np.zeros(0)
    shapely.prepare(shape)
    share: Floats = shapely.contains(shape, motifs).astype(np.float64)
    rest = (share == 0) & shapely.intersects(shape, motifs)
    parts = shapely.intersection(motifs[rest], shape)
    share[rest] = shapely.area(parts) / shapely.area(motifs[rest])
    return share


def _coverage(
    shapes: Sequence[tuple[Cloth, shapely.Polygon]], reading: Reading
) -> tuple[float, tuple[str, ...]]:
    """Share of the print that appears, and which of its colours appear nowhere."""
    if not shapes:
        return 0.0, ()
    first = shapes[0][0]
    tile = first if first.kind == "repeat" else replace(first, kind="plain")
    width, height = tile.tile_size
    n, m = (max(2, round(_GRID * v / max(width, height))) for v in (width, height))
    x, y = np.meshgrid((np.arange(n) + 0.5) * width / n, (np.arange(m) + 0.5) * height / m)
    seen = np.zeros(x.shape, dtype=bool)
    for cloth, shape in shapes:
        across, down = cloth.tile_size
        x0, y0, x1, y1 = shape.bounds
        for i in range(int(np.floor(x0 / across)), int(np.floor(x1 / across)) + 1):
            for j in range(int(np.floor(y0 / down)), int(np.floor(y1 / down)) + 1):
                moved = shapely.affinity.translate(shape, -i * across, -j * down)
                rest = ~seen
                seen[rest] = shapely.contains_xy(moved, x[rest], y[rest])
        if seen.all():
            break
    pixels = np.asarray(tile_image(tile, 4 * _GRID / max(width, height)).resize((n, m)))
    colours = [c for c in reading.palette if c.share >= _COLOUR]
    if not colours:
        return float(seen.mean()), ()
    lab = rgb_to_lab(np.stack([from_hex(c.hex) for c in reading.palette]))
    apart = np.linalg.norm(rgb_to_lab(pixels)[:, :, None, :] - lab, axis=3)
    nearest = apart.argmin(axis=2)
    lost = [
        c.name
        for k, c in enumerate(reading.palette)
        if c in colours and (here := nearest == k).any() and seen[here].mean() < 0.1
    ]
    return float(seen.mean()), tuple(lost)
