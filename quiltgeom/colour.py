"""Colour spaces and differences: sRGB, CIELAB, OKLab, CIEDE2000 and the Munsell value scale.

All functions take and give numpy arrays whose last axis holds the three components.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# IEC 61966-2-1 primaries with white D65, and that white's own XYZ (so that white is exactly L* 100)
_RGB_TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
_WHITE = _RGB_TO_XYZ.sum(axis=1)

LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
"""Weights of linear red, green and blue: Rec. 709 primaries, as IEC 61966-2-1 (sRGB) uses them."""

# OKLab as published by its author (B. Ottosson, "A perceptual color space for image processing",
# 2020, public domain)
_RGB_TO_LMS = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_LMS_TO_OKLAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)

# Y (white = 100) of Munsell value V: ASTM D1535's quintic
_MUNSELL = np.polynomial.Polynomial((0.0, 1.1914, -0.22533, 0.23352, -0.020484, 0.00081939))


def srgb_to_linear(srgb: ArrayLike) -> Floats:
    """Undo the sRGB transfer curve (IEC 61966-2-1).

    Args:
        srgb: components in 0..1, any shape.

    Returns:
        Light, in 0..1, same shape.

    >>> round(float(srgb_to_linear(0.5)), 4)
    0.214
    """
    s = np.asarray(srgb, dtype=np.float64)
    return np.where(s <= 0.04045, s / 12.92, ((np.maximum(s, 0.0) + 0.055) / 1.055) ** 2.4)


def linear_to_srgb(light: ArrayLike) -> Floats:
    """Apply the sRGB transfer curve; values outside 0..1 are clipped first.

    >>> round(float(linear_to_srgb(0.214)), 3)
    0.5
    """
    v = np.clip(np.asarray(light, dtype=np.float64), 0.0, 1.0)
    return np.where(v <= 0.0031308, v * 12.92, 1.055 * v ** (1 / 2.4) - 0.055)


def linear_light(rgb: ArrayLike) -> Floats:
    """Linear light of sRGB given as uint8 (from a table: the same and quicker) or float."""
    values = np.asarray(rgb)
    if values.dtype == np.uint8:
        return np.asarray(srgb_to_linear(np.arange(256) / 255.0)[values])
    return srgb_to_linear(values)


def rgb_to_lab(rgb: ArrayLike) -> Floats:
    """CIELAB (D65) of sRGB.

    Args:
        rgb: ``(..., 3)``; uint8 in 0..255 or float in 0..1.

    Returns:
        ``(..., 3)`` array of L* (0..100), a*, b*.

    >>> rgb_to_lab(np.array([255, 255, 255], dtype=np.uint8)).round(6).tolist()
    [100.0, 0.0, 0.0]
    """
    xyz = linear_light(rgb) @ _RGB_TO_XYZ.T / _WHITE
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_lch(lab: ArrayLike) -> Floats:
    """Lightness, chroma and hue (degrees, 0..360) of CIELAB or OKLab.

    >>> lab_to_lch([50.0, 0.0, 10.0]).round(3).tolist()
    [50.0, 10.0, 90.0]
    """
    a = np.asarray(lab, dtype=np.float64)
    hue = np.degrees(np.arctan2(a[..., 2], a[..., 1])) % 360.0
    return np.stack([a[..., 0], np.hypot(a[..., 1], a[..., 2]), hue], axis=-1)


def rgb_to_oklab(rgb: ArrayLike) -> Floats:
    """OKLab of sRGB (uint8 in 0..255 or float in 0..1), shape ``(..., 3)``; L in 0..1.

    >>> rgb_to_oklab(np.array([255, 255, 255], dtype=np.uint8)).round(4).tolist()[0]
    1.0
    """
    return np.asarray(np.cbrt(linear_light(rgb) @ _RGB_TO_LMS.T) @ _LMS_TO_OKLAB.T)


def oklab_to_rgb(oklab: ArrayLike) -> NDArray[np.uint8]:
    """Nearest 8-bit sRGB of OKLab (clipped to the gamut), shape ``(..., 3)``.

    >>> oklab_to_rgb(rgb_to_oklab(np.array([12, 200, 99], dtype=np.uint8))).tolist()
    [12, 200, 99]
    """
    return np.rint(linear_to_srgb(oklab_to_linear(oklab)) * 255).astype(np.uint8)


def oklab_to_linear(oklab: ArrayLike) -> Floats:
    """Linear RGB light of OKLab, not clipped: outside 0..1 where sRGB cannot show the colour.

    >>> oklab_to_linear([1.0, 0.0, 0.0]).round(3).tolist()
    [1.0, 1.0, 1.0]
    """
    lms = (np.asarray(oklab, dtype=np.float64) @ np.linalg.inv(_LMS_TO_OKLAB).T) ** 3
    return np.asarray(lms @ np.linalg.inv(_RGB_TO_LMS).T)


def munsell_value(luminance: ArrayLike) -> Floats:
    """Munsell value (0 black .. 10 white) of luminance Y (white = 100), by ASTM D1535's quintic.

    >>> munsell_value([19.2718, 100.0]).round(3).tolist()
    [5.0, 10.0]
    """
    y = np.clip(np.asarray(luminance, dtype=np.float64), 0.0, 100.0)
    value = np.cbrt(y) * 2.0
    for _ in range(6):  # Newton: the quintic rises everywhere in 0..10
        value = value - (_MUNSELL(value) - y) / _MUNSELL.deriv()(value)
    return np.asarray(np.clip(value, 0.0, 10.0))


def luminance(rgb: ArrayLike) -> Floats:
    """Luminance Y in 0..100 of sRGB, shape ``(..., 3)`` -> ``(...)``.

    >>> float(luminance(np.array([255, 255, 255], dtype=np.uint8)).round(3))
    100.0
    """
    return np.asarray(linear_light(rgb) @ _RGB_TO_XYZ[1] / _WHITE[1] * 100.0)


def delta_e_2000(lab1: ArrayLike, lab2: ArrayLike) -> Floats:
    """CIEDE2000 colour difference of CIELAB colours (arrays broadcast against each other).

    Source: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula", Color
    Research & Application 30 (2005) 21-30, with kL = kC = kH = 1.

    >>> round(float(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    p, q = np.broadcast_arrays(np.asarray(lab1, float), np.asarray(lab2, float))
    c_mean = (np.hypot(p[..., 1], p[..., 2]) + np.hypot(q[..., 1], q[..., 2])) / 2
    g = 0.5 * (1 - np.sqrt(c_mean**7 / (c_mean**7 + 25.0**7)))
    c1, h1 = _primed(p, g)
    c2, h2 = _primed(q, g)
    grey = c1 * c2 == 0
    turn = (np.round(h2 - h1, 9) + 180) % 360 - 180  # opposite is opposite, to the last bit
    # the published rule keeps +180 where the two hues are exactly opposite
    turn = np.where(grey, 0.0, np.where((turn == -180) & (h2 > h1), 180.0, turn))
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn) / 2)
    l_mean, c_mean = (p[..., 0] + q[..., 0]) / 2, (c1 + c2) / 2
    h_mean = np.where(grey, h1 + h2, _mean_hue(h1, h2))
    return _weighted(q[..., 0] - p[..., 0], c2 - c1, d_hue, l_mean, c_mean, h_mean)


