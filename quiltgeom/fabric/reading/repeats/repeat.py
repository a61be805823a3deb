"""The repeat of a print: lattice vectors in inches, its trade name, and a seamless tile."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats
from quiltgeom.fabric.reading.pixels import check_rgb, shrink
from quiltgeom.fabric.reading.repeats.autocorrelation import detail_planes
from quiltgeom.fabric.reading.repeats.find_repeat import find_in_photo, find_repeat
from quiltgeom.fabric.reading.repeats.repeat_lattice import LARGEST, NOTHING, Found
from quiltgeom.tolerance import EQUAL_SCORE, SAME_POINT

SURE_REPEAT = 0.6
"""Confidence from which a repeat is acted upon."""

_SIDE = 512  # working pixels
_PLAIN = 0.9  # standard deviation (CIELAB units) of a cloth without a print
_TOO_UNSURE = 0.3  # a repeat less sure than this is not told
# by 97 photographs of generated prints and pictograms, and 30 of the demo's swatches, all looked at
_DOUBTED = 0.3  # found in one way only, or askew of the outline: 3 of 13 were right
_SUREST_PHOTO = 0.94  # of 76 that nothing spoke against, 72 were right
_ASKEW = 0.7  # degrees: of 6 with more 4 were wrong, and all 4 slanted ones
_SUREST = 0.97  # that part of 788 repeats with the strongest evidence was right


@dataclass(frozen=True, slots=True)
class RepeatReading:
    """How a print repeats inside the swatch.

    Attributes:
        kind: ``"straight"``, ``"half-drop"``, ``"brick"``, ``"slanted"`` (a lattice that is none
            of these), ``"stripe"`` (bars: one vector across), ``"one-axis"`` (confirmed one way
            only: the other is longer than the swatch shows), ``"none"`` (no repeat in the swatch)
            or ``"plain"`` (no print). By exactly one half, half-drop and brick make the same
            lattice; it is called brick where the repeat is wider than high.
        vectors_in: smallest repeat vectors (x right, y down), inches: 2, 1 or 0.
        cell_in: width and height of the rectangle that repeats without a shift, measured along the
            print's own axes; of a half-drop or brick it holds two motifs. None without one.
        turn_deg: how far the print's axes are turned in the picture, clockwise.
        confidence: 0..1.
        reason: why there is no repeat, or what to know about it, for people.
        bars: whether it is made of bars, of a stripe or of one that does not repeat.
    """

    kind: str
    vectors_in: tuple[tuple[float, float], ...] = ()
    cell_in: tuple[float, float] | None = None
    turn_deg: float = 0.0
    confidence: float = 0.0
    reason: str = ""
    bars: bool = False

    @property
    def size_in(self) -> tuple[float, float] | None:
        """Width and height as :class:`~quiltgeom.model.fabric.Repeat` and people say them: of one
        column of a half-drop, of one row of a brick.

        >>> RepeatReading("brick", cell_in=(6.0, 4.0)).size_in
        (6.0, 2.0)
        """
        if self.cell_in is None:
            return None
        width, height = self.cell_in
        wide, high = _SHIFTED.get(self.kind, (1, 1))
        return width / wide, height / high


_SHIFTED = {"half-drop": (2, 1), "brick": (1, 2)}


def stated_repeat(width: float, height: float, kind: str) -> RepeatReading:
    """The repeat that its owner states, in the numbers of a fabric's.

    >>> stated_repeat(6, 2, "brick").vectors_in
    ((6, 0.0), (3.0, 2))
    """
    across = (width, height / 2 if kind == "half-drop" else 0.0)
    down = (width / 2 if kind == "brick" else 0.0, height)
    wide, high = _SHIFTED.get(kind, (1, 1))
    return RepeatReading(
        kind, (across, down), (width * wide, height * high), 0.0, 1.0, "by the user"
    )


def read_repeat(rgb: NDArray[np.uint8], width_in: float, *, photo: bool = False) -> RepeatReading:
    """Find the smallest true repeat of a print.

    The picture is compared with itself at every shift (normalised correlation over the overlap, in
    CIELAB, slow changes of light removed); the answer is the finest lattice of shifts all of whose
    points are peaks, unless a coarser one fits clearly better (a near-repeat: motifs that only look
    alike). A repeat longer than about 3/4 of the swatch cannot be confirmed and is not guessed.

    Args:
        rgb: ``(h, w, 3)`` uint8, the swatch filling the picture.
        width_in: real width of the picture, inches.
        photo: whether it is a photograph of cloth: shadows and light are looked through, and what
            only one way of looking shows is not called sure.

    Raises:
        QuiltValueError: not a picture.

    >>> y, x = np.mgrid[0:240, 0:240]
    >>> dots = np.where((x % 40 - 20) ** 2 + (y % 40 - 20) ** 2 < 90, 40, 220).astype(np.uint8)
    >>> found = read_repeat(np.stack([dots] * 3, axis=-1), 6.0)
    >>> found.kind, [round(v, 2) for v in found.cell_in]
    ('straight', [1.0, 1.0])
    """
    small = shrink(check_rgb(rgb), _SIDE)
    planes = detail_planes(small)
    per_inch = small.shape[1] / width_in
    height_in = small.shape[0] / per_inch
    if float(np.sqrt((planes**2).sum(axis=0).mean())) < _PLAIN:
        return RepeatReading("plain", confidence=0.95, reason="no print to repeat")
    found = find_in_photo(small, planes) if photo else find_repeat(planes)
    named = _named(found, per_inch, LARGEST * min(width_in, height_in))
    sure = min(named.confidence, _SUREST_PHOTO) if photo else named.confidence
    return replace(named, confidence=sure)


def against_outline(repeat: RepeatReading) -> RepeatReading:
    """A repeat of cloth that was straightened by its outline: unsure where the two disagree."""
    askew = abs(repeat.turn_deg) > _ASKEW or repeat.kind == "slanted"
    if not (askew and len(repeat.vectors_in) == 2 and repeat.confidence > _DOUBTED):
        return repeat
    why = "the print does not lie along the cloth's outline: measure a repeat on the cloth"
    return replace(repeat, confidence=_DOUBTED, reason=why)


def _named(found: Found, per_inch: float, limit: float) -> RepeatReading:
    v = found.vectors / per_inch
    vectors = _tuples(v)
    sure = _confidence(found)
    if found.along is not None:
        turn = (math.degrees(math.atan2(found.along[1], found.along[0])) + 45) % 90 - 45
        if not vectors:
            why = f"the bars do not repeat within about {limit:.1f} in"
            return RepeatReading("none", turn_deg=turn, confidence=0.6, reason=why, bars=True)
        why = "constant along the bars"
        return RepeatReading("stripe", vectors, None, turn, sure, why, bars=True)
    if found is NOTHING or len(v) == 0 or sure < _TOO_UNSURE:
        why = f"no repeat up to about {limit:.1f} in; a longer one cannot be seen in this swatch"
        return RepeatReading("none", confidence=0.7, reason=why)
    if len(v) == 1:
        why = f"confirmed one way only; the other way it is longer than about {limit:.1f} in"
        return RepeatReading("one-axis", vectors, None, 0.0, 0.5 * sure, why)
    kind, cell, turn, basis = name_lattice(v)
    why = "two motifs that look alike are told apart" if found.near else ""
    return RepeatReading(kind, basis, cell, turn, sure, why)


def _confidence(found: Found) -> float:
    """From how far the copies stand out, how alike they are, and how many there are.

    Not above what was found right where the evidence is strongest: the rest are near-repeats.
    """
    standing = 0.35 * (min(found.z, 25.0) - 5.0)
    x = standing + 3.0 * (found.likeness - 0.3) + 0.5 * min(found.points, 8)
    most = _SUREST if found.agreed else _DOUBTED
    return min(most, float(1 / (1 + math.exp(-(x - 2.0))))) if found.points else 0.0


Vectors = tuple[tuple[float, float], ...]


def name_lattice(v: Floats) -> tuple[str, tuple[float, float] | None, float, Vectors]:
    """Kind, repeating rectangle, turn of its axes, and vectors in the order the trade says them.

    >>> name_lattice(np.array([[3.0, 2.0], [0.0, 4.0]]))[:2]
    ('brick', (6.0, 4.0))
    >>> name_lattice(np.array([[0.0, 2.0], [3.0, 0.0]]))[:2]
    ('straight', (3.0, 2.0))
    """
    best: tuple[float, str, Floats, Floats] | None = None
    near = [i * v[0] + j * v[1] for i in range(-3, 4) for j in range(-3, 4) if (i, j) != (0, 0)]
    cell = abs(float(np.linalg.det(v)))
    for p in near:
        if p[0] <= 0 or abs(p[1]) > 0.2 * p[0]:
            continue
        for q in near:
            if q[1] <= 0 or abs(p @ q) > 0.035 * np.linalg.norm(p) * np.linalg.norm(q):
                continue
            multiple = round(abs(p[0] * q[1] - p[1] * q[0]) / cell)
            if multiple not in (1, 2) or (multiple == 2 and not _centred(v, p, q)):
                continue
            turn = abs(math.atan2(p[1], p[0]))
            score = multiple + 2 * turn
            if best is None or score < best[0] - EQUAL_SCORE:
                best = (score, "straight" if multiple == 1 else "centred", p, q)
    if best is None:
        return "slanted", None, 0.0, _tuples(v)
    _, kind, p, q = best
    size = (float(np.linalg.norm(p)), float(np.linalg.norm(q)))
    turn = math.degrees(math.atan2(p[1] - q[0], p[0] + q[1]))
    if kind == "straight":
        return kind, size, turn, _tuples(np.stack([p, q]))
    if size[0] > size[1]:
        return "brick", size, turn, _tuples(np.stack([p, (p + q) / 2]))
    return "half-drop", size, turn, _tuples(np.stack([(p + q) / 2, q]))


def _centred(v: Floats, p: Floats, q: Floats) -> bool:
    coords = ((p + q) / 2) @ np.linalg.inv(v)
    return bool(np.abs(coords - np.rint(coords)).max() < SAME_POINT)


def _tuples(v: Floats) -> Vectors:
    return tuple((float(x), float(y)) for x, y in v)
