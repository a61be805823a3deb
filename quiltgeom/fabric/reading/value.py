"""Value (light, medium, dark), chroma (clear, muted), temperature and loudness of a print."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltgeom.colour import (
    Floats,
    from_hex,
    lab_to_lch,
    luminance,
    munsell_value,
    oklab_to_linear,
    rgb_to_lab,
    rgb_to_oklab,
)
from quiltgeom.fabric.reading.palette import PaletteColour
from quiltgeom.fabric.reading.pixels import blur, check_rgb, shrink

# Munsell's scale in three parts; the middle part is where most shop prints lie
_DARK_BELOW, _LIGHT_FROM = 4.0, 7.0
_GREY = 8.0  # CIELAB chroma below which a colour is a grey, black or white
_CLEAR = 0.55  # part of the chroma that sRGB allows at this lightness and hue
_WARM_HUE = 50.0  # CIELAB hue of orange; its opposite, 230, is the cool pole

SOLID = 0.05
"""Loudness up to which cloth reads as solid."""

_PPI = 40.0  # an eye at arm's length sees little beyond this
_BANDS = (0.06, 0.12, 0.25, 0.5, 1.0, 2.0)  # inches: smoothing radii, each twice the last
_WEIGHTS = (0.30, 0.55, 0.8, 1.0, 1.0)  # fine grain reads as solid, motifs carry across a room
_CHROMA_WEIGHT = 0.6  # colour contrast without value contrast is the quieter of the two
_FULL = 26.0  # weighted contrast (CIELAB units) that makes a print loud


@dataclass(frozen=True, slots=True)
class Value:
    """How light a print is.

    Attributes:
        munsell: Munsell value of the mean light, 0 black .. 10 white.
        low, high: Munsell values below which 5 % and 95 % of the area lie.
        name: ``"light"``, ``"medium"`` or ``"dark"``.
    """

    munsell: float
    low: float
    high: float
    name: str


@dataclass(frozen=True, slots=True)
class Chroma:
    """How colourful a print is.

    Attributes:
        mean: area mean of CIELAB chroma.
        purity: chroma as a part of what is possible at the same lightness and hue, 0..1.
        name: ``"clear"``, ``"muted"`` or ``"neutral"``.
        temperature: ``"warm"``, ``"cool"``, ``"mixed"`` or ``"neutral"``.
    """

    mean: float
    purity: float
    name: str
    temperature: str


def read_value(rgb: NDArray[np.uint8]) -> Value:
    """Value of a picture on the Munsell scale, as the eye sees it from a distance.

    >>> read_value(np.full((32, 32, 3), 119, dtype=np.uint8)).name
    'medium'
    """
    light = luminance(shrink(check_rgb(rgb), 480))
    whole = float(munsell_value(light.mean()))
    low, high = (float(v) for v in munsell_value(np.quantile(light, [0.05, 0.95])))
    return Value(whole, low, high, value_name(whole))


def value_name(munsell: float) -> str:
    """``light`` from 7 up, ``dark`` below 4, else ``medium``.

    >>> value_name(8.2), value_name(5.0), value_name(2.5)
    ('light', 'medium', 'dark')
    """
    if munsell < _DARK_BELOW:
        return "dark"
    return "light" if munsell >= _LIGHT_FROM else "medium"


def read_chroma(palette: Sequence[PaletteColour]) -> Chroma:
    """Clear or muted, warm or cool, from a palette.

    >>> read_chroma([PaletteColour("#be0032", 1.0, "vivid red")]).name
    'clear'
    """
    rgb = np.stack([from_hex(c.hex) for c in palette])
    share = np.array([c.share for c in palette])
    chroma, hue = np.moveaxis(lab_to_lch(rgb_to_lab(rgb)), -1, 0)[1:]
    mean = float((share * chroma).sum() / share.sum())
    coloured = chroma >= _GREY
    weight = np.where(coloured, share * chroma, 0.0)
    if weight.sum() < 0.02 * _GREY or mean < _GREY / 4:
        return Chroma(mean, 0.0, "neutral", "neutral")
    purity = float((weight * _purity(rgb)).sum() / weight.sum())
    return Chroma(mean, purity, "clear" if purity >= _CLEAR else "muted", _warmth(weight, hue))


def _warmth(weight: Floats, hue: Floats) -> str:
    tilt = np.cos(np.radians(hue - _WARM_HUE))
    balance = float((weight * tilt).sum() / weight.sum())
    if balance > 0.25:
        return "warm"
    return "cool" if balance < -0.25 else "mixed"


def _purity(rgb: NDArray[np.uint8]) -> Floats:
    """OKLab chroma over the largest chroma inside sRGB at the same lightness and hue."""
    lab = rgb_to_oklab(rgb)
    low, high = np.ones(len(lab)), np.full(len(lab), 40.0)
    for _ in range(24):
        mid = (low + high) / 2
        light = oklab_to_linear(np.column_stack([lab[:, 0], lab[:, 1] * mid, lab[:, 2] * mid]))
        inside = ((light > -1e-4) & (light < 1.0001)).all(axis=1)
        low, high = np.where(inside, mid, low), np.where(inside, high, mid)
    return 1.0 / low


def read_loudness(rgb: NDArray[np.uint8], width_in: float) -> float:
    """0 (a solid) to 1 (a loud print), from contrast, its edges and their scale.

    Contrast in CIELAB is split into bands by scale in inches; edges count because a hard-edged
    motif is louder than a cloud of the same contrast.

    Args:
        rgb: ``(h, w, 3)`` uint8.

    >>> read_loudness(np.full((100, 100, 3), 90, dtype=np.uint8), 5.0)
    0.0
    """
    from scipy.ndimage import sobel

    small = shrink(check_rgb(rgb), max(64, min(640, round(_PPI * width_in))))
    per_inch = small.shape[1] / width_in
    lab = np.moveaxis(rgb_to_lab(small), -1, 0)
    lab[1:] *= _CHROMA_WEIGHT
    steps = [np.stack([blur(p, r * per_inch) for p in lab]) for r in _BANDS]
    power = 0.0
    for weight, fine, coarse in zip(_WEIGHTS, steps, steps[1:], strict=False):
        power += weight**2 * float(((fine - coarse) ** 2).sum(axis=0).mean())
    slope = np.sqrt(sum(sobel(p, a) ** 2 for p in steps[0] for a in (0, 1))) / 8 * per_inch
    edges = float(np.quantile(slope, 0.9)) * _BANDS[0]
    return round(float(1 - np.exp(-(0.75 * np.sqrt(power) + 0.25 * edges) / _FULL * 2.2)), 4)
