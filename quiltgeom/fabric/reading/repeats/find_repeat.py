"""The repeat of a print from its detail, and of one in a photograph, where shadows lie on it."""

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import Floats, rgb_to_lab
from quiltgeom.fabric.reading.pixels import blur
from quiltgeom.fabric.reading.repeats.autocorrelation import Autocorrelation, autocorrelation
from quiltgeom.fabric.reading.repeats.repeat_lattice import Found, find_lattice
from quiltgeom.fabric.reading.repeats.stripe_repeat import bars_of, find_stripe, without_bars

_BETWEEN = 0.012  # of a striped print's variation: less is creases, not things between its bars
_FAINT_BARS = 2.0  # CIELAB units: fainter bars are shadows on a plain cloth
_BLURRED = 6.0  # pixels: smoothed so, it does not matter where pixels fell on edges
_COARSE = 2.2  # pixels: smoothed so, thin lines meet their copies in spite of creases

_NEAR = 0.05  # of the picture's longer side: contrast is evened over so much of it
_FLOOR = 0.25  # of the mean contrast: where there is less, there is nothing to even
_COLOURED = 2.0  # CIELAB units: from so much on, colour alone tells a repeat
_SAME = 0.12  # by which coordinates of one lattice in another differ from whole numbers


def find_repeat(planes: Floats) -> Found:
    """The repeat of ``(c, h, w)`` detail planes, in their pixels."""
    fine = autocorrelation(planes)
    strong = float(np.sqrt((planes**2).sum(axis=0).mean())) >= _FAINT_BARS
    bars = find_stripe(fine, min(planes.shape[1:])) if strong else None
    if bars is not None and bars.along is not None:
        rest = without_bars(planes, bars.along)
        if float((rest**2).mean()) < _BETWEEN * float((planes**2).mean()):
            return bars
        between = find_lattice([autocorrelation(rest)])
        if between.z < 8 or between.points < 4:
            return bars

    @cache
    def blurred(by: float) -> Autocorrelation:
        return autocorrelation(np.stack([blur(p, by) for p in planes]))

    found = find_lattice([fine, blurred(_COARSE)], lambda: blurred(_BLURRED))
    return bars_of(found, fine) or found


def find_in_photo(rgb: NDArray[np.uint8], planes: Floats) -> Found:
    """The repeat of a photographed print: by its detail, its evened contrast and its colour alone.

    A shadow's rim is strong, but it is one: where contrast is evened, it counts no more than
    leaves in its shade; and it has no colour. (Contrast normalisation: as in Lyu and Simoncelli,
    Nonlinear image representation using divisive normalization, 2008.)

    Args:
        rgb: ``(h, w, 3)`` uint8.
        planes: its detail planes.
    """
    plain = find_repeat(planes)
    if plain.along is not None:
        return plain
    even, colour = find_repeat(_evened(rgb)), _by_colour(rgb)
    found = even if colour is None else _believed(even, colour)
    if len(found.vectors) < 2 or _agreed(found, [f for f in (plain, even, colour) if f]):
        return found
    again = find_repeat(_evened(rgb, _COARSE))
    return found if _index(found, again) == 1 else replace(found, agreed=False)


def _agreed(found: Found, ways: list[Found]) -> bool:
    """Whether another way of looking found the same lattice, or all others found parts of it."""
    others = [f for f in ways if f is not found]
    parts = [_index(f, found) for f in others]
    return 1 in parts or all(part > 1 for part in parts)


def _believed(even: Found, colour: Found) -> Found:
    """The finer of two lattices of which one contains the other, else the one that fits better."""
    if not (_is_lattice(even) and _is_lattice(colour)):
        return even
    if _index(even, colour) > 1:
        return colour
    apart = _index(even, colour) == 0 and _index(colour, even) == 0
    return colour if apart and colour.likeness > even.likeness else even


def _is_lattice(found: Found) -> bool:
    return len(found.vectors) == 2 and found.along is None


def _index(coarse: Found, fine: Found) -> int:
    """How many cells of one lattice are in one of the other; 0 where it is no lattice of it."""
    if not (_is_lattice(coarse) and _is_lattice(fine)):
        return 0
    steps = coarse.vectors @ np.linalg.inv(fine.vectors)
    whole = np.rint(steps)
    fits = float(np.abs(steps - whole).max()) < _SAME
    return abs(round(float(np.linalg.det(whole)))) if fits else 0


def _evened(rgb: NDArray[np.uint8], smooth: float = 0.8) -> Floats:
    """Detail planes divided by how much detail there is about."""
    lab = np.moveaxis(rgb_to_lab(rgb), -1, 0)
    near = _NEAR * max(rgb.shape[:2])
    planes = np.stack([blur(p, smooth) - blur(p, near) for p in lab])
    about = np.sqrt(blur((planes**2).sum(axis=0), 1.5 * near))
    evened: Floats = planes / (about + _FLOOR * float(about.mean()))
    return evened


def _by_colour(rgb: NDArray[np.uint8]) -> Found | None:
    """The repeat by colourfulness for its lightness, which shadow hardly changes; None without."""
    light, *colours = np.moveaxis(rgb_to_lab(rgb), -1, 0)
    light, slow = np.maximum(blur(light + 16, 1.0), 8.0), 0.16 * max(rgb.shape[:2])
    ratios = [66 * c / light for c in colours]
    planes = np.stack([blur(p, 0.8) - blur(p, slow) for p in ratios])
    strong = float(np.sqrt((planes**2).sum(axis=0).mean())) >= _COLOURED
    return find_repeat(planes) if strong else None