def _primed(lab: Floats, g: Floats) -> tuple[Floats, Floats]:
    a = lab[..., 1] * (1 + g)
    return np.hypot(a, lab[..., 2]), np.degrees(np.arctan2(lab[..., 2], a)) % 360


def _mean_hue(h1: Floats, h2: Floats) -> Floats:
    total = h1 + h2
    apart = np.round(np.abs(h1 - h2), 9) > 180
    return np.where(apart, np.where(total < 360, total + 360, total - 360), total) / 2


def _weighted(
    d_l: Floats, d_c: Floats, d_h: Floats, l_mean: Floats, c_mean: Floats, h_mean: Floats
) -> Floats:
    h = np.radians(h_mean)
    near_30, near_63 = np.cos(h - np.radians(30)), np.cos(4 * h - np.radians(63))
    t = 1 - 0.17 * near_30 + 0.24 * np.cos(2 * h) + 0.32 * np.cos(3 * h + np.radians(6))
    t = t - 0.20 * near_63
    s_l = 1 + 0.015 * (l_mean - 50) ** 2 / np.sqrt(20 + (l_mean - 50) ** 2)
    s_c, s_h = 1 + 0.045 * c_mean, 1 + 0.015 * c_mean * t
    bend = np.radians(60) * np.exp(-(((h_mean - 275) / 25) ** 2))
    r_t = -2 * np.sqrt(c_mean**7 / (c_mean**7 + 25.0**7)) * np.sin(bend)
    x, y, z = d_l / s_l, d_c / s_c, d_h / s_h
    return np.asarray(np.sqrt(x * x + y * y + z * z + r_t * y * z))


def to_hex(rgb: ArrayLike) -> str:
    """``#rrggbb`` of one 8-bit colour.

    >>> to_hex([190, 0, 50])
    '#be0032'
    """
    return "#" + "".join(f"{int(v):02x}" for v in np.asarray(rgb).reshape(3))


def from_hex(text: str) -> NDArray[np.uint8]:
    """The 8-bit colour of ``#rrggbb``.

    >>> from_hex("#be0032").tolist()
    [190, 0, 50]
    """
    return np.array([int(text[i : i + 2], 16) for i in (1, 3, 5)], dtype=np.uint8)
