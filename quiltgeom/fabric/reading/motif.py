"""Motif size: how large the things on the ground of a print are."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, from_hex, rgb_to_lab
from quiltgeom.fabric.reading.palette import PaletteColour
from quiltgeom.fabric.reading.pixels import blur, check_rgb, shrink

Box = tuple[float, float, float, float]
Hull = tuple[tuple[float, float], ...]

_SIDE = 512
_WHOLE = 0.8  # of the swatch: what is larger is the ground's other half, no motif
_RIMS = (2, 4)  # pixels taken off shapes that meet at their corners, to part them
_MANY, _ALIKE = 8, 0.15  # so many shapes, their sizes alike to so much, are a pattern
_LEAST_IN = 0.08  # smaller specks are weave or noise


@dataclass(frozen=True, slots=True)
class MotifReading:
    """Sizes of motifs (longest extent), inches, and where the clearest ones lie.

    Attributes:
        typical: half of the motif area is in motifs at least this large; None without motifs.
        largest: the largest whole motif.
        boxes: ``(x, y, w, h)`` of up to 40 whole motifs, inches from the picture's top left.
        confidence: 0..1; low where there is no clear ground.
        outlines: for each box the convex hull of what is in it, corners in inches; empty where
            only boxes are known.
    """

    typical: float | None
    largest: float | None
    boxes: tuple[Box, ...] = ()
    confidence: float = 0.0
    outlines: tuple[Hull, ...] = ()


def print_scale(motif_in: float) -> str:
    """``small`` under 1 in, ``medium`` to 3 in, ``large`` (a proposal: the trade has no standard).

    >>> print_scale(0.5), print_scale(2), print_scale(4)
    ('small', 'medium', 'large')
    """
    return "small" if motif_in < 1 else ("medium" if motif_in <= 3 else "large")


def read_motifs(
    rgb: NDArray[np.uint8], width_in: float, palette: tuple[PaletteColour, ...]
) -> MotifReading:
    """Measure motifs as connected areas that differ from the ground colour.

    Args:
        rgb: ``(h, w, 3)`` uint8.
        palette: its palette; the largest share is the ground.

    >>> y, x = np.mgrid[0:240, 0:240]
    >>> dots = np.where((x % 40 - 20) ** 2 + (y % 40 - 20) ** 2 < 100, 40, 220).astype(np.uint8)
    >>> picture = np.stack([dots] * 3, axis=-1)
    >>> round(read_motifs(picture, 6.0, (PaletteColour("#dcdcdc", 0.8, "gray"),)).typical, 1)
    0.5
    """
    small = shrink(check_rgb(rgb), _SIDE)
    per_inch = small.shape[1] / width_in
    mask, clear = _figure(small, palette)
    found = _measured(mask, per_inch, clear)
    if found.typical is not None and found.typical > _WHOLE * width_in:
        # no ground with things on it: squares that meet at their corners, a scene, a cloud
        return _apart(mask, per_inch, clear)
    return found


def _measured(mask: NDArray[np.bool_], per_inch: float, clear: float) -> MotifReading:
    """The connected areas of a mask."""
    from scipy.ndimage import find_objects, label

    labels, _ = label(mask)
    areas = np.bincount(labels.ravel())
    whole: list[tuple[float, float, Box]] = []
    shapes: dict[Box, NDArray[np.bool_]] = {}
    cut: list[tuple[float, float]] = []
    for i, place in enumerate(find_objects(labels), start=1):
        extent = _longest(labels[place] == i) / per_inch
        if extent < _LEAST_IN:
            continue
        (y0, y1), (x0, x1) = ((s.start, s.stop) for s in place)
        if min(x0, y0) == 0 or x1 == mask.shape[1] or y1 == mask.shape[0]:
            cut.append((extent, float(areas[i])))
            continue
        box = (x0 / per_inch, y0 / per_inch, (x1 - x0) / per_inch, (y1 - y0) / per_inch)
        whole.append((extent, float(areas[i]), box))
        shapes[box] = labels[place] == i
    found = _summed(whole, cut, clear)
    outlines = tuple(_hull(shapes[b], b, per_inch) for b in found.boxes)
    return replace(found, outlines=outlines)


def _hull(mask: NDArray[np.bool_], box: Box, per_inch: float) -> Hull:
    """Convex hull of a shape's pixels, each a square, from the picture's top left."""
    import shapely

    y, x = np.nonzero(mask)
    corners = np.concatenate([np.stack([x + i, y + j], 1) for i in (0, 1) for j in (0, 1)])
    hull = shapely.convex_hull(shapely.multipoints(corners / per_inch + box[:2]))
    return tuple((float(u), float(v)) for u, v in shapely.get_coordinates(hull)[:-1])


def _apart(mask: NDArray[np.bool_], per_inch: float, clear: float) -> MotifReading:
    """Shapes that hang together by their corners, parted; nothing unless they are all alike."""
    from scipy.ndimage import binary_erosion

    for rim in _RIMS:
        found = _measured(binary_erosion(mask, iterations=rim, border_value=1), per_inch, clear)
        sizes = [max(w, h) for _, _, w, h in found.boxes]
        if len(sizes) < _MANY or np.std(sizes) > _ALIKE * np.mean(sizes):
            continue
        edge = rim / per_inch
        boxes = tuple(
            (x - edge, y - edge, w + 2 * edge, h + 2 * edge) for x, y, w, h in found.boxes
        )
        # checks are named by their sides
        typical, largest = float(np.median(sizes)) + 2 * edge, max(sizes) + 2 * edge
        return MotifReading(typical, float(largest), boxes, clear)
    return MotifReading(None, None)


def _summed(
    whole: list[tuple[float, float, Box]], cut: list[tuple[float, float]], clear: float
) -> MotifReading:
    sizes = [(e, a) for e, a, _ in whole]
    if sum(a for _, a in sizes) < 0.25 * sum(a for _, a in cut):
        sizes, clear = sizes + cut, 0.4 * clear  # motifs run over the edge: at least this large
    if not sizes:
        return MotifReading(None, None)
    sizes.sort()
    areas = np.cumsum([a for _, a in sizes])
    typical = sizes[int(np.searchsorted(areas, areas[-1] / 2))][0]
    # the largest first; among about equal ones those in the middle
    cx, cy = (float(np.mean([b[i] + b[i + 2] / 2 for _, _, b in whole] or [0])) for i in (0, 1))
    order = sorted(
        whole,
        key=lambda t: (
            -round(2 * np.log(t[1])),
            np.hypot(t[2][0] + t[2][2] / 2 - cx, t[2][1] + t[2][3] / 2 - cy),
            t[2],
        ),
    )
    boxes = [b for _, _, b in order[:40]]
    return MotifReading(float(typical), float(sizes[-1][0]), tuple(boxes), clear)


def _figure(
    rgb: NDArray[np.uint8], palette: tuple[PaletteColour, ...]
) -> tuple[NDArray[np.bool_], float]:
    """Pixels that are not ground, and how clearly the two part (0..1)."""
    lab = np.stack([blur(p, 0.8) for p in np.moveaxis(rgb_to_lab(rgb), -1, 0)], axis=-1)
    ground = rgb_to_lab(from_hex(palette[0].hex))
    # uneven light: let the ground's lightness follow its own pixels
    distance = np.sqrt(((lab - ground) ** 2).sum(axis=-1))
    near = distance <= np.quantile(distance, 0.4)
    slow = 0.08 * max(rgb.shape[:2])
    weight = blur(near.astype(float), slow) + 1e-3
    local = np.stack(
        [(blur(near * (lab[..., c] - ground[c]), slow)) / weight for c in range(3)], -1
    )
    distance = np.sqrt(((lab - ground - local) ** 2).sum(axis=-1))
    cut, parted = _otsu(np.minimum(distance, np.quantile(distance, 0.98)))
    return distance > 0.75 * cut, parted


def _otsu(values: Floats) -> tuple[float, float]:
    """Otsu's threshold, and the part of the variance that it explains."""
    counts, edges = np.histogram(values, 128)
    p = counts / counts.sum()
    mid = (edges[:-1] + edges[1:]) / 2
    w, m = np.cumsum(p), np.cumsum(p * mid)
    with np.errstate(divide="ignore", invalid="ignore"):
        between = np.nan_to_num((m[-1] * w - m) ** 2 / (w * (1 - w)))
    i = int(np.argmax(between))
    total = float((p * (mid - m[-1]) ** 2).sum())
    return float(edges[i + 1]), float(between[i] / total) if total > 0 else 0.0


def _longest(mask: NDArray[np.bool_]) -> float:
    """Longest extent of a shape over 12 directions, pixels."""
    y, x = np.nonzero(mask)
    a = np.radians(np.arange(0, 180, 15))
    along = np.outer(np.cos(a), x) + np.outer(np.sin(a), y)
    return float((along.max(axis=1) - along.min(axis=1)).max() + 1)
